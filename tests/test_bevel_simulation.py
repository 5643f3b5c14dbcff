"""Bevel rips of French cleats: real ones are clean, and planted faults are found."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.crates.bevels import bevelled, bevels_in
from nesting.cutting.sawing.model import Setting
from pricing.output.job import read_both
from pricing.quoting.work import build_order
from tests.bevel_simulation import bevel_faults
from tests.generated_orders import KINDS, ON
from tests.saw_simulation import limits_of


@pytest.fixture(scope="module")
def hung(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """Make an order with travel frames whose pieces hang on French cleats."""
    file = KINDS["consignment"](15).write(tmp_path_factory.mktemp("hung"))
    order, office = read_both(file, None, None)
    return build_order(order, office, on=ON, search=QUICK)


def told(build: Build, change: Callable[[Setting], Setting]) -> list[str]:
    """Return the faults of all bevels of a build, each setting changed first."""
    faults = []
    blanks = bevelled(build.crates)
    assert blanks
    for layout in build.layouts:
        mine = {name: part for name, part in blanks.items() if part.good == layout.good}
        settings = [change(each) for each in bevels_in(build.shop, build.crates, layout)]
        thickness = build.shop.good(layout.good).thickness
        faults += bevel_faults(settings, mine, thickness, build.shop.saw.kerf, limits_of(build.shop))
    return faults


def test_cleats_are_ripped_in_halves_that_are_alike(hung: Build) -> None:
    assert told(hung, lambda setting: setting) == []


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (lambda each: replace(each, at=each.at + INCH // 16), "at its long face"),
        (lambda each: replace(each, bevel=30), "tilted by 30"),
        (lambda each: replace(each, cuts=each.cuts[1:], passes=each.passes - each.cuts[0].repeat), "ripped, of"),
        (lambda each: replace(each, passes=each.passes + 1), "passes told"),
        (lambda each: replace(each, cuts=(replace(each.cuts[0], panel="K9.rail"),)), "is no blank"),
        (lambda each: replace(each, tool="none"), "no tool"),
        (lambda each: replace(each, tool="chop"), "chop rips no bevel"),
        (lambda each: replace(each, with_block=not each.with_block), "push block"),
    ],
)
def test_a_planted_fault_is_found(hung: Build, change: Callable[[Setting], Setting], what: str) -> None:
    found = told(hung, change)
    assert [each for each in found if what in each], found
