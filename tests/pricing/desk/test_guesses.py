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


def test_an_address_is_forgiven_after_ten_minutes_without_a_guess_and_no_earlier() -> None:
    clock = Clock()
    clock.now = 5_000.0
    guesses = Guesses(clock)
    guesses.wrong("a")
    guesses.answered("a")
    clock.now += 600.0
    assert guesses.wrong("a") == 0.5, "ten minutes to the second are not over"
    guesses.answered("a")
    clock.now += 600.5
    assert guesses.wrong("a") == 0.25
    clock.now += 700.0
    assert guesses.wrong("a") == 0.5, "nobody is forgiven whose answer still waits"
    guesses.answered("a")
    guesses.answered("a")
    clock.now += 300.0
    guesses.wrong("a")
    guesses.answered("a")
    clock.now += 301.0
    assert guesses.wrong("a") == 2.0, "counted from the last guess, not from the first"


def test_each_answer_makes_room_for_one_more() -> None:
    guesses = Guesses(Clock())
    for _ in range(8):
        assert guesses.wrong("a") is not None
    assert guesses.wrong("a") is None
    guesses.answered("a")
    assert guesses.wrong("a") is not None
    assert guesses.wrong("a") is None
    for _ in range(12):  # told too often: it makes no debt
        guesses.answered("a")
    assert [guesses.wrong("a") is None for _ in range(9)] == [False] * 8 + [True]


def test_a_thousand_addresses_are_remembered_and_the_one_unheard_longest_goes_first() -> None:
    guesses = Guesses(Clock())
    for number in range(1_000):
        guesses.wrong(f"a{number}")
    assert guesses.wrong("a0") == 0.5, "a thousand are remembered"
    guesses.wrong("one more")
    assert guesses.wrong("a0") == 1.0, "it was heard just now"
    assert guesses.wrong("a1") == 0.25, "it was not heard for longest"


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
