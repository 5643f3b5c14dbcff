"""Published instances: bounds below costs, never more sheets than the rival, and totals that must not get worse."""

import pytest

from nesting.cutting.sheets import nest
from tests.benchmarks.instances import Reference, references
from tests.benchmarks.rival import fewest
from tests.layout_verifier import verify

CLASSIC = {each.name: each for each in references("classic")}
SAMPLE = [CLASSIC[f"cl{number:02}_{parts:03}_{k:02}"] for number in range(1, 11) for parts, k in ((20, 1), (40, 7))]


@pytest.mark.parametrize("each", SAMPLE, ids=lambda each: each.name)
def test_never_more_sheets_than_rectpack(each: Reference) -> None:
    layout = nest(each.parts, [each.sheet])
    verify(layout, each.parts, [each.sheet], 0)
    assert each.bound <= layout.cost
    assert layout.cost <= fewest(each.parts, each.sheet, enough=layout.cost)


def test_a_class_is_solved_to_the_proven_optimum() -> None:
    found = [nest(CLASSIC[f"cl01_100_{k:02}"].parts, [CLASSIC[f"cl01_100_{k:02}"].sheet]) for k in range(1, 11)]
    assert all(layout.proven for layout in found)


def test_there_are_five_hundred_and_forty_three_instances() -> None:
    assert len(CLASSIC) == 500
    assert len(list(references("industrial"))) == 43
    # The published bounds, by area and Dell'Amico, Martello and Vigo (2002), add up to 6769 and 819.
    assert sum(each.bound for each in CLASSIC.values()) == 6769
    assert sum(each.bound for each in references("industrial")) == 819
