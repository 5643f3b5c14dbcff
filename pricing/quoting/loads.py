"""Loads: what a carrier is handed, crates as they are or strapped upright to a pallet or an A-frame.

A crate that only straps keep upright (:attr:`nesting.crates.model.Crate.stands`) goes on a deck that the shop stocks:
side by side with others that fit, the deepest first, each on the first deck with room. What stands so is measured and
weighed with its deck, and nothing is put on top of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.advice.tipping import half_for
from nesting.base.measure import INCH, LB_KG
from nesting.crates.model import Crate, Stands
from nesting.shop.goods import Good
from pricing.quoting.offers import Handed, Need
from pricing.quoting.particulars import Particulars
from pricing.studio.freight_rules import Piece, layers
from pricing.studio.rates import FreightProfile

_OVERHANG: Final = 6 * INCH
"""How far a crate may reach beyond its deck at either end (common practice, no source), as for cases."""
_WAYS: Final = (False, True)
"""As the deck lies, or turned."""
_HOLDS_UPRIGHT: Final = ("collect", "van", "handler")
"""Kinds whose vehicle is known to whoever packs: its walls hold what stands in it (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Load:
    """What a carrier is handed.

    Attributes
    ----------
    handed : tuple of Handed
        In the order of the crates.
    told : tuple of str
        What to know of it.
    """

    handed: tuple[Handed, ...]
    told: tuple[str, ...] = ()

    def pieces(self, profile: FreightProfile) -> list[Piece]:
        """Return them as freight is reckoned, with the height up to which a profile counts their volume."""
        return [piece_of(each, profile) for each in self.handed]


def bare(crate: Crate) -> Handed:
    """Return a crate as a carrier takes it, upright."""
    size = crate.outside
    return Handed((crate.crate,), "", size.width, size.depth, size.height, Decimal(str(crate.gross_kg)))


def load(crates: Sequence[Crate], profile: FreightProfile, particulars: Particulars) -> Load:
    """Put crates on decks where they need one and the profile has them so.

    Parameters
    ----------
    crates : sequence of Crate
        Those that travel by themselves.
    profile : FreightProfile
        ``on_pallets`` says whether decks go along.
    particulars : Particulars
        The decks that are stocked, and the tilt that crates must stand.
    """
    strapped = [crate for crate in crates if crate.stands in ("pallet", "A-frame")]
    decked = _on_decks(strapped, particulars) if profile.on_pallets else []
    on = {crate.crate for each in decked for crate in each.crates}
    first = {each.first(crates): each for each in decked}
    handed: list[Handed] = []
    for crate in crates:
        if crate.crate not in on:
            handed.append(bare(crate))
        elif crate.crate in first:
            handed.append(first[crate.crate].handed())
    told = [text for each in decked for text in each.notes()]
    left = listed([crate.crate for crate in strapped if crate.crate not in on])
    if left and profile.on_pallets:
        told.append(f"no pallet or A-frame that is stocked holds {left} upright: measured without, and none is priced")
    elif left and profile.kind == "parcel":
        told.append(f"{left}: a parcel carrier keeps nothing upright (common practice, no source)")
    elif left and profile.kind not in _HOLDS_UPRIGHT:
        told.append(f"{left} must be strapped upright to a pallet or an A-frame, which is in no price here")
    return Load(tuple(handed), tuple(told))


def _on_decks(strapped: Sequence[Crate], particulars: Particulars) -> "list[_Decked]":
    """Put crates on decks, the deepest first, each on the first with room, else on the smallest that holds it."""
    decked: list[_Decked] = []
    opened: list[_Decked] = []
    least = min((crate.outside.depth for crate in strapped), default=0)
    for crate in sorted(strapped, key=lambda each: -each.outside.depth):
        if any(each.take(crate, particulars.tilt) for each in opened):
            opened = [each for each in opened if each.room >= least]  # nothing that follows fits the others
            continue
        decks = (_Decked(crate.stands, good, turned) for good in particulars.decks(crate.stands) for turned in _WAYS)
        found = next((each for each in decks if each.take(crate, particulars.tilt)), None)
        if found is not None:
            decked.append(found)
            opened.append(found)
    return decked


def listed(crates: Sequence[str]) -> str:
    """Write the names of crates."""
    return ", ".join(sorted(crates, key=lambda name: (len(name), name)))


def needs_of(
    loaded: Load, profile: FreightProfile, particulars: Particulars
) -> tuple[tuple[Need, ...], tuple[str, ...]]:
    """Return the goods that a load takes for the way, and a line for each that is asked for and not stocked."""
    needs: list[Need] = []
    told: list[str] = []
    for good in dict.fromkeys(each.on for each in loaded.handed if each.on):
        units = [each.crates for each in loaded.handed if each.on == good]
        parts = {crate: Fraction(1, len(crates) * len(units)) for crates in units for crate in crates}
        needs.append(Need(good, len(units), parts))
    crates = [crate for each in loaded.handed for crate in each.crates]
    for each, name, what in (
        (profile.tilt_each, particulars.rules.tilt_indicator, "tilt indicators"),
        (profile.shock_each, particulars.rules.shock_indicator, "shock indicators"),
    ):
        if each and name in particulars.goods:
            needs.append(Need(name, each * len(crates), {crate: Fraction(1, len(crates)) for crate in crates}))
        elif each:
            told.append(f"{what} are asked for and not stocked: none are in the price")
    return tuple(needs), tuple(told)


class _Decked:
    """A deck that is being filled."""

    def __init__(self, kind: Stands, good: Good, turned: bool) -> None:
        self.kind, self.good, self.crates = kind, good, list[Crate]()
        self._refused: set[tuple[object, ...]] = set()
        long, wide, self.high = good.deck
        self.along, self.across = (wide, long) if turned else (long, wide)

    def take(self, crate: Crate, tilt: float) -> bool:
        """Take a crate where it fits, is borne and stands the tilt with what is there; say whether it was taken."""
        asked = (crate.stands, crate.outside, crate.shell.height, crate.gross_kg, crate.centre)
        if asked in self._refused:  # the same again, and nothing came in between
            return False
        crates = [*self.crates, crate]
        fits = (
            crate.stands == self.kind
            and crate.outside.width <= self.along + 2 * _OVERHANG
            and sum(each.outside.depth for each in crates) <= self.across
        )
        if not fits or not self._bears(crates) or not self._stands(crates, tilt):
            self._refused.add(asked)
            return False
        self.crates = crates
        self._refused.clear()
        return True

    @property
    def room(self) -> int:
        """How deep what it still takes may be."""
        return self.across - sum(each.outside.depth for each in self.crates)

    def _bears(self, crates: Sequence[Crate]) -> bool:
        gross = sum(each.gross_kg for each in crates) / float(LB_KG)
        return not self.good.rated_lb or gross <= self.good.rated_lb

    def _stands(self, crates: Sequence[Crate], tilt: float) -> bool:
        """Whether crates strapped together in the middle of the deck stand the tilt, by their common centre."""
        gross = sum(each.gross_kg for each in crates)
        if not tilt or not gross:
            return True
        behind, high, astray = 0, 0.0, 0.0
        deep = sum(each.outside.depth for each in crates)
        for each in crates:
            below = each.outside.height - each.shell.height
            high += each.gross_kg * (each.centre[1] + below)
            astray += each.gross_kg * (behind + each.centre[2])
            behind += each.outside.depth
        # One crate alone is set with its centre over the middle; several lie as they come.
        aside = abs(round(astray / gross) - deep // 2) if len(crates) > 1 else 0
        half = self.across // 2 - aside
        return half >= half_for(tilt, self.high + round(high / gross))

    def first(self, crates: Sequence[Crate]) -> str:
        """Return which of its crates comes first in the order of the build."""
        mine = {each.crate for each in self.crates}
        return next(each.crate for each in crates if each.crate in mine)

    def handed(self) -> Handed:
        """Return it as a carrier takes it."""
        own = Decimal(str(self.good.each_g)) / 1000
        return Handed(
            tuple(each.crate for each in self.crates),
            self.good.good,
            max(self.along, *(each.outside.width for each in self.crates)),
            self.across,
            self.high + max(each.outside.height for each in self.crates),
            own + sum((Decimal(str(each.gross_kg)) for each in self.crates), Decimal(0)),
            stacks=False,
        )

    def notes(self) -> list[str]:
        """Say which crates reach beyond it."""
        over = [each.crate for each in self.crates if each.outside.width > self.along]
        return [f"{crate} reaches beyond the ends of its {self.good.good}" for crate in over]


def piece_of(each: Handed, profile: FreightProfile) -> Piece:
    """Return one thing as freight is reckoned."""
    name = " and ".join(each.crates) + (f" on {each.on}" if each.on else "")
    free = profile.no_stack == "all" or (profile.no_stack == "strapped" and not each.stacks)
    stacked = 1 if free else layers(each.height, profile.stack_most, profile.stack_high)
    high = profile.no_stack_height if free else 0
    return Piece(each.length, each.width, each.height, each.gross_kg, name, high, stacked)
