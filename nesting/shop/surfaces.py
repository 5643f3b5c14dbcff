"""Surfaces: which material may lie against which, in which order layers go, and when a pour may be packed.

A material is refused by rule, with the reason. Fresh and cured resin takes an imprint of whatever plastic is pressed
on it in the warmth of a van, so only paper lies against it; everything else goes outside the paper. In crates and
travel frames nothing lies against the face at all.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise
from math import ceil
from typing import Final
from zoneinfo import ZoneInfo

from nesting.base.counts import counted
from nesting.base.measure import INCH
from nesting.order import Artwork, Surface
from nesting.shop.goods import Good
from nesting.shop.house_rules.packing import CureRules
from nesting.shop.materials import Kind
from nesting.shop.needs import surface_of
from nesting.shop.shop import Shop

PAPERS: Final = ("glassine", "silicone-parchment", "butcher-paper", "kraft")
"""Papers that may lie against a piece, the best first (common practice, no source)."""

_SCUFFING: Final = "kraft"
_ORDER: Final[dict[Kind, int]] = {
    "paper": 0, "scuffing paper": 0, "foam wrap": 1, "bubble wrap": 2, "wood": 3, "rigid foam": 3, "plank": 4,
}  # fmt: skip
_PLASTICS: Final[dict[Kind, str]] = {
    "foam wrap": "foam is plastic: pressed on the surface it leaves its cells in it and may stick",
    "bubble wrap": "bubble wrap leaves rings in a cured resin or painted surface",
    "plank": "foam plank is plastic: pressed on the surface it leaves its cells in it and may stick",
    "rigid foam": "rigid foam is plastic and hard: it marks and scratches the surface",
    "film": "film holds moisture and solvent in and sticks to the surface as it warms",
}
_TAPE: Final = "adhesive lifts or stains the surface; tape goes on the wrapping only"
_OTHER: Final = "only paper lies against a face"
_WOOD: Final = "wood and board scratch the surface and give off acids"


class SurfaceError(ValueError):
    """A material against a surface that it may not touch.

    Attributes
    ----------
    piece, good, reason : str
        What was to be wrapped in what, and why it is refused.
    """

    def __init__(self, piece: str, good: str, reason: str) -> None:
        self.piece, self.good, self.reason = piece, good, reason
        super().__init__(f"{piece}: {good} may not touch its face: {reason}")


@dataclass(frozen=True, slots=True)
class Ruling:
    """Whether a material may touch a surface.

    Attributes
    ----------
    allowed : bool
        False is final: no packing method may do it.
    reason : str
        Why not, or what to mind; empty where nothing is to be said.
    """

    allowed: bool
    reason: str = ""


def kind_of(good: Good, shop: Shop) -> Kind:
    """Tell what a good is to a surface, by its material and, among papers, by its name.

    Raises
    ------
    UnfitMaterialError
        Where nobody said what its material is to a face.
    """
    kind = surface_of(shop, good)
    return "scuffing paper" if kind == "paper" and good.good.startswith(_SCUFFING) else kind


def may_touch(good: Good, surface: Surface, shop: Shop) -> Ruling:
    """Rule on a good against a surface.

    Parameters
    ----------
    good : Good
        What would touch it.
    surface : {"resin", "paint", "glazed", "bare"}
        The face of the piece.
    shop : Shop
        For what the good is made of.

    Returns
    -------
    Ruling
        Common practice, no source: paper may touch any face, kraft with a warning of scuffing; no plastic, foam or
        bubble wrap touches resin or paint; tape and wood touch no face.
    """
    kind = kind_of(good, shop)
    refused: dict[Kind, str] = {"tape": _TAPE, "wood": _WOOD, "other": _OTHER, "film": _PLASTICS["film"]}
    if surface in ("resin", "paint"):
        refused |= _PLASTICS
    if kind in refused:
        return Ruling(allowed=False, reason=refused[kind])
    if kind == "scuffing paper" and surface != "bare":
        return Ruling(allowed=True, reason=f"{good.title} may scuff the surface: keep it smooth and do not rub")
    if kind in _PLASTICS:
        return Ruling(allowed=True, reason="paper under it is better: foam catches on edges")
    return Ruling(allowed=True)


@dataclass(frozen=True, slots=True)
class FaceLayer:
    """The paper that goes against a face.

    Attributes
    ----------
    good : Good
        What is used.
    warning : str
        Scuffing, or why not the best one; empty where all is well.
    """

    good: Good
    warning: str = ""


def face_layer(shop: Shop, artwork: Artwork) -> FaceLayer:
    """Choose what goes against the face of a wrapped piece: the best paper that the shop stocks.

    Glassine, then silicone parchment, then uncoated butcher paper, and kraft last with a warning of scuffing.

    Raises
    ------
    SurfaceError
        If none is stocked: there is nothing that may touch the face.
    """
    for name in PAPERS:
        if name in shop.by_name:
            good = shop.good(name)
            ruling = may_touch(good, artwork.surface, shop)
            missing = "" if name == PAPERS[0] else f"no {PAPERS[0]} is stocked: {good.title} is used instead"
            return FaceLayer(good, "; ".join(text for text in (missing, ruling.reason) if text))
    raise SurfaceError(artwork.piece, "nothing stocked", f"only paper may; stock one of {', '.join(PAPERS)}")


def check_layers(shop: Shop, artwork: Artwork, goods: tuple[str, ...]) -> tuple[str, ...]:
    """Hold the layers of a wrapped piece against the rules.

    Parameters
    ----------
    shop : Shop
        For what each good is.
    artwork : Artwork
        The piece.
    goods : tuple of str
        From the face outwards; the first one touches it.

    Returns
    -------
    tuple of str
        What to mind.

    Raises
    ------
    SurfaceError
        If the first may not touch the face, or a later one would have to go under an earlier one.
    """
    if not goods:
        return ()
    first = shop.good(goods[0])
    ruling = may_touch(first, artwork.surface, shop)
    if not ruling.allowed:
        raise SurfaceError(artwork.piece, first.title, ruling.reason)
    ranks = [(_ORDER[kind], name) for name in goods if (kind := kind_of(shop.good(name), shop)) in _ORDER]
    for (inner, name), (outer, beyond) in pairwise(ranks):
        if outer < inner:
            raise SurfaceError(artwork.piece, beyond, f"it belongs inside {name}: paper, foam, boards, plank, carton")
    return (ruling.reason,) if ruling.reason else ()


@dataclass(frozen=True, slots=True)
class Cure:
    """When a poured piece may be handled.

    Attributes
    ----------
    packing : datetime
        Earliest packing with nothing against the face, in the studio's zone.
    face : datetime
        From when something may lie against the face.
    hours : float
        What was counted from the end of the pour to packing.
    reason, face_reason : str
        How it was counted.
    """

    packing: datetime
    face: datetime
    hours: float
    reason: str
    face_reason: str


def cure_hours(artwork: Artwork, rules: CureRules, *, touches_face: bool = False) -> tuple[float, str]:
    """Count the hours from the last pour to packing: the least, and more for thick pours and for several.

    Depth is that of one pour: the whole depth over the number of pours, since each cures by itself. The crates and the
    calendar both ask here, so that a packing is never planned for a day on which it may not be done.

    Parameters
    ----------
    artwork : Artwork
        Its pours and their depth.
    rules : CureRules
        The shop's.
    touches_face : bool
        Whether anything will lie against the face: then the shop's days for that pass first.
    """
    hours = rules.pack_hours
    reason = f"{rules.pack_hours:g} h at the least"
    depth = artwork.pour_depth / max(1, artwork.pours)
    eighths = ceil(max(0.0, depth - rules.thin_pour) * 8 / INCH)
    if eighths:
        more = rules.hours_per_eighth * eighths
        hours += more
        reason += f", {more:g} h for the depth of a pour"
    if artwork.pours > 1:
        more = rules.hours_per_pour * (artwork.pours - 1)
        hours += more
        reason += f", {more:g} h for {artwork.pours} pours"
    if touches_face:
        hours = max(hours, 24 * rules.face_days)
        reason = f"{rules.face_days:g} {counted(rules.face_days, 'day')} before anything may lie against the face"
    return hours, reason


def cure(artwork: Artwork, rules: CureRules, zone: tzinfo) -> Cure | None:
    """Tell when a piece may be packed, and when anything may lie against its face.

    Parameters
    ----------
    artwork : Artwork
        Its ``poured`` is local time; a date alone counts from the end of that day.
    rules : CureRules
        The shop's.
    zone : tzinfo
        The studio's. Hours are counted in real time, across a change of clocks too.

    Returns
    -------
    Cure or None
        None where no pour is known.
    """
    start = artwork.poured_end(zone)
    if start is None:
        return None
    hours, reason = cure_hours(artwork, rules)
    longer, why = cure_hours(artwork, rules, touches_face=True)
    packing, face = (start + timedelta(hours=each) for each in (hours, longer))
    return Cure(packing.astimezone(zone), face.astimezone(zone), hours, reason, why)


def earliest_packing(
    artworks: tuple[Artwork, ...], shop: Shop, *, touches_face: bool
) -> tuple[datetime | None, tuple[str, ...]]:
    """Tell when all of several pieces may be packed, with one sentence for each poured piece.

    Parameters
    ----------
    artworks : tuple of Artwork
        What goes into one crate.
    shop : Shop
        Its rules of cure and its time zone.
    touches_face : bool
        Whether paper lies against the faces (cartons), or nothing does.
    """
    zone = ZoneInfo(shop.studio.time_zone)
    latest: datetime | None = None
    said = []
    for artwork in artworks:
        found = cure(artwork, shop.cure, zone)
        if found is None:
            continue
        when = found.face if touches_face else found.packing
        why = found.face_reason if touches_face else found.reason
        said.append(f"{artwork.piece}: not packed before {when:%Y-%m-%d %H:%M} ({why})")
        # Aware times of one zone compare by the clock face, so they are compared in UTC through their timestamps.
        if latest is None or when.timestamp() > latest.timestamp():
            latest = when
    return latest, tuple(said)
