"""Elevations: what is written beside a face is where parts and holes are, each once, in letters that can be read."""

import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH, UnitSystem, format_length, parse_length
from nesting.crates.model import Crate
from nesting.drawings.crate import crate_drawing
from nesting.drawings.dimensions import Series, merged, span, told
from nesting.drawings.elevation import Elevation, elevation
from nesting.drawings.explode import things
from nesting.drawings.faces import Face, faces, told_parts
from nesting.drawings.scene import Text
from nesting.order import Artwork, Back, Order
from tests.nesting.drawings.builds import plain_build, random_builds
from tests.nesting.drawings.overlap import beyond_paper, overlaps


def numbers_of(crate: Crate) -> dict[str, int]:
    return {name: index for index, name in enumerate(dict.fromkeys(each.part for each in things(crate)), start=1)}


@pytest.fixture(scope="module")
def crates() -> list[Crate]:
    return [crate for build in random_builds(6, start=300) for crate in build.crates]


@pytest.fixture(scope="module")
def drawn(crates: list[Crate]) -> list[tuple[Crate, Face, Elevation]]:
    return [
        (crate, face, elevation(face, numbers_of(crate), scale, "inch"))
        for crate in crates
        for face in faces(crate)
        for scale in (12.0, 24.0)
    ]


def figures(made: Elevation, *, turned: bool) -> set[str]:
    """Return what is written along one axis, without the words about it."""
    texts = [item for item in made.scene.items if isinstance(item, Text) and item.turned == turned and not item.bold]
    return {re.sub(r"^(first|then every) | beyond$", "", item.text) for item in texts}


def wanted(face: Face, axis: int) -> Iterator[tuple[int, ...]]:
    """Yield the places that a face has along an axis: of each kind and size of part, and of each kind of hole."""
    kinds: dict[object, set[int]] = {}
    for each in face.shown:
        if each.measured:
            kinds.setdefault((each.role, each.at[2:]), set()).add(each.at[axis])
    for spot in face.spots:
        kinds.setdefault((spot.kind, spot.into), set()).add((spot.x, spot.y)[axis])
    yield from (tuple(sorted(places)) for places in kinds.values())


def test_every_place_of_the_crate_is_written_beside_its_face(drawn: list[tuple[Crate, Face, Elevation]]) -> None:
    """Read from the drawing's own letters: each left and lower edge, or the first of even ones and their step."""
    checked = 0
    for crate, face, made in drawn:
        if made.listed:
            continue
        for axis in (0, 1):
            shown = figures(made, turned=axis == 1)
            assert format_length((face.width, face.height)[axis]) in shown
            steps = {parse_length(each, "inch") for each in shown}
            for places in wanted(face, axis):
                for place in places:
                    if place == 0 or format_length(abs(place)) in shown:
                        continue
                    first = [each for each in places if each == 0 or (format_length(each) in shown and each < place)]
                    assert any(
                        abs(start + count * step - place) < INCH // 16 * max(1, count)
                        for start in first
                        for step in steps
                        for count in range(1, 30)
                    ), f"{crate.crate} {face.title}: {format_length(place)} of {shown}"
                    checked += 1
                checked += len(places)
    assert checked > 500


def test_nothing_is_written_that_is_not_there(drawn: list[tuple[Crate, Face, Elevation]]) -> None:
    for crate, face, made in drawn:
        for axis in (0, 1):
            places = {place for each in wanted(face, axis) for place in each}
            right = {format_length(abs(place)) for place in (*places, (face.width, face.height)[axis])}
            right |= {format_length(b - a) for a in places for b in places if b > a}
            words = figures(made, turned=axis == 1)
            numbers = {str(index + 1) for index in range(len(face.spots))} if made.listed or face.numbered else set()
            assert words <= right | numbers, f"{crate.crate} {face.title}: {words - right}"


def test_each_batten_cleat_and_slat_is_measured_on_one_face(crates: list[Crate]) -> None:
    """But for cleats, which are measured on the crate and on the piece too."""
    found = 0
    for crate in crates:
        once: Counter[str] = Counter()
        for face in faces(crate):
            if not face.key.startswith("piece"):
                once.update({part for each in face.shown if each.measured for part in each.parts})
        for placed in crate.placed:
            if placed.role in ("batten", "seam batten", "cleat", "slat", "bearing pad", "setting block"):
                assert once[placed.part] == 1, f"{crate.crate}: {placed.part}"
                found += 1
    assert found > 60


def test_a_part_is_named_once_along_each_side(drawn: list[tuple[Crate, Face, Elevation]]) -> None:
    """As often as its places make blocks: a label stands on one lane only."""
    for crate, face, made in drawn:
        numbers = numbers_of(crate)
        labels = [
            item.text for item in made.scene.items if isinstance(item, Text) and item.bold and item.anchor == "start"
        ]
        named = {number for text in labels for number in _numbers(text)}
        for each in face.shown:
            if each.measured and any(each.at[:2]):
                assert {numbers[part] for part in each.parts} <= named, f"{crate.crate} {face.title}: {each.parts}"


def _numbers(label: str) -> Iterator[int]:
    for first, last in re.findall(r"(\d+)(?:–(\d+))?", label):
        yield from range(int(first), int(last or first) + 1)


def test_holes_and_bolts_are_all_drawn(crates: list[Crate]) -> None:
    """Every bolt is on the face that its head lies on."""
    for crate in crates:
        spots = sum(len(face.spots) for face in faces(crate) if face.key == "back")
        assert spots == len(crate.drill)


def test_letters_can_be_read_and_nothing_overlaps(drawn: list[tuple[Crate, Face, Elevation]]) -> None:
    for crate, face, made in drawn:
        assert not overlaps(made.scene), f"{crate.crate} {face.title}"
        assert not beyond_paper(made.scene), f"{crate.crate} {face.title}"
        assert min(item.size for item in made.scene.items if isinstance(item, Text)) >= 8


def test_letters_of_the_view_can_be_read(crates: list[Crate]) -> None:
    for crate in crates:
        view = crate_drawing(crate, 540, 200)
        assert view is not None
        assert min(item.size for item in view.scene.items if isinstance(item, Text)) >= 8
        assert not overlaps(view.scene)
        assert not beyond_paper(view.scene)


def test_a_crates_back_is_seen_from_behind() -> None:
    """A batten at the right as one looks at the front is at the left as one drills."""
    work = Artwork("A-01", 60 * INCH, 50 * INCH, 2 * INCH, weight_kg=Decimal(20), method="battened", back=Back("solid"))
    (crate,) = plain_build(Order("o", (work,))).crates
    back, inside = faces(crate)[:2]
    battens = {each.part: each.box for each in crate.placed if each.role in ("batten", "seam batten")}
    seen = [each for each in back.shown if each.measured]
    assert seen
    for each in seen:
        box = battens[each.parts[0]]
        assert each.at[0] in {
            crate.shell.width - one.box.x - one.box.dx for one in crate.placed if one.part == each.parts[0]
        }
        assert each.at[2:] == (box.dx, box.dy)
    cleats = {each.part: each.box for each in crate.placed if each.role == "cleat"}
    for each in inside.shown:
        if each.role == "cleat":
            box = cleats[each.parts[0]]
            assert each.at == (box.x, box.y, box.dx, box.dy)
    assert {*cleats} <= told_parts((inside,))


@given(st.lists(st.integers(1, 4000), min_size=1, max_size=8, unique=True), st.sampled_from(["inch", "metric"]))
def test_what_is_told_gives_the_places_back(sixteenths: list[int], units: UnitSystem) -> None:
    places = tuple(sorted(each * INCH // 16 for each in sixteenths))
    words = told(places, units)
    if words[0][0].startswith(("first", "then")):
        step = places[1] - places[0]
        assert list(places) == [places[0] + step * index for index in range(len(places))]
        assert words[-1][0] == f"then every {format_length(step, units)}"
    else:
        assert [text for text, _, _ in words] == [format_length(place, units) for place in places]


def test_even_places_are_first_and_then_every() -> None:
    places = [5 * INCH, 18 * INCH, 31 * INCH]
    assert [each[0] for each in told(places, "inch")] == ["first 5", "then every 13"]
    assert [each[0] for each in told([0, *(13 * INCH * n for n in (1, 2))], "inch")] == ["then every 13"]
    assert [each[0] for each in told(places[:2], "inch")] == ["5", "18"]


def test_lanes_of_equal_places_are_one() -> None:
    joined = merged([Series((4, 9), numbers=frozenset({5, 6})), Series((4, 9), numbers=frozenset({7})), Series((2,))])
    assert [(each.values, each.label) for each in joined] == [((2,), ""), ((4, 9), "5–7")]


@given(st.sets(st.integers(1, 40), min_size=1))
def test_spans_are_exactly_their_numbers(found: set[int]) -> None:
    assert sorted(_numbers(span(found))) == sorted(found)
