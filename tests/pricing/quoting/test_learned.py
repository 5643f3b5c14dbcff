"""What finished jobs say of the rates: three by hand, and what holds of any."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import permutations
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.quoting.labour import TITLES, Operation
from pricing.quoting.learned import (
    LEAST_JOBS,
    Finished,
    Lesson,
    Own,
    Reckoned,
    counts_of,
    forms_learned,
    minutes_rounded,
    operations_learned,
    reckoned_of,
    rooms_learned,
    ruling,
    unheard,
    used_in,
    wastes_learned,
)
from pricing.quoting.noted import HOURS, OTHER, ROOMS, room_of
from pricing.studio.rates import LabourRules, PriceRules

RULES = LabourRules()
PRICE = PriceRules()


def job(number: int, count: int, hours: str, heading: str = "screw") -> Finished:
    return Finished(number, f"Job {number}", {"screw": count}, {heading: Decimal(hours)})


# Three jobs by hand.


def test_three_jobs_by_hand() -> None:
    """400 screws in 2 h are 0.3 min each, 900 in 6 h 0.4, 100 in 1.5 h 0.9; together 1,400 in 9.5 h, 570 / 1,400."""
    (lesson,) = operations_learned([job(1, 400, "2"), job(2, 900, "6"), job(3, 100, "1.5")], RULES)
    assert (lesson.key, lesson.title, lesson.present) == ("labour.screw", "Screws driven", RULES.screw)
    assert [each.value for each in lesson.jobs] == [Fraction(3, 10), Fraction(2, 5), Fraction(9, 10)]
    assert lesson.middle == Fraction(2, 5)
    assert lesson.together == Fraction(570, 1400)
    assert (lesson.least, lesson.most) == (Fraction(3, 10), Fraction(9, 10))
    assert lesson.suggested == Decimal("0.400")
    assert not lesson.is_pulled
    assert ruling(lesson, RULES) == {"labour.screw": Decimal("0.400")}


def test_a_slip_of_the_pen_pulls_the_sum_and_not_what_is_suggested() -> None:
    """The same jobs, 60 h typed for 6: the middle goes to 0.9 at the most, the sum to 2.7."""
    (lesson,) = operations_learned([job(1, 400, "2"), job(2, 900, "60"), job(3, 100, "1.5")], RULES)
    assert lesson.suggested == Decimal("0.900")
    assert lesson.together == Fraction(60 * 127, 2 * 1400)
    assert lesson.is_pulled


def test_a_room_by_hand() -> None:
    """100 holes and 100 screws at 0.25 and 0.2 min are 45; 0.5 h at screws and 0.55 h beside are 63: 1.4 times."""
    rules = replace(RULES, hole=Decimal("0.25"), screw=Decimal("0.2"), seal=Decimal(0))
    counts: dict[Operation, int] = {"hole": 100, "screw": 100, "rip": 7}
    hours = {"bench": Decimal("0.55"), "screw": Decimal("0.5"), "saw": Decimal(1), OTHER: Decimal(9)}
    jobs = [Finished(n, "Job", counts, hours) for n in (1, 2, 3)]
    saw, bench = rooms_learned(jobs, rules)
    assert (saw.key, bench.key) == ("saw", "bench")
    assert bench.middle == Fraction(63, 45)
    assert bench.suggested == Decimal("1.40")
    made = ruling(bench, rules)
    assert made["labour.hole"] == Decimal("0.350")
    assert made["labour.screw"] == Decimal("0.280")
    assert made["labour.assembly"] == Decimal("16.80")
    assert "labour.seal" not in made, "what is not paid by minutes stays so"
    assert all(room_of(name.removeprefix("labour.")) == "bench" for name in made)
    (alone,) = operations_learned(jobs, rules)
    assert alone.middle == Fraction(30, 100), "only what was noted at the screws themselves"


def test_a_room_speaks_only_where_hours_are_noted_under_it() -> None:
    assert rooms_learned([job(1, 100, "1")], RULES) == ()


def test_waste_by_hand() -> None:
    """4 sheets of parts at 50 and 2 sticks at 5 are 210 of need; 5 and 3 used up are 265: 55 / 210 beyond."""
    reckoned = {
        "ply": Reckoned("sheet", Decimal(4), Decimal(50)),
        "2x3": Reckoned("stick", Decimal(2), Decimal(5)),
        "film": Reckoned("roll", Decimal("0.5"), Decimal(80)),
    }
    used = {"ply": Decimal(5), "2x3": Decimal(3), "film": Decimal("0.55")}
    jobs = [Finished(n, "Job", {}, {}, reckoned, used) for n in (1, 2, 3)]
    cut, rest = wastes_learned(jobs, PRICE)
    assert (cut.key, cut.middle, cut.suggested) == ("price.sheet_waste", Fraction(55, 210), Decimal("0.262"))
    assert (rest.key, rest.middle, rest.suggested) == ("price.waste", Fraction(1, 10), Decimal("0.100"))
    assert {each.key: each.middle for each in forms_learned(jobs, PRICE)} == {
        "sheet": Fraction(1, 4), "stick": Fraction(1, 2), "roll": Fraction(1, 10),
    }  # fmt: skip
    assert ruling(cut, RULES) == {"price.sheet_waste": Decimal("0.262")}
    assert [ruling(each, RULES) for each in forms_learned(jobs, PRICE)] == [{}, {}, {}]


def test_less_used_than_reckoned_suggests_no_waste_and_nothing_below() -> None:
    reckoned = {"ply": Reckoned("sheet", Decimal(4), Decimal(50))}
    jobs = [Finished(n, "Job", {}, {}, reckoned, {"ply": Decimal(3)}) for n in (1, 2, 3)]
    (lesson,) = wastes_learned(jobs, PRICE)
    assert lesson.middle == Fraction(-1, 4)
    assert lesson.suggested == 0
    assert not lesson.is_news, "none is the rate as it stands"


@pytest.mark.parametrize("count", range(1, LEAST_JOBS))
def test_too_few_jobs_are_shown_and_suggest_nothing(count: int) -> None:
    (lesson,) = operations_learned([job(n, 100, "1") for n in range(count)], RULES)
    assert len(lesson.jobs) == count
    assert lesson.middle == Fraction(3, 5)
    assert lesson.suggested is None
    assert not lesson.is_news
    assert ruling(lesson, RULES) == {}


def test_what_says_nothing_is_told_with_its_reason() -> None:
    none = Reckoned("sheet", Decimal(0), Decimal(50))
    odd = Finished(
        1, "Odd", {"screw": 10, "rip": 4},
        {"screw": Decimal(1), "hole": Decimal(2), OTHER: Decimal(3), "saw": Decimal(4)},
        {"old": none}, {"old": Decimal(1), "strange": Decimal(1)},
    )  # fmt: skip
    told = {each.what: each.why for each in unheard([odd])}
    assert told == {
        "2 h under Holes drilled": "its quote counts none of that",
        "3 h under Other work": "no operation is named",
        "old": "its quote does not tell how much the parts take of it",
        "strange": "its quote reckons with none of it",
    }
    part = replace(odd, in_part=True, used={"old": Decimal(1)})
    assert {each.what for each in unheard([part])} == {
        "2 h under Holes drilled", "3 h under Other work", "4 h under Saw, all that is not noted by itself", "old",
    }  # fmt: skip
    assert [each.key for each in operations_learned([part], RULES)] == ["labour.screw"]
    assert rooms_learned([part], RULES) == ()


def test_used_is_all_bought_less_all_left_where_what_is_left_is_told_once() -> None:
    one, two = Decimal(1), Decimal(2)
    told = [("ply", two, None), ("ply", one, Decimal("0.5")), ("osb", two, None), ("2x3", one, one), ("", None, None)]
    assert used_in(told) == {"ply": Decimal("2.5")}, "of osb nobody said, and of 2x3 none was used"


# The lists.


def test_every_operation_and_room_has_one_heading() -> None:
    assert list(HOURS) == [*ROOMS, *TITLES, OTHER]
    assert not set(ROOMS) & set(TITLES)
    assert {room_of(operation) for operation in get_args(Operation)} == set(ROOMS)
    assert [room_of(heading) for heading in (*ROOMS, OTHER, "nonsense")] == [*ROOMS, None, None]


def test_minutes_are_never_rounded_to_none() -> None:
    assert minutes_rounded(Fraction(1, 100_000)) == Decimal("0.001")
    assert minutes_rounded(Fraction(1, 3)) == Decimal("0.333")
    assert minutes_rounded(Fraction(10, 3)) == Decimal("3.33")


# Of any jobs.

jobs_noted = st.lists(
    st.builds(job, st.integers(1, 10_000), st.integers(1, 5_000), st.decimals("0.01", "500", places=2).map(str)),
    min_size=1,
    max_size=9,
)


def screws(jobs: list[Finished]) -> Lesson:
    (lesson,) = operations_learned(jobs, RULES)
    return lesson


@given(jobs_noted)
def test_what_is_suggested_lies_among_what_the_jobs_say(jobs: list[Finished]) -> None:
    lesson = screws(jobs)
    assert lesson.least <= lesson.middle <= lesson.most
    assert lesson.least <= lesson.together <= lesson.most
    if lesson.suggested is not None:
        assert lesson.rounded(lesson.least) <= lesson.suggested <= lesson.rounded(lesson.most)


@given(jobs_noted, st.randoms(use_true_random=False))
def test_the_order_of_jobs_changes_nothing(jobs: list[Finished], chance: Any) -> None:
    other = list(jobs)
    chance.shuffle(other)
    one, two = screws(jobs), screws(other)
    assert (one.middle, one.together, one.suggested) == (two.middle, two.together, two.suggested)
    assert [each.value for each in one.jobs] == [each.value for each in two.jobs]


@given(jobs_noted, st.integers(2, 50))
def test_one_job_as_many_times_as_large_says_the_same(jobs: list[Finished], times: int) -> None:
    first, *rest = jobs
    (large,) = (replace(first, counts={"screw": first.counts["screw"] * times},
                        hours={"screw": first.hours["screw"] * times}),)  # fmt: skip
    assert screws([large, *rest]).middle == screws(jobs).middle


@given(jobs_noted, st.integers(2, 50))
def test_hours_as_many_times_as_long_say_as_many_times_as_much(jobs: list[Finished], times: int) -> None:
    longer = [replace(each, hours={"screw": each.hours["screw"] * times}) for each in jobs]
    assert screws(longer).middle == screws(jobs).middle * times
    assert screws(longer).together == screws(jobs).together * times


@given(
    st.lists(st.fractions(Fraction(1, 50), 100, max_denominator=50), min_size=2, max_size=8), st.fractions(0, 10_000)
)
def test_one_wild_job_leaves_what_is_suggested_among_the_others(values: list[Fraction], wild: Fraction) -> None:
    own = sorted([*values, wild])
    lesson = Lesson("labour.screw", "", "minutes", Decimal(1), tuple(Own(1, "", each, Fraction(1)) for each in own))
    assert min(values) <= lesson.middle <= max(values)


def test_jobs_of_equal_say_come_in_the_order_of_their_numbers() -> None:
    for order in permutations([job(3, 100, "1"), job(1, 200, "2"), job(2, 300, "3")]):
        assert [each.job for each in screws(list(order)).jobs] == [1, 2, 3]


def test_what_a_quote_counts_and_reckons_is_read_off_its_rows() -> None:
    assert counts_of(()) == {}
    assert reckoned_of(()) == {}
