# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""What holds of works that a gallery sells for the artist, where its own row of parties.csv says nothing."""

from dataclasses import dataclass
from typing import Final, Literal, get_args

from nesting.base.rules import Checked, rule

DiscountBy = Literal["in proportion", "gallery", "half each"]
"""Who bears a discount: commission is reckoned on what is left of the price, or the gallery gives it, or half each."""
Side = Literal["artist", "gallery"]
MOST_DAYS: Final = 365
"""Longest time in which a sale is paid."""
LONGEST_STAY: Final = 3650
"""Most days after which unsold works come back."""


@dataclass(frozen=True, slots=True)
class ConsignmentRules(Checked):
    """What holds of works on consignment where the gallery's own row of parties.csv says nothing."""

    discount_by: DiscountBy = rule(
        "in proportion",
        unit="word",
        low=get_args(DiscountBy),
        doc="How a discount is borne: by both as they divide the price, by the gallery out of its part, or half each.",
        source="public terms of a gallery, a template of contracts, an arts council's sample",
    )
    production_by: Side = rule(
        "artist",
        unit="word",
        low=get_args(Side),
        doc="Who paid what an order gives as production cost, and gets it back before a sale is divided.",
        source="an arts council's sample",
    )
    loss_by: Side = rule(
        "gallery",
        unit="word",
        low=get_args(Side),
        doc="Who answers for loss and damage from receipt until the works are back or paid for.",
        source="California Civil Code 1738.5 to 1738.7, Missouri RSMo 407.902: the gallery",
    )
    way_back_by: Literal["", "artist", "gallery"] = rule(
        "",
        unit="word",
        low=("", *get_args(Side)),
        doc="Who pays the transport of unsold works back to the artist; blank: left to write on the paper.",
    )
    paid_within: int = rule(
        30,
        unit="days",
        low=0,
        high=MOST_DAYS,
        doc="Days after a sale within which the artist is paid; 0: left to write on the paper.",
        source="from memory, medium; public terms run from 14 working days to 45 days",
    )
    unsold_back: int = rule(
        0,
        unit="days",
        low=0,
        high=LONGEST_STAY,
        doc="Days after they arrive when unsold works come back; 0: left to write on the paper.",
    )
