"""The anteroom: thousands that come together, in steps that do not grow with them, and what it hands on."""

import asyncio
import random
import socket
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

import uvicorn
from uvicorn.server import ServerState

from pricing.desk.anteroom import Anteroom, Seats
from pricing.desk.connections import QUEUE, Connection, Limits
from pricing.desk.crowd import Crowd
from pricing.desk.serve import bind


class Counted(str):
    """A text that counts how often it is looked up."""

    __slots__ = ()
    asked = 0

    def __hash__(self) -> int:
        Counted.asked += 1
        return super().__hash__()

    __eq__ = str.__eq__


def looked_up(size: int) -> int:
    """Return how often something was looked up for one hundred that come and make others give way."""
    crowd: Crowd[Counted] = Crowd()
    for number in range(size):
        crowd.wait(Counted(f"old {number}"), f"of {number % 40}")
    Counted.asked = 0
    for number in range(100):
        first = crowd.first()
        assert first is not None
        crowd.leave(first)
        crowd.wait(Counted(f"new {number}"), f"of {number % 40}")
    return Counted.asked


def test_a_crowd_of_thousands_costs_no_more_steps_than_one_of_some() -> None:
    assert looked_up(200) == looked_up(20_000)


def test_a_crowd_gives_way_as_one_that_is_looked_through() -> None:
    """The same as counting all of them each time, which is plain and slow."""
    draw = random.Random(5)
    crowd: Crowd[int] = Crowd()
    plain: OrderedDict[int, tuple[str, bool]] = OrderedDict()
    for number in range(4_000):
        one, address = draw.choice([number, *plain]), f"of {draw.randrange(7)}"
        what = draw.random()
        if what < 0.5:
            address = plain.pop(one, (address, True))[0]
            plain[one] = address, True
            crowd.wait(one, address)
        elif one in plain:
            if what < 0.75:
                plain[one] = plain[one][0], False
                crowd.work(one)
            else:
                del plain[one]
                crowd.leave(one)
        waiting = [(one, address) for one, (address, waits) in plain.items() if waits]
        for address in {each for _, each in waiting}:
            assert crowd.first(address) == next(one for one, whose in waiting if whose == address)
            assert crowd.of(address) == sum(whose == address for whose, _ in plain.values())
        assert len(crowd) == len(plain)
        counts = [sum(whose == address for _, whose in waiting) for _, address in waiting]
        first = crowd.first()
        assert (first is None) == (not waiting)
        if first is not None:
            assert sum(whose == plain[first][0] for _, whose in waiting) == max(counts)


@dataclass
class Wire:
    """A transport of which only is noted that it was closed."""

    address: str
    closed: bool = False
    written: list[bytes] = field(default_factory=list)

    def get_extra_info(self, name: str) -> Any:
        return (self.address, 1) if name == "peername" else None

    def is_closing(self) -> bool:
        return self.closed

    def close(self) -> None:
        self.closed = True

    abort = close

    def write(self, data: bytes) -> None:
        self.written.append(data)


async def nothing(*_: object) -> None:
    """Answer nobody: nothing is asked."""


def test_each_of_thousands_that_come_before_the_loop_goes_round_is_given_the_place_of_another() -> None:
    """Of these one single connection gave way, the same each time: all others stayed, and each made all dearer."""

    class Tight(Connection):
        limits = Limits(most=40, by_address=10)

    async def come() -> list[Wire]:
        config = uvicorn.Config(nothing, log_config=None, lifespan="off", ws="none")
        config.load()
        state = ServerState()
        wires = [Wire(f"127.0.1.{number % 8}") for number in range(2_000)]
        for wire in wires:
            made: Any = Tight(config=config, server_state=state, app_state={})
            made.connection_made(wire)
        return wires

    wires = asyncio.run(come())
    assert [wire.closed for wire in wires] == [True] * 1_960 + [False] * 40
    assert not any(wire.written for wire in wires)


def test_the_anteroom_hands_on_heads_and_lets_the_oldest_give_way() -> None:
    async def run() -> None:
        handed: list[bytes] = []
        listening = bind("127.0.0.1", 0)
        listening.settimeout(0)
        address = listening.getsockname()

        def take(link: socket.socket, head: bytes) -> None:
            handed.append(head)
            link.close()

        room = Anteroom(listening, Seats(most=50, by_address=40, head=30.0), take)
        links = [socket.create_connection(address) for _ in range(60)]
        await asyncio.sleep(0.1)
        assert len(room) == 40
        links[0].settimeout(1)
        assert links[0].recv(1) == b""  # the oldest, and nobody of the last forty
        links[-1].sendall(b"GET / HTTP/1.1\r\nhost: x\r\n")
        await asyncio.sleep(0.05)
        assert not handed
        links[-1].sendall(b"\r\n")
        links[-2].sendall(b"\x16\x03\x01")  # no head begins so: the server says that at once
        links[-3].sendall(b"x" * 70_000)
        await asyncio.sleep(0.05)
        assert [each[:5] for each in handed] == [b"GET /", b"\x16\x03\x01", b"xxxxx"]
        assert len(room) == 37
        room.close()
        links[-4].settimeout(1)
        assert links[-4].recv(1) == b""
        for link in (*links, listening):
            link.close()

    asyncio.run(run())


def test_the_queue_of_the_system_stays_long_however_few_are_taken_in_at_once() -> None:
    """More than asyncio names as the queue wait to be taken in, and none of them is dropped."""
    listening = bind("127.0.0.1", 0)
    listening.listen(1)
    links = []
    for _ in range(300):
        link = socket.create_connection(listening.getsockname(), timeout=1)
        links.append(link)
    assert len(links) == 300 < QUEUE
    for link in (*links, listening):
        link.close()
