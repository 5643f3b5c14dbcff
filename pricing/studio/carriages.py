"""Who takes crates where: read off the freight profiles that a destination names, for how far its crates may fall."""

from collections.abc import Mapping, Sequence
from typing import Final

from nesting.advice.carriage import COMMON, Carriage, roughest
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.freight_ways import ways_of
from pricing.studio.rates import FreightKind, Rates

BY_KIND: Final[Mapping[FreightKind, Carriage]] = {"van": "own van", "handler": "art carrier"}
"""Kinds of freight with gentle hands; all others are common carriers, and so is whoever collects: nobody knows who."""


def carriage_of(place: Destination, rates: Rates) -> Carriage:
    """Return who takes crates to a place: the roughest of all legs of all ways that may be taken there.

    Which way each crate takes is only known when it is made, so none that is named there may be forgotten. Where the
    place names no profile the rates' own counts; where a carrier quoted for it, who that is counts as well.
    """
    legs = _legs(place.profile or rates.delivery.profile, rates)
    if place.quoted is not None:
        legs = (*legs, place.quoted_by)
    return roughest(_by_name(leg, rates) for leg in legs)


def carriages(table: Destinations, rates: Rates, named: Sequence[str]) -> dict[str, Carriage]:
    """Return who takes crates to each place that is named, in the table or not."""
    return {name: carriage_of(table.get(name), rates) for name in named}


def _legs(cell: str, rates: Rates) -> tuple[str, ...]:
    """Return the profiles that a cell names, leg by leg; none where it names none that there is."""
    try:
        ways = ways_of(cell, [profile.name for profile in rates.freight]) if cell else ()
    except ValueError:
        return ()
    return tuple(leg for way in ways for leg in way)


def _by_name(profile: str, rates: Rates) -> Carriage:
    """Return who stands behind a profile; a common carrier behind a name that is none."""
    kinds = {each.name: each.kind for each in rates.freight}
    return BY_KIND.get(kinds[profile], COMMON) if profile in kinds else COMMON
