"""Backs as people write them, in orders and in the shop's rule for words of a hollow build."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM, MeasureError
from nesting.base.rule_files import RefusedError, with_typed
from nesting.order import Back
from nesting.shop.backs import read_words, write_back, write_words
from nesting.shop.house_rules import CleatRules
from nesting.shop.shop_file import default_shop, read_shop, shop_text
from tests.strategies import backs

CRADLE = Back("cradle", 3 * INCH // 4, 3 * INCH // 2)


@pytest.mark.parametrize(
    ("text", "back"),
    [
        ("solid", Back()),
        ("Cleated", Back("cleated")),
        ("cleats", Back("cleated")),
        ("cradle 3/4 x 1 1/2", CRADLE),
        ("cradled 3/4 by 1 1/2", CRADLE),
        ("Cradle bars: (3/4 wide, 1 1/2 deep)", CRADLE),
        ("cradle 3/4 wide and 1-1/2 deep", CRADLE),
        ("cradle 3/4 wide x 1 1/2 deep", CRADLE),
        ("cradle 1 1/2 deep, 3/4 wide", CRADLE),
        ("cradle ¾ × 1½", CRADLE),
        ("cradle 3/4 x 1 1/2, face 1/4", replace(CRADLE, face=INCH // 4)),
        ("cradle 3/4 x 1 1/2; 1/4 face", replace(CRADLE, face=INCH // 4)),
        ("cradle 3/4 x 1 1/2 with face 6 mm and 2 middle bars", replace(CRADLE, face=6 * MM, middle_bars=2)),
        ("cradle 3/4 x 1 1/2, face 1/4, 2 middle bars", replace(CRADLE, face=INCH // 4, middle_bars=2)),
        ("cradle 3/4 x 1 1/2, one centre bar", replace(CRADLE, middle_bars=1)),
        ("cradle 3/4 x 1 1/2, no middle bars", CRADLE),
        ("strainer 40 x 20 mm, face 5 mm", Back("strainer", 40 * MM, 20 * MM, 5 * MM)),
        ("cleated 3/4 thick, 3 wide, 2 up, 0 down", Back("cleated", 0, 0, 0, 0, INCH * 3 // 4, 3 * INCH, 2 * INCH)),
        ("cleats 18 thick, 80 wide, 9 up, 9 mm down", Back("cleated", 0, 0, 0, 0, *(n * MM for n in (18, 80, 9, 9)))),
    ],
)  # fmt: skip
def test_backs_are_read_as_people_write_them(text: str, back: Back) -> None:
    assert read_words(text).back() == back


@pytest.mark.parametrize(
    ("text", "back"),
    [
        ("cradle 20 x 40", Back("cradle", 20 * MM, 40 * MM)),
        ("cradle 20 x 40, face 6,5, 1 middle bar", Back("cradle", 20 * MM, 40 * MM, 13 * MM // 2, 1)),
        ("cradle 2 x 4 cm, face 6", Back("cradle", 20 * MM, 40 * MM, 6 * MM)),
        ("cleated 18 thick, 80 wide, 50 up, 45 down", Back("cleated", 0, 0, 0, 0, *(n * MM for n in (18, 80, 50, 45)))),
    ],
)
def test_bare_numbers_are_millimetres_in_a_metric_order(text: str, back: Back) -> None:
    assert read_words(text, "metric").back() == back


@pytest.mark.parametrize(
    "text",
    [
        "wood", "solid 3/4", "cradle 3/4", "cradle 3/4 x", "cradle x", "cradle 1 x 1, 2 x 2", "cradle 1 x 1, 3 wide",
        "cradle 1 x 1, face", "cradle 1 x 1, face 1/4, face 1/2", "cradle 1 x 1, 1/4 thick",
        "cradle 1 x 1, 21 middle bars",
        "cradle 0 x 1", "cradle 13 x 1", "cradle 1 x 1, face 13", "strainer3 x", "cradle 1 x 1 x 1", "cleated 3/4",
        "cleated 3/4 thick", "cleated 3/4 thick, 3 wide, 2 up", "cleated 3/4 thick, 3 wide, 2 up, 2 up", "(solid",
        "cleated 0 thick, 3 wide, 2 up, 2 down", "cleated 3/4 x 3", "cradle 1 x 1, x middle bars", "cleated 3/4 deep",
    ],
)  # fmt: skip
def test_what_is_no_back_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(MeasureError) as told:
        read_words(text).back()
    assert told.value.accepted


def test_sizes_may_be_left_to_others() -> None:
    told = read_words("cradle, face 1/4")
    assert told.back({"bar_width": 3 * INCH // 4, "bar_depth": 3 * INCH // 2}) == replace(CRADLE, face=INCH // 4)
    assert read_words("cradle 3/4 x 1 1/2").back({"bar_width": INCH, "bar_depth": INCH}) == CRADLE
    assert read_words("cradle 3/4 wide").back({"bar_depth": 3 * INCH // 2}) == CRADLE


@given(
    st.tuples(*[st.integers(INCH, 60 * INCH)] * 2, st.integers(INCH, 6 * INCH)).flatmap(lambda size: backs(*size)),
    st.sampled_from(["inch", "metric"]),
    st.sampled_from(["inch", "metric"]),
)
def test_what_is_written_is_read_again_whatever_bare_numbers_mean(back: Back, units: str, other: str) -> None:
    assert read_words(write_back(back, units), other).back() == back  # type: ignore[arg-type]  # one of two


def test_sizes_written_as_they_stand_borrow_no_unit_from_one_another() -> None:
    text = write_words("strainer", {"bar_width": "40", "bar_depth": "2 cm"})
    assert text == "strainer 2 cm deep, 40 wide"
    assert read_words(text, "metric").back() == Back("strainer", 40 * MM, 20 * MM)
    cleats = {"cleat_thickness": "18", "cleat_width": "80", "cleat_low": "50", "cleat_high": "5 cm"}
    read = read_words(write_words("cleated", cleats), "metric").back()
    assert read == Back("cleated", 0, 0, 0, 0, *(n * MM for n in (18, 80, 50, 50)))
    assert write_words("cradle", {"bar_width": "1", "middle_bars": "1"}) == "cradle 1 wide, 1 middle bar"
    assert write_words("solid", {}) == "solid"


# -- the shop's rule ---------------------------------------------------------------------------------------------------


def test_the_rule_stands_in_the_shop_file_and_is_read_again(tmp_path: Path) -> None:
    rule = ("cradled = cradle 3/4 x 1 1/2, face 1/4", "hollow core = strainer 1 x 1")
    shop = default_shop()
    shop = replace(shop, cleats=replace(shop.cleats, hollow_backs=rule))
    file = tmp_path / "shop.toml"
    file.write_text(shop_text(shop), encoding="utf-8")
    assert read_shop(file).cleats.hollow_backs == rule
    assert with_typed(CleatRules(), "hollow_backs", "; ".join(rule)).hollow_backs == rule


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("cradled", "cradle 3/4 x 1 1/2"),
        ("cradled = wood", "cradle 3/4 x 1 1/2"),
        ("cradled = cradle", "needs the width and depth of its bars"),
        ("cradled = cradle 20 x 40", "for the bar width a length more than zero, 12 in at the most"),
        ("cradled = solid", "strainer or cradle with its bars"),
        ("sturdy = cradle 3/4 x 1 1/2", "each of honeycomb, hollow core,"),
        ("braced = cradle 1 x 1; braced = cradle 1 x 2", "at most once"),
    ],
)
def test_a_rule_that_cannot_be_read_is_refused_clearly(entry: str, said: str) -> None:
    with pytest.raises(RefusedError) as told:
        with_typed(CleatRules(), "hollow_backs", entry)
    assert said in told.value.said
    assert entry.rpartition("; ")[2] in told.value.said
