"""Guesses at the key: answered ever later, by address; whoever has the key never waits."""

import time

import httpx

from pricing.desk.desk import Desk
from pricing.desk.guard import Door
from pricing.desk.guesses import Guesses
from tests.pricing.desk.conftest import served


class Clock:
    """A clock that is set by hand."""

    now = 0.0

    def __call__(self) -> float:
        """Tell the time."""
        return self.now


def test_waits_grow_by_address_up_to_an_end_and_are_forgiven() -> None:
    clock = Clock()
    guesses = Guesses(clock)
    waits = []
    for _ in range(8):
        waits.append(guesses.wrong("a"))
        guesses.answered("a")
    assert waits == [0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 8.0, 8.0]
    assert guesses.wrong("b") == 0.25
    clock.now = 601.0
    assert guesses.wrong("a") == 0.25


def test_few_answers_wait_at_once_and_addresses_are_forgotten() -> None:
    guesses = Guesses()
    assert [guesses.wrong("a") is None for _ in range(10)] == [False] * 8 + [True] * 2
    guesses.answered("a")
    assert guesses.wrong("a") is not None
    for number in range(1_200):
        guesses.wrong(f"b{number}")
    assert guesses.wrong("a") == 0.25, "a thousand others came since"
    guesses.answered("never seen")


def test_a_wrong_key_waits_and_the_right_one_does_not(desk: Desk) -> None:
    def seconds(client: httpx.Client, path: str, status: int, **headers: str) -> float:
        begun = time.perf_counter()
        assert client.get(path, headers=headers).status_code == status
        return time.perf_counter() - begun

    with served(desk, Door(token="t" * 32)) as client:
        seconds(client, "/", 401)  # who brings no key guesses nothing
        waits = [seconds(client, f"/?key=guess{number}", 401) for number in range(3)]
        assert waits[0] > 0.2
        assert waits[1] > 0.45
        assert waits[2] > 0.9
        assert seconds(client, f"/?key={'t' * 32}", 303) < 1.9
        assert client.get("/").status_code == 200
