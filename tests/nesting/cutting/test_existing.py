"""Parts that exist: the most possible of them are used, none twice, and none against the grain."""

from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.cutting.existing import Match, Used, match_parts, match_sticks, open_sheets, open_sticks
from nesting.cutting.given import OpenSheet
from nesting.cutting.parts import Grain, Part, StickPart
from nesting.cutting.sheets import Sheet, Trim


def part(name: str, length: int, width: int, count: int = 1, grain: Grain = "any") -> Part:
    return Part(name, length, width, "ply", count, grain)


def used(match: Match[Part]) -> list[tuple[str, str, int]]:
    return [(each.part.name, each.label, each.part.count) for each in match.used]


def test_a_part_is_the_same_part_in_another_crate_and_turned() -> None:
    match = match_parts([part("K2.face", 30, 20, 3)], [part("K1.face", 20, 30, 2)])
    assert used(match) == [("K2.face", "K1.face", 2)]
    assert match.to_cut == (part("K2.face", 30, 20, 1),)
    assert match.left_over == ()


def test_the_grain_is_kept_and_one_that_lay_either_way_does_not_serve_it() -> None:
    wanted = [part("face", 30, 20, 1, "length")]
    assert match_parts(wanted, [part("a", 20, 30, 1, "length"), part("b", 30, 20)]).used == ()
    assert used(match_parts(wanted, [part("c", 30, 20, 1, "length")])) == [("face", "c", 1)]
    turned = match_parts([part("any", 20, 30)], [part("c", 30, 20, 1, "length")])
    assert used(turned) == [("any", "c", 1)]


def test_a_part_with_the_grain_is_left_for_who_needs_it() -> None:
    wanted = [part("any", 30, 20), part("grained", 30, 20, 1, "length")]
    match = match_parts(wanted, [part("x", 30, 20, 1, "length"), part("y", 20, 30)])
    assert used(match) == [("any", "y", 1), ("grained", "x", 1)]


def test_a_part_keeps_its_own_name_where_it_can() -> None:
    match = match_parts([part("a", 9, 9), part("b", 9, 9)], [part("b", 9, 9), part("a", 9, 9)])
    assert used(match) == [("a", "a", 1), ("b", "b", 1)]


def test_sticks_go_by_their_length() -> None:
    match = match_sticks([StickPart("a", 50, "2x3", 2)], [StickPart("z", 50, "2x3", 3), StickPart("y", 51, "2x3")])
    assert match.used == (Used(StickPart("a", 50, "2x3", 2), "z"),)
    assert match.left_over == (StickPart("z", 50, "2x3", 1), StickPart("y", 51, "2x3"))
    assert match.to_cut == ()


_PARTS = st.lists(
    st.tuples(st.integers(1, 3), st.integers(1, 3), st.integers(1, 4), st.sampled_from(["any", "length"])), max_size=8
)


def _named(drawn: list[tuple[int, int, int, Grain]], mark: str) -> list[Part]:
    return [part(f"{mark}{n}", *each) for n, each in enumerate(drawn)]


@settings(max_examples=100)
@given(_PARTS, _PARTS)
def test_nothing_is_lost_and_no_more_could_be_used(
    wanted: list[tuple[int, int, int, Grain]], existing: list[tuple[int, int, int, Grain]]
) -> None:
    wants, haves = _named(wanted, "w"), _named(existing, "e")
    match = match_parts(wants, haves)
    served, spent = Counter[str](), Counter[str]()
    by_name = {each.name: each for each in (*wants, *haves)}
    for each in match.used:
        served[each.part.name] += each.part.count
        spent[each.label] += each.part.count
        want, have = by_name[each.part.name], by_name[each.label]
        same = (want.length, want.width) == (have.length, have.width)
        turned = (want.length, want.width) == (have.width, have.length)
        assert same and have.grain == "length" if want.grain == "length" else same or turned
    for parts, done, rest in ((wants, served, match.to_cut), (haves, spent, match.left_over)):
        left = {each.name: each.count for each in rest}
        assert all(done[each.name] + left.get(each.name, 0) == each.count for each in parts)
    assert sum(served.values()) == _most(wants, haves)


def _most(wants: list[Part], haves: list[Part]) -> int:
    """Count single parts that can be matched, by augmenting paths (Berge's theorem), apart from the code under test."""
    left = [replace(each, count=1) for each in wants for _ in range(each.count)]
    right = [replace(each, count=1) for each in haves for _ in range(each.count)]
    holder: dict[int, int] = {}

    def fits(want: Part, have: Part) -> bool:
        if want.grain == "length":
            return have.grain == "length" and (have.length, have.width) == (want.length, want.width)
        return {have.length, have.width} == {want.length, want.width}

    def augment(at: int, seen: set[int]) -> bool:
        for place, have in enumerate(right):
            if place not in seen and fits(left[at], have):
                seen.add(place)
                if place not in holder or augment(holder[place], seen):
                    holder[place] = at
                    return True
        return False

    return sum(augment(at, set()) for at in range(len(left)))


def test_open_stock_costs_nothing_and_whole_sheets_are_trimmed_as_bought_ones() -> None:
    trim = Trim(1, 1, 1, 1)
    free = (OpenSheet("ply", "4x8", 96, 48, 2), OpenSheet("ply", "rest", 40, 30, 1), OpenSheet("2x3", "8ft", 96, 0, 3))
    made = open_sheets("ply", free, [Sheet("4x8", 96, 48, 5800, trim=trim)])
    assert [(each.name, each.cost, each.count, each.trim, each.source) for each in made] == [
        ("open 4x8", 0, 2, trim, "open"),
        ("open rest", 0, 1, None, "open"),
    ]
    assert [(each.name, each.count, each.source) for each in open_sticks("2x3", free)] == [("open 8ft", 3, "open")]
