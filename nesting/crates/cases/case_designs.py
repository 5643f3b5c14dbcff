"""Designs of an outer case: what it may be made like, all of which hold what it carries alike.

As the rules give it comes first. Then what else meets the limit of shock: other thicknesses of foam, frames that stand
or lie, either face opening, other lumber of the same thickness, flat or on edge, and seams elsewhere. A design whose
case is larger in some way and smaller in none, of the same goods, is left out: smaller parts go wherever larger ones
do, so it can cost no less.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Final, Literal

from nesting.crates.cases.attitudes import Turned, ways
from nesting.crates.cases.bed import Bed
from nesting.crates.cases.case_cuts import PATTERNS, faces_of
from nesting.crates.cases.case_shell import plane, stock_of
from nesting.crates.cases.sizes import Known, Sizes, sizes_of
from nesting.crates.chosen import CASE_AS_RULED, CaseDesign
from nesting.crates.limits import never_snug
from nesting.crates.shells.seams import Dividing, patterns_for
from nesting.crates.traits import Casing
from nesting.shop.planks import stacked, thickness_of
from nesting.shop.shop import Shop

MOST: Final = 60
"""Designs of one case at the most."""
_ATTITUDES: Final = 4
"""Attitudes that are looked at beside each other."""


def designs(casing: Casing) -> tuple[CaseDesign, ...]:
    """Return how a case may be made, as ruled first.

    The same for the same frames whatever they are called; the order of the frames is the casing's.

    Parameters
    ----------
    casing : Casing
        Its own design is not looked at.

    Returns
    -------
    tuple of CaseDesign
        At most :data:`MOST`.
    """
    ruled = replace(casing, design=CASE_AS_RULED)
    known: Known = {}
    kept: dict[CaseDesign, Sizes] = {CASE_AS_RULED: sizes_of(ruled, known)}
    seen = {_told(CASE_AS_RULED, kept[CASE_AS_RULED])}
    for design, sizes in _bodies(ruled, known):
        if _worse(sizes, kept[CASE_AS_RULED], casing.shop):
            continue
        told = _told(design, sizes)
        if told in seen or any(_no_worse(each, other, design, sizes) for each, other in kept.items()):
            continue
        seen.add(told)
        beaten = [each for each, other in kept.items() if _no_worse(design, sizes, each, other)]
        for each in beaten:
            if each != CASE_AS_RULED:
                del kept[each]
        kept[design] = sizes
    first, *others = kept
    others.sort(key=lambda design: (_volume(kept[design]), design))
    # The seams of the smaller bodies first, by turns, so that where there are too many no body is left without.
    seamed = [list(_seams(design, kept[design], casing.shop)) for design in (first, *others)]
    rounds = (each[turn] for turn in range(max(map(len, seamed))) for each in seamed if turn < len(each))
    return (first, *others, *rounds)[:MOST]


def orders(casing: Casing) -> tuple[tuple[int, ...], ...]:
    """Return a few orders of the frames from the back to the front, by their places in the casing.

    As given, the largest at the back, and the heaviest in the middle, where a case is the steadiest.
    """
    frames = casing.frames
    count = len(frames)
    area = [frame.outside.width * frame.outside.height for frame in frames]
    by_size = tuple(sorted(range(count), key=lambda n: (-area[n], -frames[n].outside.width, n)))
    by_weight = sorted(range(count), key=lambda n: (-frames[n].gross_kg, n))
    middle: tuple[int, ...] = ()
    for turn, place in enumerate(by_weight):
        middle = (*middle, place) if turn % 2 else (place, *middle)
    return tuple(dict.fromkeys((tuple(range(count)), by_size, middle)))


def _bodies(casing: Casing, known: Known) -> Iterator[tuple[CaseDesign, Sizes]]:
    """Yield every combination of attitude, opening, lumber and foam."""
    shop, checked = casing.shop, replace(casing, shop=never_snug(casing.shop))
    known_checked: Known = {}
    attitudes: list[Turned] = [(), *ways(casing)[1:_ATTITUDES]]
    openings: tuple[Literal["", "end", "front"], ...] = ("",)
    if len(casing.frames) > shop.case.front_up_to:
        openings = ("", "end" if shop.case.opens == "front" else "front")
    for turned, opens, post, on_edge in product(attitudes, openings, _lumber(shop), (False, True)):
        ruled = CaseDesign(turned=turned, opens=opens, post=post, on_edge=on_edge)
        found = [ruled]
        if shop.case.cushion == "snug":
            # What the check would have is never forbidden: thin foam on thick boards may come out dearer.
            beds = sizes_of(replace(checked, design=ruled), known_checked).beds
            found.append(replace(ruled, foam=(beds[0].foam, beds[1].foam, beds[2].foam)))
        for design in found:
            sizes = sizes_of(replace(casing, design=design), known)
            yield design, sizes
            if any(bed.shims for bed in sizes.beds):
                # Foam as thick as the lumber reaches in needs no boards behind it.
                x, y, z = (
                    _no_shims(casing, bed, reach) or asked
                    for bed, reach, asked in zip(sizes.beds, sizes.reach, design.foam, strict=True)
                )
                bare = replace(design, foam=(x, y, z))
                yield bare, sizes_of(replace(casing, design=bare), known)


def _no_shims(casing: Casing, bed: Bed, reach: int) -> int:
    """Return the thickness of foam that needs no boards behind it beside lumber; 0 where it is so, or is fixed."""
    if not bed.shims or casing.shop.case.cushion == "fixed":
        return 0
    return thickness_of(stacked(max(bed.foam, reach), casing.shop, casing.shop.case.cushion_good))


def _worse(sizes: Sizes, ruled: Sizes, shop: Shop) -> bool:
    """Whether a design falls short of the ruled one: in what comes through its foam, or in what a sheet surely has."""
    return (ruled.keeps and not sizes.keeps) or _unsure(sizes, shop) > _unsure(ruled, shop)


def _unsure(sizes: Sizes, shop: Shop) -> int:
    """Count the faces that only a sheet of its full size takes whole."""
    stock = stock_of(shop)
    sides = [plane(box, flat) for _, box, flat, _ in faces_of(sizes)]
    return sum(stock.fits(*each) and not stock.sure.fits(*each) for each in sides)


def _lumber(shop: Shop) -> tuple[str, ...]:
    """Return the goods that the lumber along the edges may be of: as ruled, and narrower ones of the same thickness.

    Screws and bolts then hold as they do in the shop's own.
    """
    ruled = shop.good(shop.case.lumber_good)
    others = sorted(
        (good.breadth, good.good)
        for good in shop.goods
        if good.form == "stick"
        and good.material == ruled.material
        and good.thickness == ruled.thickness <= good.breadth < ruled.breadth
    )
    return ("", *(name for _, name in others))


def _volume(sizes: Sizes) -> int:
    """Return what a case takes up."""
    body = sizes.body
    return body.width * body.height * body.depth


def _bulk(sizes: Sizes) -> tuple[int, ...]:
    """Return what costs more the more there is of it."""
    body, beds = sizes.body, sizes.beds
    return (
        body.width,
        body.height,
        body.depth,
        *(bed.foam for bed in beds),
        *(len(bed.sheets) for bed in beds),
    )


def _told(design: CaseDesign, sizes: Sizes) -> tuple[object, ...]:
    """Return what two designs have in common that come to the same case."""
    return design.post, sizes.lying, sizes.opening, sizes.turned, sizes.beds


def _no_worse(one: CaseDesign, sizes: Sizes, other: CaseDesign, other_sizes: Sizes) -> bool:
    """Whether a design takes no more of anything than another of the same lumber that opens alike."""
    if one.post != other.post or sizes.opening != other_sizes.opening:
        return False
    return all(a <= b for a, b in zip(_bulk(sizes), _bulk(other_sizes), strict=True))


def _seams(design: CaseDesign, sizes: Sizes, shop: Shop) -> Iterator[CaseDesign]:
    """Yield a design with its seams elsewhere: pairs of opposite faces alike, one pair after the other, then all."""
    stock = stock_of(shop)
    dividing = Dividing(shop.battens.panel_least, shop.joinery.snap)
    count: dict[str, int] = {}
    for name, box, flat, _ in faces_of(sizes):
        count[name] = len(patterns_for(*plane(box, flat), stock, dividing, most=PATTERNS))
    pairs = [pair for pair in (("back", "front"), ("bottom", "top"), ("left", "right")) if count[pair[0]] > 1]
    for number in range(1, PATTERNS):
        for pair in pairs:
            if number < count[pair[0]]:
                yield replace(design, patterns=tuple((name, number) for name in pair))
        if len(pairs) > 1:
            yield replace(design, patterns=tuple((name, number) for pair in pairs for name in sorted(pair)))
