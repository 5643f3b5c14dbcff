"""Bad input is refused before any search, all faults at once."""

from dataclasses import replace

import pytest

import nesting.cutting.sheets
from nesting.cutting.parts import Part
from nesting.cutting.sheets import NestError, Sheet, Trim, nest
from nesting.cutting.sheets.effort import SETTINGS

PART = Part("a", 10, 5, "g")
SHEET = Sheet("s", 100, 50, 10)


@pytest.mark.parametrize(
    ("parts", "sheets", "message"),
    [
        ([PART, replace(PART, name="b", good="h")], [SHEET], "one good, not g, h"),
        ([PART, PART], [SHEET], "part a is given more than once"),
        ([PART], [SHEET, SHEET], "sheet s is given more than once"),
        ([PART], [], "no sheet to cut from"),
        ([PART], [replace(SHEET, good="h")], "sheet s is of h"),
        ([replace(PART, length=101)], [SHEET], r"part a \(101 x 5\) fits on no sheet"),
        ([replace(PART, count=10**9)], [SHEET], "count must be at most 1000000"),
        ([replace(PART, count=200_000)], [SHEET], "more than one call can nest"),
        ([replace(PART, length=2**41)], [SHEET], "sizes must be at most"),
        (
            [replace(PART, length=2**40 - 1, width=2**40 - 3, count=2)],
            [replace(SHEET, length=2**40, width=2**40)],
            "64 bits",
        ),
    ],
)
def test_faults_are_told(parts: list[Part], sheets: list[Sheet], message: str) -> None:
    with pytest.raises(NestError, match=message):
        nest(parts, sheets)


def test_all_faults_come_at_once() -> None:
    with pytest.raises(NestError) as caught:
        nest([replace(PART, length=200), replace(PART, name="b", width=300)], [SHEET])
    assert len(caught.value.faults) == 2


@pytest.mark.parametrize(
    "fields",
    [
        {"length": 0},
        {"width": -1},
        {"cost": -1},
        {"cost": 1.5},
        {"count": -1},
        {"source": "found"},
        {"source": "rack"},
        {"breaks": ((5, 9), (5, 8))},
        {"breaks": ((1, 9),)},
        {"trim": Trim(60, 40)},
        {"name": ""},
        {"length": 2**41},
    ],
)
def test_a_sheet_with_a_bad_value_is_refused_at_birth(fields: dict[str, object]) -> None:
    with pytest.raises(NestError):
        replace(SHEET, **fields)  # type: ignore[arg-type]  # bad on purpose


@pytest.mark.parametrize(("field", "value"), [("kerf", -1), ("kerf", 0.5)])
def test_a_bad_setting_is_refused(field: str, value: object) -> None:
    with pytest.raises(NestError):
        nest([PART], [SHEET], **{field: value})  # type: ignore[arg-type]  # bad on purpose


def test_all_that_is_exported_is_there() -> None:
    assert all(hasattr(nesting.cutting.sheets, name) for name in nesting.cutting.sheets.__all__)
    assert sorted(nesting.cutting.sheets.__all__) == nesting.cutting.sheets.__all__


def test_efforts_grow() -> None:
    quick, normal, thorough = (SETTINGS[e] for e in ("quick", "normal", "thorough"))
    assert quick.rounds == 0 < normal.rounds * normal.steps < thorough.rounds * thorough.steps
    assert not quick.points
    assert normal.pricings < thorough.pricings
