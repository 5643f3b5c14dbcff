"""Particulars: what a carrier is told of crates beside their size and weight."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from nesting.shop.goods import Good


@dataclass(frozen=True)
class Particulars:
    """What the shipper furnishes; all of it may be unknown.

    Attributes
    ----------
    goods : mapping of str to Good
        What the shop stocks for the way, by name: pallets, A-frames, indicators.
    values : mapping of str to Decimal
        What is declared for each crate's pieces, in the rates' currency.
    wooden : collection of str
        Crates whose outside is of wood.
    """

    goods: Mapping[str, Good] = field(default_factory=dict)
    values: Mapping[str, Decimal] = field(default_factory=dict)
    wooden: Collection[str] = ()


NONE_GIVEN: Final = Particulars()
"""As before anything was told."""
