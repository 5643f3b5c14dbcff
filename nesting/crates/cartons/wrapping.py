"""Wrapping: paper, foam and film by the piece, for a rectangular parcel wrapped like a gift."""

from dataclasses import dataclass
from math import ceil

from nesting.crates.model import Size
from nesting.cutting.parts import RollPart
from nesting.cutting.rolls import strips_across
from nesting.shop.goods import Good
from nesting.shop.house_rules.packing import WrapRules
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Sheet:
    """A rectangle of paper, foam or film.

    Attributes
    ----------
    around, along : int
        Size around the parcel, and from end to end over both ends.
    """

    around: int
    along: int


def gift_wrap(parcel: Size, overlap: int) -> Sheet:
    """Return the sheet that wraps a parcel once: 2 (H + D) + overlap around, by W + 2 D along.

    Each end is covered by folding D over it from either side: its flaps meet where D is the smaller side of the end.
    """
    return Sheet(2 * (parcel.height + parcel.depth) + overlap, parcel.width + 2 * parcel.depth)


def roll_length(sheet: Sheet, width: int, lap: int) -> int | None:
    """Return the least length that a sheet takes off a roll, whichever way round; None where it comes off none."""
    found = []
    for along, across in ((sheet.along, sheet.around), (sheet.around, sheet.along)):
        strips = strips_across(across, width, lap)
        if strips is not None:
            found.append(strips * along)
    return min(found, default=None)


def best_wrap(parcel: Size, good: Good, rules: WrapRules) -> Sheet:
    """Return the sheet for a parcel, wrapped across its height or across its width, whichever takes less roll."""
    upright = gift_wrap(parcel, rules.overlap)
    turned = gift_wrap(Size(parcel.height, parcel.width, parcel.depth), rules.overlap)

    def taken(sheet: Sheet) -> tuple[float, int]:
        lengths = [
            length for size in good.sizes if (length := roll_length(sheet, size.width, rules.roll_lap)) is not None
        ]
        return min(lengths, default=float("inf")), sheet.around * sheet.along

    return min((upright, turned), key=taken)


def foam_layers(weight_lb: float, rules: WrapRules) -> int:
    """Return how many layers of foam a piece of that weight gets: two to four."""
    if weight_lb > rules.heavy_lb:
        return rules.foam_heavy
    return rules.foam_middling if weight_lb > rules.middling_lb else rules.foam_light


@dataclass(frozen=True, slots=True)
class Wrapped:
    """A piece in its layers.

    Attributes
    ----------
    size : Size
        Outside of the parcel.
    parts : tuple of RollPart
        What comes off rolls, from the face outwards.
    tape : int
        Length of tape, exact grid.
    """

    size: Size
    parts: tuple[RollPart, ...]
    tape: int


def _grown(size: Size, thickness: int) -> Size:
    """Return the outside of a parcel after a layer of that thickness; paper folds are within the foam's give."""
    more = 2 * thickness
    return Size(size.width + more, size.height + more, size.depth + more)


def wrap(name: str, piece: Size, paper: Good, foam: int, shop: Shop) -> Wrapped:
    """Wrap a piece in paper and then in foam.

    Parameters
    ----------
    name : str
        Stem of the parts' names, such as ``"K1.A-01"``.
    piece : Size
        The bare piece.
    paper : Good
        What goes against it.
    foam : int
        Layers of foam wrap.
    shop : Shop
        Its rules of wrapping and its foam.

    Returns
    -------
    Wrapped
        Each layer is measured on the parcel that it wraps.
    """
    rules = shop.wrap
    size = piece
    parts = []
    tape = 0
    foam_good = shop.good(rules.foam_good)
    layers = [(paper, "paper")] * rules.paper_turns + [(foam_good, "foam")] * foam
    for index, (good, word) in enumerate(layers):
        sheet = best_wrap(size, good, rules)
        number = index + 1 if word == "paper" else index + 1 - rules.paper_turns
        around, along = shop.whole_up(sheet.around), shop.whole_up(sheet.along)
        parts.append(RollPart(f"{name}.{word}-{number}", around, along, good.good, lap=rules.roll_lap))
        tape += sheet.along + 4 * min(size.width, size.height)
        size = _grown(size, good.thickness)
    # A shop by millimetres measures the parcel in whole ones: boards and trays are cut by it.
    return Wrapped(
        Size(shop.whole_up(size.width), shop.whole_up(size.height), shop.whole_up(size.depth)), tuple(parts), tape
    )


@dataclass(frozen=True, slots=True)
class Cover:
    """Film over the outside of a travel frame.

    Attributes
    ----------
    sheet : Sheet
        One piece of film, wrapped like paper.
    staples : int
        Along the lap, and around both ends.
    """

    sheet: Sheet
    staples: int


def cover(frame: Size, good: Good, rules: WrapRules) -> Cover:
    """Measure the film over a frame, and the staples that hold it into the edges of the frame, never over the piece."""
    sheet = best_wrap(frame, good, rules)
    lap = sheet.along - 2 * frame.depth
    end = (sheet.around - rules.overlap) // 2 - frame.depth
    run = lap + 2 * 2 * end
    return Cover(sheet, ceil(run / rules.staple_spacing))
