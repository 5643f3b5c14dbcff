"""Layouts against oracles, worked arithmetic and the independent verifier."""

from dataclasses import replace
from random import Random

import pytest

from nesting.base.search import QUICK
from nesting.cutting.parts import Grain, Part
from nesting.cutting.sheets import Cut, Layout, NestError, Offcut, Sheet, Trim, Waste, nest
from tests.benchmarks.orders import INCH, KERF, order
from tests.layout_verifier import LayoutError, verify
from tests.nesting.cutting.sheets.oracle import cheapest, fewest_by_model

PLY = Sheet("4x8", 96 * INCH, 48 * INCH, 5800)


def tiny(seed: int) -> tuple[list[Part], list[Sheet], int]:
    """Draw up to six parts and a few sheets."""
    random = Random(seed)
    parts: list[Part] = []
    while sum(p.count for p in parts) < random.randint(2, 6):
        room = 6 - sum(p.count for p in parts)
        grain: Grain = random.choice(("any", "any", "length"))
        parts.append(
            Part(
                f"p{len(parts)}",
                random.randint(2, 20),
                random.randint(2, 14),
                "g",
                random.randint(1, min(2, room)),
                grain,
            )
        )
    sheets = [
        Sheet(
            "large",
            24,
            20,
            500,
            breaks=random.choice([(), ((2, 350),), ((3, 300),)]),
            trim=random.choice([None, Trim(1, 0, 2, 1)]),
        )
    ]
    if random.random() < 0.5:
        sheets.append(Sheet("small", 16, 15, random.choice([180, 250]), count=random.choice([None, 1, 3])))
    if random.random() < 0.5:
        sheets.append(
            Sheet("rack", random.randint(8, 16), random.randint(4, 12), random.choice([0, 60]), 1, source="rack")
        )
    return parts, sheets, random.choice([0, 1, 2])


@pytest.mark.parametrize("seed", range(40))
def test_proven_answers_agree_with_exhaustive_search(seed: int) -> None:
    parts, sheets, kerf = tiny(seed)
    try:
        layout = nest(parts, sheets, kerf=kerf)
    except NestError:
        assert cheapest(parts, sheets, kerf) is None
        return
    verify(layout, parts, sheets, kerf)
    best = cheapest(parts, sheets, kerf)
    assert best is not None
    assert layout.bound <= best <= layout.cost
    if layout.proven:
        assert layout.cost == best


def test_most_tiny_orders_are_solved_exactly() -> None:
    reached = 0
    for seed in range(40):
        parts, sheets, kerf = tiny(seed)
        try:
            layout = nest(parts, sheets, kerf=kerf, search=QUICK)
        except NestError:
            reached += 1
            continue
        reached += layout.cost == cheapest(parts, sheets, kerf)
    assert reached >= 38


@pytest.mark.parametrize("seed", range(8))
def test_a_separate_model_never_finds_fewer_than_the_bound(seed: int) -> None:
    random = Random(1000 + seed)
    parts = [Part(f"p{k}", random.randint(4, 14), random.randint(3, 10), "g") for k in range(7)]
    layout = nest(parts, [Sheet("s", 20, 16, 1)], kerf=1)
    verify(layout, parts, [Sheet("s", 20, 16, 1)], 1)
    fewest = fewest_by_model(parts, 20, 16, 1)
    assert fewest <= layout.cost
    # Seven parts need no cut pattern that a saw cannot make, as far as the model can tell.
    assert layout.bound <= layout.cost <= fewest + 1


# Geometry: n strips and their n - 1 kerfs must fit; standards.md, section "Sawing and nesting", CALC.
@pytest.mark.parametrize(("kerf", "sheets"), [(0, 1), (1, 2), (KERF, 2)])
def test_four_strips_of_twelve_inches_need_a_kerf_of_nothing(kerf: int, sheets: int) -> None:
    parts = [Part("strip", 96 * INCH, 12 * INCH, "ply", 4)]
    layout = nest(parts, [PLY], kerf=kerf)
    verify(layout, parts, [PLY], kerf)
    assert (layout.sheet_count, layout.proven) == (sheets, True)


# Four equal strips from 48 in with a 1/8 in kerf are 11-29/32 in at most (11.90625; standards.md, CALC).
@pytest.mark.parametrize(("width", "sheets"), [(11 * INCH + 29, 1), (11 * INCH + 30, 2)])
def test_four_equal_strips_are_eleven_and_twenty_nine_thirty_seconds_at_most(width: int, sheets: int) -> None:
    parts = [Part("strip", 96 * INCH, width, "ply", 4)]
    assert nest(parts, [PLY], kerf=KERF).sheet_count == sheets


# Four from 96 in: 23.90625 in at most (standards.md, CALC).
@pytest.mark.parametrize(("length", "sheets"), [(23 * INCH + 29, 1), (23 * INCH + 30, 2)])
def test_four_equal_lengths_from_ninety_six_inches(length: int, sheets: int) -> None:
    parts = [Part("panel", length, 48 * INCH, "ply", 4, "length")]
    assert nest(parts, [PLY], kerf=KERF).sheet_count == sheets


def test_the_last_kerf_may_run_off_the_edge() -> None:
    parts = [Part("half", 96 * INCH, 24 * INCH - KERF, "ply"), Part("other", 96 * INCH, 24 * INCH, "ply")]
    layout = nest(parts, [PLY], kerf=KERF)
    verify(layout, parts, [PLY], KERF)
    assert layout.sheet_count == 1
    cut = layout.sheets[0].cuts
    assert isinstance(cut, Cut)
    assert not isinstance(cut.rest, Waste)


def test_grain_keeps_a_part_from_turning() -> None:
    part = Part("face", 40 * INCH, 60 * INCH, "ply", 1, "length")
    with pytest.raises(NestError, match="with the grain"):
        nest([part], [PLY])
    layout = nest([replace(part, grain="any")], [PLY])
    assert layout.sheet_count == 1


def test_trim_comes_off_first() -> None:
    trimmed = replace(PLY, trim=Trim(0, 0, 1, 0))
    part = Part("full", 96 * INCH, 48 * INCH, "ply")
    with pytest.raises(NestError, match="fits on no sheet"):
        nest([part], [trimmed])
    small = replace(part, width=48 * INCH - 1)
    verify(nest([small], [trimmed]), [small], [trimmed], 0)


def test_one_more_sheet_can_be_cheaper() -> None:
    sheet = replace(PLY, breaks=((10, 5000),))
    parts = [Part("face", 96 * INCH, 48 * INCH, "ply", 9)]
    layout = nest(parts, [sheet])
    verify(layout, parts, [sheet], 0)
    # Nine cost 9 x 58.00 = 522.00, ten cost 10 x 50.00 = 500.00.
    assert (layout.cost, layout.sheet_count, layout.proven) == (50000, 10, True)
    assert layout.sheets[-1].cuts == Offcut()


def test_ties_favour_the_rack() -> None:
    rack = Sheet("kept", 60 * INCH, 48 * INCH, 5800, 1, source="rack")
    layout = nest([Part("face", 50 * INCH, 40 * INCH, "ply")], [PLY, rack])
    assert (layout.cost, layout.spend) == (5800, 0)


def test_rack_stock_is_used_when_it_saves_a_sheet() -> None:
    rack = Sheet("kept", 30 * INCH, 20 * INCH, 0, 2, source="rack")
    parts = [Part("face", 96 * INCH, 48 * INCH, "ply"), Part("shim", 30 * INCH, 20 * INCH, "ply", 2)]
    layout = nest(parts, [PLY, rack], kerf=KERF)
    verify(layout, parts, [PLY, rack], KERF)
    assert (layout.cost, layout.proven) == (5800, True)


def test_one_large_offcut_rather_than_slivers() -> None:
    parts = [Part("face", 40 * INCH, 48 * INCH, "ply"), Part("strip", 40 * INCH, 6 * INCH, "ply", 3)]
    layout = nest(parts, [PLY], kerf=KERF)
    verify(layout, parts, [PLY], KERF)
    # The strips stand in one row beside the face: 96 - 40 - 18 - 4 kerfs of 1/8 in leave 37-1/2 x 48 in.
    assert layout.offcut_area >= (37 * INCH + INCH // 2) * 48 * INCH


def test_equal_sheets_are_one_layout() -> None:
    parts = [Part("a", 47 * INCH, 23 * INCH, "ply", 16)]
    layout = nest(parts, [PLY], kerf=KERF)
    assert [(each.repeat, layout.layout_count) for each in layout.sheets] == [(4, 1)]


def test_nothing_wanted_is_nothing_cut() -> None:
    assert nest([], [PLY]) == Layout("", 0, (), 0, 0, 0, proven=True)


@pytest.mark.parametrize("seed", range(12))
def test_studio_orders_pass_the_verifier(seed: int) -> None:
    made = order(5000 + seed)
    keep = (12 * INCH, 6 * INCH)
    layout = nest(made.parts, made.sheets, kerf=KERF, search=QUICK, offcut_min=keep)
    verify(layout, made.parts, made.sheets, KERF)
    assert 0 < layout.use <= 1 or layout.spend == 0


def test_the_verifier_refuses_a_wrong_layout() -> None:
    parts = [Part("a", 47 * INCH, 23 * INCH, "ply", 4)]
    layout = nest(parts, [PLY], kerf=KERF)
    verify(layout, parts, [PLY], KERF)
    wrong = [
        replace(layout, cost=layout.cost + 1),
        replace(layout, bound=layout.cost + 1),
        replace(layout, proven=not layout.proven),
        replace(layout, sheets=(replace(layout.sheets[0], cuts=Offcut()),)),
        replace(layout, sheets=layout.sheets * 2),
        replace(layout, offcut_area=layout.offcut_area + 1),
    ]
    for each in wrong:
        with pytest.raises(LayoutError):
            verify(each, parts, [PLY], KERF)
    with pytest.raises(LayoutError):
        verify(layout, parts, [PLY], KERF + 1)


def test_many_parts_are_bounded_by_scaled_areas_too() -> None:
    """Parts over half a sheet each way go one on a sheet, which their plain area does not say."""
    parts = [Part(f"p{n:03}", 52 + n % 40, 26 + n % 20, "ply") for n in range(160)]
    layout = nest(parts, [Sheet("4x8", 100, 50, 10)], search=QUICK)
    assert (layout.sheet_count, layout.bound) == (160, 1600)
