"""What a carrier answers for when something is lost or spoiled, beside what the pieces are worth.

Carriers limit their liability by weight or by the piece, and some cap the value that may be declared. Neither is
insurance, and neither is charged here; where a limit falls short of the declared value, that is told.
"""

from collections.abc import Sequence
from decimal import Decimal

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
    rates = (profile.released_per_lb, profile.released_per_kg, profile.released_per_piece)
    if not any(rates) and not profile.declared_most:
        return None, ()
    limits = [_limit(each, profile) for each in handed]
    values = [sum((particulars.values.get(crate, _NOTHING) for crate in each.crates), _NOTHING) for each in handed]
    most = sum(limits, _NOTHING)
    short = sum((max(_NOTHING, value - limit) for value, limit in zip(values, limits, strict=True)), _NOTHING)
    if not short:
        return most, ()
    worth = sum(values, _NOTHING)
    return most, (f"the carrier answers for {most} at the most, {worth} is declared: insure the other {short}",)


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
