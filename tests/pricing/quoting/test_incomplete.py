"""Incomplete: a state beside totals and shares where what must be paid is not known, and never an amount of nothing."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.build import Build
from pricing.quoting.incomplete import beside, told
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.rates_file import default_rates
from tests.pricing.builds import holding, small_build

ON = date(2026, 11, 1)
PLACE = "Harbour Gallery"
FAR = Destination(PLACE, profile="van")
"""No distance is known, so that no van goes."""


def priced(place: Destination | None = FAR, *, build: Build | None = None, rates: Rates | None = None) -> Quote:
    """Price the small build to a place; to one that the table lacks where none is given."""
    rows = () if place is None else (place,)
    return quote(build or small_build(), Office(rates=rates or default_rates(), destinations=Destinations(rows)), on=ON)


def test_freight_that_is_refused_makes_total_and_shares_incomplete() -> None:
    made = priced()
    assert made.incomplete == (f"no freight to {PLACE}",)
    assert made.without == f"incomplete: no freight to {PLACE}"
    assert set(made.incomplete_pieces) == {share.piece for share in made.shares}
    assert made.beside("A-01") == made.without
    assert made.total > 0, "what is known is added up all the same"


@pytest.mark.parametrize(("country", "incomplete"), [("US", ()), ("FR", (f"no freight to {PLACE}",)), ("", ())])
def test_a_country_that_the_carrier_does_not_go_to_is_incomplete(country: str, incomplete: tuple[str, ...]) -> None:
    rates = default_rates()
    home = replace(rates.profile("pallet"), name="home", countries="US CA")
    made = priced(Destination(PLACE, country, profile="home"), rates=replace(rates, freight=(*rates.freight, home)))
    assert made.incomplete == incomplete
    assert (made.section("freight") == 0) == bool(incomplete)


@pytest.mark.parametrize(
    ("way", "km", "told"),
    [
        ("van then home", None, PLACE),  # neither goes: the whole way
        ("van then pallet", None, f"{PLACE} (leg 1 of 2, Own van)"),
        ("van then home", 40, f"{PLACE} (leg 2 of 2, home)"),
        ("home then home then van", 40, f"{PLACE} (legs 1 and 2 of 3)"),
    ],
)
def test_a_leg_that_is_refused_is_named_and_makes_the_whole_way_incomplete(way: str, km: int | None, told: str) -> None:
    rates = default_rates()
    home = replace(rates.profile("pallet"), name="home", title="home", heaviest_lb=Decimal(1))
    van = replace(rates.profile("van"), title="Own van", km=Decimal(km or 0))
    others = [each for each in rates.freight if each.name != "van"]
    made = priced(Destination(PLACE, profile=way), rates=replace(rates, freight=(*others, van, home)))
    line = f"no freight to {told}"
    assert len(made.shipments) == len(way.split(" then "))
    assert made.incomplete == (line,)
    assert made.without == made.beside("A-01") == f"incomplete: {line}"
    assert set(made.incomplete_pieces.values()) == {(line,)}


def test_a_quotation_of_a_carrier_completes_what_its_figures_refuse() -> None:
    made = priced(replace(FAR, quoted=Decimal(300)))
    assert (made.section("freight"), made.incomplete) == (Decimal(300), ())
    late = priced(replace(FAR, quoted=Decimal(300), quoted_until=date(2026, 10, 31)))
    assert late.incomplete == (f"no freight to {PLACE}",), "the estimate is back, and there is none"


def test_what_is_charged_with_nothing_on_purpose_is_complete() -> None:
    rates = default_rates()
    free = replace(rates, freight=(*rates.freight, FreightProfile("free", "fixed", ON)))
    for made in (
        priced(replace(FAR, profile="collect")),
        priced(None),
        priced(Destination(PLACE, profile="free"), rates=free),
    ):
        assert made.step("freight").amount == 0
        assert (made.incomplete, made.without, dict(made.incomplete_pieces), made.beside("A-01")) == ((), "", {}, "")


def test_invented_prices_and_missing_insurance_are_lacks_and_complete() -> None:
    bare = small_build()
    works = tuple(replace(work, price=None, declared=None) for work in bare.order.artworks)
    made = priced(replace(FAR, km=Decimal(120)), build=replace(bare, order=replace(bare.order, artworks=works)))
    assert {"invented", "insurance"} <= {lack.kind for lack in made.lacks}
    assert made.incomplete == ()


def test_a_profile_that_the_rates_lack_is_unknown_freight_and_not_collection() -> None:
    made = priced(replace(FAR, profile="sledge"), rates=replace(default_rates(), freight=()))
    assert made.incomplete == (f"no freight to {PLACE}",)


def test_what_is_held_stands_before_what_is_incomplete() -> None:
    made = priced(build=holding(small_build(), "A-01"))
    assert made.without == f"without K1, held; incomplete: no freight to {PLACE}"


def test_freight_that_is_marked_up_makes_every_share_incomplete() -> None:
    rates = default_rates()
    marked = replace(rates, price=replace(rates.price, freight_marked_up=True))
    made = priced(rates=marked)
    assert set(made.incomplete_pieces) == {share.piece for share in made.shares}


def test_no_advice_is_drawn_from_two_totals_of_which_one_is_incomplete() -> None:
    near = priced(replace(FAR, km=Decimal(120)))
    far = priced()
    assert near.compares_with(near)
    assert not near.compares_with(far)
    assert not far.compares_with(near)
    assert not far.compares_with(far)
    held = priced(replace(FAR, km=Decimal(120)), build=holding(small_build(), "A-01"))
    assert not near.compares_with(held)
    assert held.compares_with(held)


def test_many_places_are_named_in_few_words() -> None:
    lines = tuple(f"no freight to {name}" for name in "ABCDEF")
    assert told(lines) == "incomplete: no freight to A, B, C, D and 2 more"
    assert told(lines[:2]) == "incomplete: no freight to A, B"
    assert told(()) == ""
    assert beside("without K4, held", lines[:1]) == "without K4, held; incomplete: no freight to A"
    assert beside("", ()) == ""
