"""Sizes of an outer case: what its design makes of foam, shims, lumber, room and outside, before anything is made.

The one source of them: whoever makes the case and whoever only compares designs take their sizes here.

Lumber needs room of its own. A frame that gives way into its foam must strike no wood, so the frames stand farther in
than the lumber along the edges reaches, and before lumber behind a seam there is as much more as the foam is pressed
together. Where the foam is thinner than that, boards behind its pads make up for it.
"""

from dataclasses import dataclass, replace
from typing import Final

from nesting.crates.cases.attitudes import Turned, standing, ways
from nesting.crates.cases.bed import Bed, shims_for
from nesting.crates.cases.case_shell import Opening, Room, face_boxes, plane, stock_of
from nesting.crates.cases.cushions import Cushion, cushions_of
from nesting.crates.gear.members import Section, section_of
from nesting.crates.limits import shock_limit
from nesting.crates.model import Size
from nesting.crates.traits import Casing

PRESSED: Final = (3, 5)
"""Share of its thickness by which foam is pressed together before it bottoms: 60 to 70 %, as in
:mod:`nesting.advice.cushion`, from memory; the lesser, for it is then hard already."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """What a design comes to.

    Attributes
    ----------
    section : Section
        Of the lumber.
    lying : Section
        The same as the rings lie: ``thick`` is how far it reaches in from front and back, ``breadth`` how far from
        base, top and ends.
    beds : tuple of Bed
        At the ends, at base and top, at back and front.
    turned : tuple of bool
        Which frames stand on their side.
    frames : tuple of Size
        Outsides of the frames as they stand.
    opening : {"end", "front"}
        Which face comes off.
    board : int
        Thickness of the strand board.
    spacer : int
        Room between neighbouring frames.
    cushions : tuple of Cushion
        How the foam of each bed is to bear.
    cut : bool
        Whether pads are cut smaller than strips and slats to come down to what is wanted.
    contents_kg : float
        Frames and pieces.
    limit : float
        Shock in G that is allowed at the most; 0 where nobody states a limit.
    """

    section: Section
    lying: Section
    beds: tuple[Bed, Bed, Bed]
    turned: Turned
    frames: tuple[Size, ...]
    opening: Opening
    board: int
    spacer: int
    cushions: tuple[Cushion, Cushion, Cushion]
    cut: bool
    contents_kg: float
    limit: float

    @property
    def on_edge(self) -> bool:
        """Whether the lumber of the rings stands on edge against front and back."""
        return self.lying.thick != self.section.thick

    @property
    def pack(self) -> Size:
        """Extremes of all frames together."""
        return Size(
            max(size.width for size in self.frames),
            max(size.height for size in self.frames),
            sum(size.depth for size in self.frames) + (len(self.frames) - 1) * self.spacer,
        )

    @property
    def inside(self) -> Size:
        """Inside of the strand board."""
        pack, (x, y, z) = self.pack, self.beds
        return Size(pack.width + 2 * x.depth, pack.height + 2 * y.depth, pack.depth + 2 * z.depth)

    @property
    def body(self) -> Size:
        """Outside of the strand board."""
        room, t = self.inside, 2 * self.board
        return Size(room.width + t, room.height + t, room.depth + t)

    @property
    def reach(self) -> tuple[int, int, int]:
        """How far the lumber along the edges reaches in from the ends, from base and top, from back and front.

        The posts lie with their broad side to base and top where the rings lie flat, and to the ends where they stand.
        """
        return self.lying.breadth, max(self.lying.breadth, self.lying.thick), self.lying.thick

    @property
    def bearing(self) -> tuple[int, int, int]:
        """Area of foam that is wanted on each axis."""
        return self.cushions[0].wanted, self.cushions[1].wanted, self.cushions[2].wanted

    @property
    def keeps(self) -> bool:
        """Whether the pads keep the shock to what is allowed, as they are planned."""
        return all(cushion.keeps for cushion in self.cushions)

    @property
    def least_foam(self) -> int:
        """Thickness of the foam where there is least of it."""
        return min(bed.foam for bed in self.beds)


def section_for(casing: Casing) -> Section:
    """Return the section of the lumber along the edges."""
    shop = casing.shop
    return section_of(casing.design.post or shop.case.lumber_good, shop, laminated=shop.laminates(casing.country))


Known = dict[tuple[Turned, tuple[int, int, int]], tuple[Cushion, Cushion, Cushion]]
"""Cushions of some frames by how they stand and what foam is asked for: they do not depend on lumber and openings."""


def sizes_of(casing: Casing, known: Known | None = None) -> Sizes:
    """Work out the sizes of a case for its design.

    Parameters
    ----------
    known : dict, optional
        Cushions found so far of the same frames in the same shop, which is added to.
    """
    shop, design, section = casing.shop, casing.design, section_for(casing)
    lying = replace(section, thick=section.breadth, breadth=section.thick) if design.on_edge else section
    contents = sum(frame.net_kg + frame.tare_kg for frame in casing.frames)
    limit, _ = shock_limit(casing.artworks, shop)
    turned = design.turned or ways(casing)[0]
    if len(turned) != len(casing.frames) or any(
        on_side and not artwork.turn for on_side, artwork in zip(turned, casing.artworks, strict=False)
    ):
        raise ValueError(f"case {casing.crate}: a frame is turned whose piece may not travel on its side")
    if known is None or (cushions := known.get((turned, design.foam))) is None:
        cushions = cushions_of(casing, turned, contents, limit)
        if known is not None:
            known[turned, design.foam] = cushions
    sizes = Sizes(
        section=section,
        lying=lying,
        beds=(Bed(cushions[0].planks), Bed(cushions[1].planks), Bed(cushions[2].planks)),
        turned=turned,
        frames=standing(casing.frames, turned),
        opening=_opening(casing),
        board=shop.good(shop.case.face_good).thickness,
        spacer=shop.good(shop.case.spacer_good).thickness,
        cushions=cushions,
        cut=shop.case.cushion != "fixed",
        contents_kg=contents,
        limit=limit,
    )
    # More room may make another face larger than a sheet, or lumber longer than the stock, which asks for more again.
    while (beds := _shimmed(sizes, casing)) != sizes.beds:
        sizes = replace(sizes, beds=beds)
    return sizes


def _opening(casing: Casing) -> Opening:
    """Return which face opens, by design or by the shop's rule."""
    rules = casing.shop.case
    if casing.design.opens:
        return casing.design.opens
    return "front" if rules.opens == "front" or len(casing.frames) <= rules.front_up_to else "end"


def _shimmed(sizes: Sizes, casing: Casing) -> tuple[Bed, Bed, Bed]:
    """Return the beds with boards behind their foam where lumber needs more room than it leaves."""
    shop, thick = casing.shop, sizes.section.thick
    inside = sizes.inside
    spliced = not sizes.section.plies and max(inside.width, inside.height, inside.depth) > sizes.section.longest
    plate = shop.good(shop.joinery.block_good).thickness if spliced else 0
    seamed = _seamed(sizes, casing)
    least = (casing.design.clear, casing.design.clear, 0)
    made = []
    for bed, edge, seam, clear in zip(sizes.beds, sizes.reach, seamed, least, strict=True):
        need = edge + plate
        if seam:
            over, of = PRESSED
            need = max(need, thick + max(plate, -(-bed.foam * over // of)))
        made.append(Bed(bed.planks, shims_for(max(need - bed.foam, clear), shop)))
    return made[0], made[1], made[2]


def _seamed(sizes: Sizes, casing: Casing) -> tuple[bool, bool, bool]:
    """Return on which axes a face is larger than any sheet, or divided by choice."""
    room, stock = sizes.inside, stock_of(casing.shop)
    boxes = face_boxes(Room(0, 0, 0, room.width, room.height, room.depth), sizes.board, sizes.opening)
    chosen = {name for name, _, _ in casing.design.seams}
    found = {flat for name, box, flat, _ in boxes if name in chosen or not stock.fits(*plane(box, flat))}
    return "x" in found, "y" in found, "z" in found
