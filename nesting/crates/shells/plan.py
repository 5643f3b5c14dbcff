"""The plan of a shell before any design is chosen: pieces where they hang, rows of cleats or pads, how they pull."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from nesting.advice.backs import PIECE_COUNTED, Pull, handled_lbf
from nesting.advice.check import Check, compare
from nesting.base.measure import format_length, inches
from nesting.crates.load import Hung, Load, load_of
from nesting.crates.shells.mounting import Cleat, Pad, cleats_for, pads_for
from nesting.crates.shells.piece_back import OwnBending, back_stated, own_bending, own_cleats
from nesting.crates.traits import Packing, Reason, Refused
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Own:
    """What a piece bears itself between its rows.

    Attributes
    ----------
    hung : Hung
        The piece.
    bending : OwnBending
        One strip or bar of it.
    count : int
        How many of these.
    between : int
        From its lower to its upper row of cleats.
    """

    hung: Hung
    bending: OwnBending
    count: int
    between: int

    @property
    def up(self) -> float:
        """Stiffness from its lower to its upper edge, lb in2."""
        return self.bending.ei * self.count

    @property
    def level(self) -> float:
        """Stiffness from side to side: as many bars lie level at its edges, or the panel turned."""
        return self.bending.ei * (2 if self.bending.fields else self.bending.height / self.bending.width)

    def bears(self, shop: Shop) -> float:
        """Return what it bears in a knock, psi: bars more for a short time, a panel no more, as its coat cracks."""
        return self.bending.allowable_psi * (shop.mounting.duration_factor if self.bending.fields else 1.0)

    def stress(self, factor: float) -> float:
        """Return its stress in psi if it carried all that lies between its rows itself, times the handling factor."""
        if self.between <= 0 or not self.bending.section:
            return 0.0
        # What lies beyond the rows hangs on these and not between them.
        between = self.between / self.hung.artwork.height
        return self.bending.stress(between * handled_lbf(self.hung.weight.kg, factor), inches(self.between))


@dataclass(frozen=True)
class Plan:
    """Pieces and rows of one shell.

    Attributes
    ----------
    packing : Packing
        What was asked.
    load : Load
        The pieces where they hang.
    own : tuple of Own
        What each bears itself.
    tied : bool
        Whether cleats tie the pieces to the back between their outer rows, where the shop wants it and one needs it.
    cleats : tuple of tuple of Cleat
        Of each piece.
    pads : tuple of tuple of Pad
        Of each piece; none where it is tied.
    """

    packing: Packing
    load: Load
    own: tuple[Own, ...]
    tied: bool
    cleats: tuple[tuple[Cleat, ...], ...]
    pads: tuple[tuple[Pad, ...], ...]

    @property
    def width(self) -> int:
        """Outside of the frame, side to side."""
        return self.load.width + 2 * (self.packing.shop.frame.larger_by // 2)

    @property
    def height(self) -> int:
        """Outside of the frame, top to bottom."""
        return self.load.height + 2 * (self.packing.shop.frame.larger_by // 2)

    @cached_property
    def lines(self) -> tuple[int, ...]:
        """Heights of the rows of mounting screws."""
        return tuple(sorted({cleat.line for own in self.cleats for cleat in own}))

    @cached_property
    def pull(self) -> Pull:
        """How the pieces pull on the back, all together.

        Where pieces hang one above the other, all of them are taken to bear where the farthest row from a rail does.
        """
        t = self.packing.shop.good(self.packing.shop.frame.frame_good).thickness
        inside, across = self.height - 2 * t, self.width - 2 * t
        low = [cleat for own in self.cleats for cleat in own if not cleat.upper and not cleat.middle]
        high = [cleat for own in self.cleats for cleat in own if cleat.upper]
        below = min(max(cleat.line for cleat in low) - t, inside // 2)
        above = min(max(self.height - t - cleat.line for cleat in high), inside - below)
        return Pull(
            self.load.kg,
            inside,
            across,
            reach([(cleat.x, cleat.x + cleat.length) for cleat in low]),
            below,
            above,
            between=max(own.between for own in self.own),
            tied=self.tied,
            piece_up=min(own.up for own in self.own),
            piece_level=min(own.level for own in self.own),
        )

    @property
    def span(self) -> tuple[int, int]:
        """From where to where rows lie across the face."""
        every = [cleat for own in self.cleats for cleat in own]
        return min(c.x for c in every), max(c.x + c.length for c in every)


def plan_for(packing: Packing) -> Plan:
    """Hang the pieces and lay their rows.

    Raises
    ------
    Refused
        Every reason why a piece cannot be mounted.
    """
    shop, load = packing.shop, load_of(packing)
    reasons: list[Reason] = []
    laid: list[tuple[Cleat, ...]] = []
    for hung in load.hung:
        try:
            laid.append(cleats_for(hung, shop, packing.units, prefix=_prefix(load, hung)))
        except Refused as refused:
            reasons += refused.reasons
    if reasons:
        raise Refused(*reasons)
    own = tuple(
        own_of(hung, min(c.line for c in cleats), max(c.line for c in cleats), packing)
        for hung, cleats in zip(load.hung, laid, strict=True)
    )
    factor = shop.mounting.handling_factor
    tied = shop.cleats.tie and any(
        each.between > shop.cleats.apart_most
        and each.stress(factor) > each.bears(shop)
        # Nothing lies between the cleats of a piece's own.
        and not own_cleats(each.hung.artwork)
        for each in own
    )
    if tied:
        laid = [cleats_for(h, shop, packing.units, prefix=_prefix(load, h), tied=True) for h in load.hung]
    pads = tuple(
        () if tied else pads_for(hung, cleats, shop, prefix=_prefix(load, hung))
        for hung, cleats in zip(load.hung, laid, strict=True)
    )
    return Plan(packing, load, own, tied, tuple(laid), pads)


def _prefix(load: Load, hung: Hung) -> str:
    return f"{hung.artwork.piece}." if len(load.hung) > 1 else ""


def own_of(hung: Hung, low: int, high: int, packing: Packing) -> Own:
    """Return what a piece bears between the heights of its outer rows."""
    bends = own_bending(hung.artwork, packing.shop)
    bars = 2 + back_stated(hung.artwork, packing.shop).middle_bars if bends.fields else 1
    return Own(hung, bends, bars, high - low)


def check_pieces(plan: Plan, back_ei: float) -> list[Check]:
    """Hold each piece's own span against what it bears: alone between pads, with the back where cleats tie it."""
    made = []
    for own in plan.own:
        check = check_own(own, plan.packing, tied=back_ei if plan.tied else None, pads=any(plan.pads))
        name = f", {own.hung.artwork.piece}" if len(plan.own) > 1 else ""
        made += [replace(check, name=f"{check.name}{name}")] if check is not None else []
    return made


def check_own(own: Own, packing: Packing, *, tied: float | None, pads: bool) -> Check | None:
    """Hold a piece's own span against what it bears; None where it has none.

    Soft values, which fail nothing: what a piece is made of nobody measured.

    Parameters
    ----------
    tied : float or None
        Stiffness of the back that cleats between its outer rows tie it to, lb in2; None where none do.
    pads : bool
        Whether bearing pads lie between its rows.
    """
    if not own.bending.section or own.between <= 0:
        return None
    factor = packing.shop.mounting.handling_factor
    part = 1.0 if tied is None or not own.up else own.up / (own.up + PIECE_COUNTED * tied)
    rows = format_length(own.between, packing.units, mark=True)
    how = "it bears that itself; pads keep it off the back" if pads else "it bears that itself"
    if tied is not None:
        how = f"cleats between its outer rows share it with the back: {part * 100:.0f} % stay with the piece"
    if own.stress(factor) * part > own.bears(packing.shop):
        how += "; give it a bar across its middle, or have it carried and never laid on its face"
    return compare(
        "the piece's own span",
        own.stress(factor) * part,
        own.bears(packing.shop),
        "psi",
        formula=own.bending.moment_factor,
        source=own.bending.source,
        limits="a piece of sound wood as its order states it; resin cracks at small bends",
        note=f"{rows} between outer rows at {factor:g} times its weight; {how}",
        worst="watch",
        worked=(
            "{} psi x {} that stays with the piece = {} psi against {} psi",
            own.stress(factor),
            part,
            own.stress(factor) * part,
            own.bears(packing.shop),
        ),
        in_si="N/mm2",
    ).in_system(packing.units)


def reach(stretches: Sequence[tuple[int, int]]) -> int:
    """Return how much of a line is covered by stretches that may overlap."""
    total, at = 0, min(low for low, _ in stretches)
    for low, high in sorted(stretches):
        total += max(0, high - max(low, at))
        at = max(at, high)
    return total
