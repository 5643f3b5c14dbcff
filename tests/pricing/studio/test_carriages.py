"""Who takes crates where, by freight profiles: the roughest leg of the roughest way counts."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nesting.build import Dispatch
from nesting.crates.cases.consignment import Grouping
from nesting.intake import order_from_rows
from pricing.quoting import work
from pricing.studio.carriages import BY_KIND, carriage_of, carriages
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile
from pricing.studio.rates_file import default_rates

PROFILES = tuple(
    FreightProfile(kind, kind=kind) for kind in ("collect", "parcel", "pallet", "air", "van", "handler", "fixed")
)
RATES = replace(default_rates(), freight=PROFILES, delivery=replace(default_rates().delivery, profile="collect"))


@pytest.mark.parametrize(
    ("cell", "carriage"),
    [
        ("van", "own van"),
        ("handler", "art carrier"),
        ("van then handler", "art carrier"),
        ("handler, van", "art carrier"),
        ("van then air then handler", "common carrier"),
        ("parcel, van", "common carrier"),
        ("fixed", "common carrier"),
        ("collect", "common carrier"),
        ("", "common carrier"),
        ("nobody's", "common carrier"),
    ],
)
def test_the_roughest_leg_counts(cell: str, carriage: str) -> None:
    assert carriage_of(Destination("There", profile=cell), RATES) == carriage


def test_where_a_place_names_none_the_rates_do() -> None:
    rates = replace(RATES, delivery=replace(RATES.delivery, profile="van"))
    table = Destinations((Destination("There", profile="handler"),))
    assert carriages(table, rates, ["There", "Elsewhere", ""]) == {
        "There": "art carrier", "Elsewhere": "own van", "": "own van",
    }  # fmt: skip


def test_whoever_quoted_counts_too() -> None:
    asked = Destination("There", profile="van", quoted=Decimal(100))
    assert carriage_of(replace(asked, quoted_by="handler"), RATES) == "art carrier"
    assert carriage_of(replace(asked, quoted_by="Somebody (invented)"), RATES) == "common carrier"
    assert carriage_of(asked, RATES) == "common carrier"


def test_every_kind_is_known_to_be_gentle_or_is_not() -> None:
    assert {profile.kind for profile in PROFILES} - set(BY_KIND) == {"collect", "parcel", "pallet", "air", "fixed"}


def test_a_build_is_told_who_takes_what_goes_where(monkeypatch: pytest.MonkeyPatch) -> None:
    table = Destinations((Destination("There", profile="van"), Destination("Far", profile="air")))
    rows = [["piece", "width", "height", "depth", "destination"]]
    rows += [[f"for {place}", "12", "9", "1", place] for place in ("There", "Far", "Nowhere", "")]
    told: list[Dispatch] = []

    def built(*_: Any, dispatch: Dispatch, **__: Any) -> None:
        told.append(dispatch)

    monkeypatch.setattr(work, "build", built)
    work.build_order(order_from_rows(rows), Office(rates=RATES, destinations=table), design=Grouping(()))
    assert [dispatch.carriage for dispatch in told] == [
        {"There": "own van", "Far": "common carrier", "Nowhere": "common carrier", "": "common carrier"}
    ]
