"""What must hold for all: order of parts, units, removing a part, adding a sheet, starting from another layout."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.base.search import QUICK, Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, NestError, Sheet, nest
from tests.benchmarks.orders import KERF, order
from tests.layout_verifier import verify

SHEETS = (Sheet("a", 40, 30, 700), Sheet("b", 30, 24, 400, 2), Sheet("c", 18, 10, 0, 1, source="rack"))
SOME = settings(max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def wanted(draw: st.DrawFn) -> list[Part]:
    """Draw a few parts, all of which fit the largest sheet."""
    sizes = draw(
        st.lists(
            st.tuples(st.integers(2, 28), st.integers(2, 28), st.integers(1, 3), st.booleans()), min_size=1, max_size=6
        )
    )
    return [Part(f"p{k}", a, b, "g", n, "length" if grain else "any") for k, (a, b, n, grain) in enumerate(sizes)]


def figures(layout: Layout) -> tuple[object, ...]:
    return layout.cost, layout.bound, layout.spend, layout.sheet_count, layout.layout_count, layout.setups


@SOME
@given(parts=wanted(), kerf=st.integers(0, 2), seed=st.integers(0, 3))
def test_order_of_parts_and_sheets_changes_nothing(parts: list[Part], kerf: int, seed: int) -> None:
    layout = nest(parts, SHEETS, kerf=kerf, search=Search(seed=seed, effort="quick"))
    verify(layout, parts, SHEETS, kerf)
    mixed = list(parts)
    Random(seed).shuffle(mixed)
    assert nest(mixed, SHEETS[::-1], kerf=kerf, search=Search(seed=seed, effort="quick")) == layout


@SOME
@given(parts=wanted(), kerf=st.integers(0, 2), factor=st.sampled_from([2, 7, 25400]))
def test_units_change_nothing(parts: list[Part], kerf: int, factor: int) -> None:
    layout = nest(parts, SHEETS, kerf=kerf, search=QUICK)
    large = [replace(p, length=p.length * factor, width=p.width * factor) for p in parts]
    sheets = [replace(s, length=s.length * factor, width=s.width * factor) for s in SHEETS]
    scaled = nest(large, sheets, kerf=kerf * factor, search=QUICK)
    verify(scaled, large, sheets, kerf * factor)
    assert figures(scaled) == figures(layout)
    assert scaled.offcut_area == layout.offcut_area * factor * factor


@SOME
@given(parts=wanted(), kerf=st.integers(0, 2))
def test_removing_a_part_or_adding_a_sheet_never_costs_more(parts: list[Part], kerf: int) -> None:
    layout = nest(parts, SHEETS, kerf=kerf)
    verify(layout, parts, SHEETS, kerf)
    more = (*SHEETS, Sheet("d", 34, 28, 520))
    other = nest(parts, more, kerf=kerf)
    verify(other, parts, more, kerf)
    if layout.proven and other.proven:
        assert other.cost <= layout.cost
    assert other.bound <= layout.cost
    if len(parts) > 1:
        fewer = nest(parts[1:], SHEETS, kerf=kerf)
        verify(fewer, parts[1:], SHEETS, kerf)
        if layout.proven and fewer.proven:
            assert fewer.cost <= layout.cost
        # Started from the layout with the part, it holds without any proof.
        assert nest(parts[1:], SHEETS, kerf=kerf, search=QUICK, start=layout).cost <= layout.cost


@pytest.mark.parametrize("seed", range(6))
def test_starting_from_a_layout_never_costs_more(seed: int) -> None:
    made = order(7000 + seed)
    layout = nest(made.parts, made.sheets, kerf=KERF, search=QUICK)
    for gone in range(0, len(made.parts), 3):
        parts = [p for k, p in enumerate(made.parts) if k != gone]
        without = nest(parts, made.sheets, kerf=KERF, search=QUICK, start=layout)
        verify(without, parts, made.sheets, KERF)
        assert without.cost <= layout.cost
    more = [*made.parts, Part("extra", 20 * KERF, 20 * KERF, "ply", 2)]
    verify(nest(more, made.sheets, kerf=KERF, search=QUICK, start=layout), more, made.sheets, KERF)
    other = [replace(s, name=f"new {s.name}") for s in made.sheets]
    verify(nest(made.parts, other, kerf=KERF, search=QUICK, start=layout), made.parts, other, KERF)


def test_the_same_seed_gives_the_same_layout() -> None:
    made = order(31)
    first, second = (nest(made.parts, made.sheets, kerf=KERF, search=Search(seed=5)) for _ in range(2))
    assert first == second


def test_limited_sheets_that_do_not_suffice_are_told() -> None:
    with pytest.raises(NestError, match="not enough sheets"):
        nest([Part("a", 10, 10, "g", 5)], [Sheet("s", 10, 10, 1, 4)])
    with pytest.raises(NestError, match="no way was found"):
        nest([Part("a", 7, 7, "g", 2), Part("b", 5, 5, "g")], [Sheet("s", 12, 12, 1, 1)])
