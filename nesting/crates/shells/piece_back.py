"""The back of a piece: the one model that weight, screws, stops and drill maps share.

A solid back is wood everywhere. Behind the face of a strainer or a cradle there is wood in the bars only: two along
the upper and lower edge from side to side, two uprights between them at the sides, and middle bars between those. A
piece that comes with cleats takes screws in these, where the order says where they lie.

Everything is at its worst: a face may be 1/32 in less than stated, resin and glazing are taken off the depth.
Lengths are exact; inches, pounds-force and psi only where the piece is bent (:class:`OwnBending`).
"""

from dataclasses import dataclass
from math import inf
from typing import Final

from nesting.advice.estimate import hollow_words
from nesting.advice.fasteners import distances, screw_number
from nesting.base.measure import INCH, MM, UnitSystem, format_length, inches
from nesting.base.own_length import OwnLength
from nesting.crates.traits import Reason, reason
from nesting.order import Artwork, Back
from nesting.shop.backs import write_back
from nesting.shop.materials import Material
from nesting.shop.materials_built_in import ANY_BACK
from nesting.shop.needs import PANEL
from nesting.shop.shop import Shop
from nesting.shop.supports import back_of, back_stated, hollow_rules, misfit, support_of

__all__ = [
    "Ground",
    "OwnBending",
    "back_stated",
    "bar_rects",
    "own_bending",
    "own_cleats",
    "refuse_hollow",
    "screw_row",
    "to_face",
    "wood_depth",
]

FACE_LESS: Final = OwnLength(INCH // 32, MM)
"""How much thinner than stated a face or a cleat may be: US PS 1 as reproduced by APA, for panels up to 13/16 in;
EN 315 allows 0.9 mm at 18 mm (by a maker's size page)."""

BARS_PSI: Final = 750.0
"""What bars bear in bending: spruce-pine-fir No. 3, 500 psi, with the size factor 1.5 (NDS Supplement Table 4A, from
memory). Of what grade they are nobody says, so that the lowest framing grade of the weaker common species counts."""

BARS_E_PSI: Final = 1_200_000.0
"""Modulus of elasticity of the same grade (NDS Supplement Table 4A, from memory)."""

_BARS_SOURCE: Final = "NDS Supplement Table 4A, spruce-pine-fir No. 3: 500 psi with size factor 1.5, from memory"


@dataclass(frozen=True, slots=True)
class Ground:
    """A rectangle of the back that takes a screw; ``x``, ``y`` from the piece's lower left corner seen from the front.

    Attributes
    ----------
    x, y, dx, dy : int
        Exact grid.
    """

    x: int
    y: int
    dx: int
    dy: int


def _front(artwork: Artwork, shop: Shop) -> int:
    """Return how much of the depth is resin and glazing, in front of all wood."""
    front = 0
    if artwork.surface == "resin" or artwork.pour_depth:
        front += artwork.pour_depth or shop.estimate.resin
    if artwork.surface == "glazed":
        front += shop.estimate.glazing
    return front


def _body(artwork: Artwork, shop: Shop) -> int:
    """Return the depth of a piece without resin and glazing."""
    return max(0, artwork.depth - _front(artwork, shop))


def _least(stated: int, shop: Shop) -> int:
    """Return the least that a stated thickness may be; 0 where none is stated."""
    return max(0, stated - shop.own(FACE_LESS))


def wood_depth(artwork: Artwork, shop: Shop) -> int:
    """Return the least depth of wood behind a screw, from the back.

    Resin and glazing are taken off the depth of a solid piece; a strainer or cradle has its bars, as far as the face
    leaves depth for them; cleats of the piece's own are as thick as stated, or as deep as the shop's rule asks of wood.
    """
    back = back_stated(artwork, shop)
    if back.has_bars:
        return min(back.bar_depth, max(0, _body(artwork, shop) - _least(back.face, shop)))
    if back.says_where:
        return _least(back.cleat_thickness, shop)
    if back.kind == "cleated":
        return shop.cleats.piece_wood
    return _body(artwork, shop)


def to_face(artwork: Artwork, shop: Shop) -> int:
    """Return the least distance from the back's surface to the face: what the tip of a screw must stay short of.

    Bars count with the face in front of them where its thickness is stated. In front of cleats nothing is known to be.
    """
    back = back_stated(artwork, shop)
    if back.has_bars:
        return min(back.bar_depth + _least(back.face, shop), _body(artwork, shop))
    return wood_depth(artwork, shop)


def own_cleats(artwork: Artwork) -> tuple[tuple[int, int, int], ...]:
    """Return the piece's own cleats from the lower one up, where the order says where they lie.

    Returns
    -------
    tuple of (int, int, int)
        Height of the lower edge above the piece's lower edge, width, and thickness as stated.
    """
    back = artwork.back
    if not back.says_where:
        return ()
    high = artwork.height - back.cleat_high - back.cleat_width
    return tuple((y, back.cleat_width, back.cleat_thickness) for y in (back.cleat_low, high))


def bar_rects(artwork: Artwork, shop: Shop) -> tuple[Ground, ...]:
    """Return the wood at the back that takes a screw: rectangles that do not overlap.

    The whole back of a solid piece, and of one whose own cleats lie nobody knows where; the bars of a strainer or
    cradle: upper and lower from side to side, the uprights between them; the piece's own cleats.
    """
    back, width, height = back_stated(artwork, shop), artwork.width, artwork.height
    if cleats := own_cleats(artwork):
        return tuple(Ground(0, y, width, wide) for y, wide, _ in cleats)
    bar = back.bar_width
    if not back.has_bars or 2 * bar >= min(width, height):
        return (Ground(0, 0, width, height),)
    uprights = [bar + (width - 2 * bar - bar * back.middle_bars) * n // (back.middle_bars + 1) + bar * (n - 1)
                for n in range(1, back.middle_bars + 1)]  # fmt: skip
    return (
        Ground(0, 0, width, bar),
        Ground(0, height - bar, width, bar),
        *(Ground(x, bar, bar, height - 2 * bar) for x in (0, *uprights, width - bar)),
    )


def screw_row(artwork: Artwork, shop: Shop, *, upper: bool, cleat_edge: int, cleat_width: int) -> int:
    """Return the height above the piece's lower edge of the screws through a crate's cleat into the piece.

    In the middle of the bar of a strainer or cradle, or as near to it as keeps the edges of a wide bar and of the
    crate's cleat; in the middle of the piece's own cleat; in a solid back near the cleat's edge, apart from the row of
    mounting screws in its middle.

    Parameters
    ----------
    upper : bool
        Whether the cleat is of the upper row.
    cleat_edge, cleat_width : int
        Height of the crate's cleat's lower edge above the piece's lower edge, and its width.
    """
    edge, bar = _edge(shop), back_stated(artwork, shop).bar_width
    if cleats := own_cleats(artwork):
        y, wide, _ = cleats[-1 if upper else 0]
        return y + wide // 2
    if bar:
        inset = artwork.height - cleat_edge - cleat_width if upper else cleat_edge
        middle = bar // 2 if inset < bar // 2 else (inset + bar) // 2
        low, high = shop.whole_up(inset + edge), shop.whole(min(inset + cleat_width, bar) - edge)
        offset = min(max(shop.near(middle), low), high) if low <= high else shop.near(middle)
        return artwork.height - offset if upper else offset
    offset = shop.whole_up(max(edge, cleat_width // 4))
    return cleat_edge + cleat_width - offset if upper else cleat_edge + offset


def _edge(shop: Shop) -> int:
    """Return the distance that the thickest screw that may be used keeps from an edge along the grain."""
    numbers = [screw_number(shop.good(n).diameter_in) for n in (*shop.cleats.screws, *shop.cleats.piece_screws)]
    return distances(max(numbers)).edge


def refuse_hollow(artwork: Artwork, shop: Shop, units: UnitSystem) -> list[Reason]:
    """Return why the piece has no wood for the screws of a cleat, with what to add; empty if it has."""
    rules, back = shop.cleats, back_stated(artwork, shop)
    if back.kind == "solid":
        named = support_of(artwork, shop)
        if named is not None and named.takes_no_screw:
            found = f"no screw holds in its back: solid, of {artwork.support}"
            return [reason(artwork, "back", found, _to_add(rules.piece_wood, units))]
        if words := hollow_words(artwork.support):
            return [_unstated_hollow(artwork, shop, words[0])]
    if own_cleats(artwork):
        return []
    depth = wood_depth(artwork, shop)
    if depth < rules.piece_wood:
        found = f"{format_length(depth, units, mark=True)} of wood for screws at its back"
        return [reason(artwork, "back", found, _to_add(rules.piece_wood, units))]
    if back.has_bars and back.bar_width < rules.bar_least:
        needed = format_length(rules.bar_least, units, mark=True)
        found = f"bars {format_length(back.bar_width, units, mark=True)} wide at its back, which a screw splits"
        accepted = f"bars at least {needed} wide, so that a screw in their middle does not split them"
        return [reason(artwork, "back", found, accepted)]
    return []


def _unstated_hollow(artwork: Artwork, shop: Shop, word: str) -> Reason:
    """Say what a piece must state that calls itself hollow and solid at once."""
    found = f"no word where screws find wood in its back: solid, of {artwork.support}"
    for ruled, back in hollow_rules(artwork, shop):
        found += f"; the shop's rule for {ruled}, {write_back(back)}, does not fit: it needs {misfit(back, artwork)}"
    return reason(
        artwork,
        "back",
        found,
        "the wood behind its face: cradle or strainer with width and depth of the bars and the face, such as "
        "cradle 3/4 x 1 1/2, face 1/4 (where there is none, glue and clamp bars on first), or cleated where it comes "
        "with cleats; or what the word means in this shop, as hollow_backs of [cleats] in shop.toml; or a support that "
        f"does not say {word}",
    )


def _to_add(depth: int, units: UnitSystem) -> str:
    """Say what a piece without wood for screws needs."""
    return (
        f"wood at least {format_length(depth, units, mark=True)} deep at the back: glue and clamp wooden bars along "
        "the upper and lower edge, let the glue cure, and say back = strainer with their width and depth, or cleated"
    )


@dataclass(frozen=True, slots=True)
class OwnBending:
    """What a piece bears itself, bent upright between two rows of cleats.

    A load F, even over the face between the rows, pulls on the piece. A panel carries it as a strip: M = F L / 8. Bars
    carry it by the parts of the face that lie nearest to them (lines at 45 degrees from the corners, as for beams under
    a slab): with fields w wide between neighbouring uprights of a face H high, the load on a bar rises from its ends
    over a = min(w, H) / 2 and is even between, q a at the most and twice that on a bar between two fields, with
    q = F / (W L). Of it, the bar between supports L apart bears in its middle

        M = q a (L^2 / 8 - r^3 / (6 a)),    r = max(0, a - (H - L) / 2),

    r being the part of the rise that lies between the supports. With L = H it is P L / 6 under a triangular load P
    (w >= H, P = F H / (4 W)), and w (L^2 / 8 - a^2 / 6) under one with ramps a (H > w), as in tables of beams. Ends
    of bars beyond the rows, which relieve the middle, and the face's own strength are left out.

    Attributes
    ----------
    ei : float
        Stiffness of one strip or bar, lb in2.
    section : float
        Its section modulus, in3.
    allowable_psi : float
        What its material bears in bending.
    width, height : float
        Of the face, in.
    fields : int
        How many fields lie between upright bars; 0 for a panel.
    moment_factor : str
        How its moment is reckoned, for people.
    source : str
        Where stiffness and strength come from.
    """

    ei: float
    section: float
    allowable_psi: float
    width: float
    height: float
    fields: int
    moment_factor: str
    source: str

    def greatest_moment_of(self, load: float, span: float) -> float:
        """Return the greatest moment in one strip or bar, lbf in.

        Parameters
        ----------
        load : float
            In all on the face between two rows of cleats, lbf.
        span : float
            Between the rows, in; no more than the face's height.
        """
        if not self.fields:
            return load * span / 8
        sides = 1 if self.fields == 1 else 2
        ramp = min(self.width / self.fields, self.height) / 2
        within = min(ramp, max(0.0, ramp - (self.height - span) / 2))
        peak = sides * load / (self.width * span) * ramp
        return peak * (span**2 / 8 - within**3 / (6 * ramp))

    def stress(self, load: float, span: float) -> float:
        """Return the greatest stress in psi, with load and span as for :meth:`greatest_moment_of`."""
        return self.greatest_moment_of(load, span) / self.section if self.section else inf


def own_bending(artwork: Artwork, shop: Shop) -> OwnBending:
    """Return what a piece bears itself between an upper and a lower row of cleats.

    A strainer or cradle by its upright bars alone; a solid piece as a panel of its wood, one with cleats of its own as
    a panel as deep as the wood that is known behind these.
    """
    back = back_stated(artwork, shop)
    wide, high = inches(artwork.width), inches(artwork.height)
    if back.has_bars:
        across, deep = inches(back.bar_width), inches(wood_depth(artwork, shop))
        fields = back.middle_bars + 1
        return OwnBending(
            ei=BARS_E_PSI * across * deep**3 / 12,
            section=across * deep**2 / 6,
            allowable_psi=BARS_PSI,
            width=wide,
            height=high,
            fields=fields,
            moment_factor="q a (L^2/8 - r^3/(6 a)) a side, q = F/(W L), a = min(w, H)/2, r = a - (H - L)/2",
            source=_BARS_SOURCE,
        )
    material = _bends_as(artwork, shop)
    along, stiff = material.bending_along_psi, material.stiffness_along_psi
    deep = inches(_panel_depth(artwork, back, shop))
    return OwnBending(
        ei=(stiff.value if stiff else 0.0) * wide * deep**3 / 12,
        section=wide * deep**2 / 6,
        allowable_psi=along.value if along else 0.0,
        width=wide,
        height=high,
        fields=0,
        moment_factor="F L / 8",
        source=along.source if along else "",
    )


def _panel_depth(artwork: Artwork, back: Back, shop: Shop) -> int:
    """Return how deep the panel is that bends: what the piece's own cleats leave of the depth, else its wood."""
    if back.says_where:
        return max(0, _body(artwork, shop) - back.cleat_thickness - shop.own(FACE_LESS))
    return min(wood_depth(artwork, shop), _body(artwork, shop))


def _bends_as(artwork: Artwork, shop: Shop) -> Material:
    """Return the material as which a piece's panel counts in bending: plywood where its own states no figures."""
    material = back_of(artwork, shop)
    if all(getattr(material, name) is not None for name in PANEL):
        return material
    return shop.material(ANY_BACK)
