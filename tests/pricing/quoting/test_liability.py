"""What a carrier answers for: worked examples of statutes, tariffs and carriers' pages, named beside each."""

from decimal import Decimal

import pytest

from nesting.base.measure import INCH
from pricing.quoting.freight import offer
from pricing.quoting.liability import liable
from pricing.quoting.offers import Handed
from tests.pricing.quoting.carried import DOCK, LB, PLACE, box, profile, stocked, taken

POUNDS_140 = 140 * LB
KG_40 = Decimal(40)


@pytest.mark.parametrize(
    ("weight", "rules", "answers"),
    [
        # Item 56165, released at $25.00 a pound: $25 x 140 lb = $3,500.
        (POUNDS_140, {"released_per_lb": "25"}, "3500.00"),
        # Household goods, the lowest cover of 60 cents (Federal Register, 18 June 2007): 40 kg are 88.185 lb.
        (KG_40, {"released_per_lb": "0.60"}, "52.91"),
        # Air, 26 SDR a kilogram from 28 December 2024 (legal pages on ICAO's notice): 1,040 SDR, 1,362.40 at 1.31.
        (KG_40, {"released_per_kg": "26"}, "1040.00"),
        (KG_40, {"released_per_kg": "34.06"}, "1362.40"),
        # Road in Europe, 8.33 SDR a kilogram (carrier terms; CMR, article 23).
        (KG_40, {"released_per_kg": "8.33"}, "333.20"),
        # Sea, the higher of 666.67 SDR a package and 2 SDR a kilogram: even at 333.335 kg.
        (KG_40, {"released_per_piece": "666.67", "released_per_kg": "2"}, "666.67"),
        (10 * KG_40, {"released_per_piece": "666.67", "released_per_kg": "2"}, "800.00"),
        # Sea, United States: $500 a package (COGSA, section 4(5)); three works in one crate are one.
        (10 * KG_40, {"released_per_piece": "500"}, "500.00"),
        # Parcels: one carrier caps what may be declared of artworks at $1,000 (artists' and conservators' pages).
        (KG_40, {"declared_most": "1000"}, "1000.00"),
        (KG_40, {"declared_most": "1000", "released_per_lb": "0.60"}, "52.91"),
    ],
)
def test_the_highest_of_its_limits_counts_and_no_more_than_may_be_declared(
    weight: Decimal, rules: dict[str, str], answers: str
) -> None:
    most, told = liable([Handed(("K1",), "", INCH, INCH, INCH, weight)], profile("fixed", **rules), stocked())
    assert (most, told) == (Decimal(answers), ())


def test_what_falls_short_is_told_and_costs_nothing() -> None:
    """Item 56165: $25 x 140 lb = $3,500; a work of $20,000 lacks 16,500: advice, insurance is a matter of its own."""
    rules = profile("fixed", amount="310", released_per_lb="25")
    piece, _ = taken(60, 12, 48, "140")
    assert liable([piece], rules, stocked(K1="20000"))[1] == (
        "the carrier answers for 3500.00 at the most of 20000.00 declared: only insurance covers the other 16500.00",
    )
    assert liable([piece], rules, stocked(K1="3500"))[1] == ()
    made = offer([box(60, 12, 48, 63.5)], DOCK, rules, particulars=stocked(K1="20000"))
    assert (made.amount, made.liable, len(made.insure)) == (Decimal(310), Decimal("3499.84"), 1)
    assert offer([box(60, 12, 48, 60.0)], DOCK, profile("fixed"), particulars=stocked(K1="20000")).liable is None


def test_each_piece_falls_short_by_itself() -> None:
    """Of 1,000 for each parcel, 300 and 2,600: what one leaves over does not cover the other."""
    crates = [box(20, 10, 20, 9.0), box(20, 10, 20, 9.0, "K2")]
    made = offer(crates, PLACE, profile("parcel", declared_most="1000"), particulars=stocked(K1="300", K2="2600"))
    assert made.liable == 2000
    assert made.insure[0].endswith("of 2900.00 declared: only insurance covers the other 1600.00")


@pytest.mark.parametrize(
    ("value", "cover"), [("50000", "205.00"), ("50001", "410.00"), ("300000", "1230.00"), ("900000", "1230.00")]
)
def test_excess_cover_goes_by_started_steps(value: str, cover: str) -> None:
    """A regional carrier's rules page: released at 2.00 a pound, cover 205 for each 50,000, at most 300,000."""
    rules = profile("fixed", released_per_lb="2", cover_step="50000", cover_each="205", cover_most="300000")
    (told,) = offer([box(40, 10, 40, 40.0)], DOCK, rules, particulars=stocked(K1=value)).insure
    assert f"costs {cover}, which is not in the price" in told


def test_what_is_worth_much_by_the_pound_is_listed_in_writing() -> None:
    """A van line's page: over $100 a pound must be listed: $9,000 at 88 lb are 102 a pound."""
    rules = profile("fixed", list_over_per_lb="100")
    piece, _ = taken(40, 10, 40, "88")
    assert liable([piece], rules, stocked(K1="9000"))[1] == ("K1 declares more than 100 a pound: list it in writing",)
    assert liable([piece], rules, stocked(K1="8800"))[1] == ()
