"""What a carrier answers for when something is lost or spoiled, beside what the pieces are worth.

Carriers limit their liability by weight or by the piece, and some cap the value that may be declared. Neither is
insurance, and neither is charged here; where a limit falls short of the declared value, that is told.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil

from nesting.base.measure import LB_KG
from pricing.money import half_up
from pricing.quoting.offers import Handed
from pricing.quoting.particulars import Particulars
from pricing.studio.rates import FreightProfile

_NOTHING = Decimal("0.00")


def liable(
    handed: Sequence[Handed], profile: FreightProfile, particulars: Particulars
) -> tuple[Decimal | None, tuple[str, ...]]:
    """Return what the carrier answers for at the most, and what to know of it.

    Parameters
    ----------
    handed : sequence of Handed
        What it takes.
    profile : FreightProfile
        Of each piece the highest counts of what it states by the pound, the kilogram and the piece, and no more than
        may be declared.
    particulars : Particulars
        What is declared of each crate; nothing is told where nothing is declared.

    Returns
    -------
    tuple of (Decimal or None, tuple of str)
        In the rates' currency; None where the profile states no limit.
    """
    values = [sum((particulars.values.get(crate, _NOTHING) for crate in each.crates), _NOTHING) for each in handed]
    told = tuple(_listed(handed, values, profile))
    rates = (profile.released_per_lb, profile.released_per_kg, profile.released_per_piece)
    if not any(rates) and not profile.declared_most:
        return None, told
    limits = [_limit(each, profile) for each in handed]
    most = sum(limits, _NOTHING)
    short = sum((max(_NOTHING, value - limit) for value, limit in zip(values, limits, strict=True)), _NOTHING)
    if not short:
        return most, told
    worth = sum(values, _NOTHING)
    answers = f"the carrier answers for {most} at the most of {worth} declared: only insurance covers the other {short}"
    return most, (answers + _cover(worth, profile), *told)


def _cover(worth: Decimal, profile: FreightProfile) -> str:
    """Say what the carrier's own excess cover would cost, by started steps (a regional carrier's rules page)."""
    if not (profile.cover_step and profile.cover_each):
        return ""
    value = min(worth, profile.cover_most or worth)
    price = half_up(ceil(Fraction(value) / Fraction(profile.cover_step)) * profile.cover_each)
    return f" (its own excess cover of {value} costs {price}, which is not in the price)"


def _listed(handed: Sequence[Handed], values: Sequence[Decimal], profile: FreightProfile) -> Iterator[str]:
    """Yield what must be listed in writing, for what it is worth by the pound (a van line's page)."""
    for each, value in zip(handed, values, strict=True):
        pounds = Fraction(each.gross_kg) / Fraction(LB_KG)
        if profile.list_over_per_lb and Fraction(value) > Fraction(profile.list_over_per_lb) * pounds:
            name = " and ".join(each.crates)
            yield f"{name} declares more than {profile.list_over_per_lb} a pound: list it in writing"


def _limit(piece: Handed, profile: FreightProfile) -> Decimal:
    """Return what is answered for of one piece, whatever it is worth."""
    by_weight = (
        half_up(piece.gross_kg / LB_KG * profile.released_per_lb),
        half_up(piece.gross_kg * profile.released_per_kg),
        half_up(profile.released_per_piece),
    )
    most = max(by_weight)
    if not profile.declared_most:
        return most
    return min(most, profile.declared_most) if most else half_up(profile.declared_most)
