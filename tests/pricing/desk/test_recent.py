"""What the desk remembers of searches has an end."""

from typing import Any

from nesting.crates.judge import Judge
from nesting.crates.kept import MANY, kept
from nesting.shop.shop_file import default_shop
from pricing.desk.recent import SHOPS, Latest, Recent

SHOP = default_shop()


def test_the_oldest_searches_are_forgotten() -> None:
    memory = Recent(3)
    for number in range(5):
        memory[number] = str(number)
    assert list(memory) == [2, 3, 4]


def test_what_is_kept_of_shops_is_forgotten_before_searches_are() -> None:
    """Every change of a price is a state of the shop of its own, whose table may hold hundreds of crates."""
    memory: Any = Recent(1_000)
    memory["a search"] = "its answer"
    tables = [kept(memory, ("crates", MANY), SHOP, "inch", Judge(minute=n)) for n in range(2 * SHOPS)]
    assert sum(isinstance(each, dict) for each in memory.values()) == SHOPS
    assert memory["a search"] == "its answer"
    assert kept(memory, ("crates", MANY), SHOP, "inch", Judge(minute=2 * SHOPS - 1)) is tables[-1]
    assert kept(memory, ("crates", MANY), SHOP, "inch", Judge(minute=0)) is not tables[0]


def test_a_table_that_is_asked_for_again_is_the_same() -> None:
    memory = Recent(2)
    first = memory.setdefault("table", {})
    first["one"] = 1
    assert memory.setdefault("table", {}) is first


def test_what_was_made_of_the_latest_is_made_once_and_of_equals_anew() -> None:
    asked: list[list[int]] = []

    def make(value: list[int]) -> int:
        asked.append(value)
        return len(asked)

    latest = Latest[list[int], int](2)
    one, other, third = [1], [1], [3]
    assert [latest.of(each, make) for each in (one, one, other, one)] == [1, 1, 2, 1]
    assert [latest.of(each, make) for each in (third, one)] == [3, 4], "the oldest is forgotten"
