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
_FINE = Decimal("0.0001")


def liable(
    handed: Sequence[Handed], profile: FreightProfile, particulars: Particulars
) -> tuple[Decimal | None, tuple[str, ...]]:
    """Return what the carrier answers for at the most, and what to know of it.

    Parameters
    ----------
    handed : sequence of Handed
        What it takes.
    profile : FreightProfile
        Of each piece the highest counts of what it states by the pound, the kilogram and the piece, in money or in
        special drawing rights, and no more than may be declared.
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
    rights = (profile.released_sdr_per_kg, profile.released_sdr_per_piece)
    if any(rights) and not particulars.sdr:
        told = (*told, f"the carrier answers for {_rights(profile)}: type what one is worth, XDR under [currencies]")
    if not any(rates) and not (any(rights) and particulars.sdr) and not profile.declared_most:
        return None, told
    limits = [_limit(each, profile, particulars.sdr) for each in handed]
    most = sum(limits, _NOTHING)
    short = sum((max(_NOTHING, value - limit) for value, limit in zip(values, limits, strict=True)), _NOTHING)
    if not short:
        return most, told
    worth = sum(values, _NOTHING)
    by = f" ({_rights(profile)}, one at {half_up(particulars.sdr, _FINE)})" if any(rights) and particulars.sdr else ""
    answers = (
        f"the carrier answers for {most} at the most{by} of {worth} declared: only insurance covers the other {short}"
    )
    return most, (answers + _cover(worth, profile), *told)


def _rights(profile: FreightProfile) -> str:
    """Say how many special drawing rights a carrier answers for."""
    parts = (
        f"{profile.released_sdr_per_kg.normalize():f} SDR a kilogram of gross weight"
        if profile.released_sdr_per_kg
        else "",
        f"{profile.released_sdr_per_piece.normalize():f} SDR a piece" if profile.released_sdr_per_piece else "",
    )
    return " or ".join(filter(None, parts)) + (", the higher" if all(parts) else "")


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
            most = f"{profile.list_over_per_lb} a pound"
            if profile.sizes == "metric":
                most = f"{half_up(profile.list_over_per_lb / LB_KG)} a kilogram"
            yield f"{name} declares more than {most}: list it in writing"


def _limit(piece: Handed, profile: FreightProfile, sdr: Decimal) -> Decimal:
    """Return what is answered for of one piece, whatever it is worth."""
    by_weight = (
        half_up(piece.gross_kg / LB_KG * profile.released_per_lb),
        half_up(piece.gross_kg * profile.released_per_kg),
        half_up(profile.released_per_piece),
        half_up(piece.gross_kg * profile.released_sdr_per_kg * sdr),
        half_up(profile.released_sdr_per_piece * sdr),
    )
    most = max(by_weight)
    if not profile.declared_most:
        return most
    return min(most, profile.declared_most) if most else half_up(profile.declared_most)
