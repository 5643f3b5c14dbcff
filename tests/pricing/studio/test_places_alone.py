"""Places and parties by themselves: what each cell may hold, at its ends, and what is said otherwise."""

from datetime import date
from decimal import Decimal
from typing import Any, get_args

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.order import Artwork, Order
from pricing.studio import parties as parties_module
from pricing.studio.consignment_rules import DiscountBy, Side
from pricing.studio.destinations import Destination, Destinations, destinations_csv, destinations_from
from pricing.studio.parties import COLUMNS, Parties, Party, parties_csv, parties_from, ready_line
from pricing.studio.rates import Payer
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import SaleTerms


def table_of(*rows: dict[str, str]) -> bytes:
    """Write rows with semicolons between cells."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    lines = [names, *([row.get(name, "") for name in names] for row in rows)]
    return "\n".join("\t".join(line) for line in lines).encode()


def places(*rows: dict[str, str]) -> Destinations:
    """Read places, named A, B and so on where a row does not say."""
    named = [{"destination": chr(65 + at), **row} for at, row in enumerate(rows)]
    return destinations_from(table_of(*named), "d.csv", default_rates(), "day first")


def parties(*rows: dict[str, str]) -> Parties:
    """Read parties, named A, B and so on where a row does not say."""
    named = [{"party": chr(65 + at), **row} for at, row in enumerate(rows)]
    return parties_from(table_of(*named), "p.csv", "day first")


def said(read: Any, *rows: dict[str, str]) -> list[str]:
    """Return every sentence of what is refused, without the file's name."""
    with pytest.raises(FaultsFound) as caught:
        read(*rows)
    return [fault.message.partition(", ")[2] for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("column", "text", "found", "accepted"),
    [
        ("country", "USA", "USA", "two letters such as US, GB, JP"),
        ("country", "u1", "u1", "two letters such as US, GB, JP"),
        ("dock", "perhaps", "perhaps", "yes or no"),
        ("forklift", "perhaps", "perhaps", "yes or no"),
        ("residential", "perhaps", "perhaps", "yes or no"),
        ("inside", "perhaps", "perhaps", "yes or no"),
        ("limited access", "perhaps", "perhaps", "yes or no"),
        ("distance", "far", "far", "a distance such as 120 km, 75 mi"),
        ("distance", "12", "12", "a distance such as 120 km, 75 mi"),
        ("distance", "1234567 km", "1234567 km", "a distance such as 120 km, 75 mi"),
        ("distance", "20000.001 km", "20000.001 km", "20000 km at the most"),
        ("distance", "12428 mi", "12428 mi", "20000 km at the most"),
        ("handler rate", "lots", "lots", "an amount such as 55.00"),
        ("handler rate", "10000000.01", "10000000.01", "10000000 at the most"),
        ("quoted", "lots", "lots", "an amount such as 420.00"),
        ("quoted", "1000000.01", "1000000.01", "1000000 at the most"),
        ("paid by", "nobody", "nobody", "one of list price, buyer, artist, gallery"),
        ("commission", "96 %", "96 %", "a part such as 40 % or 0.4, 95 % at the most"),
        ("tax rate", "101 %", "101 %", "a part such as 40 % or 0.4, 100 % at the most"),
        ("tax on", "frames", "frames", "some of art, work, freight, insurance; or all, or nothing"),
    ],
)
def test_what_a_place_does_not_take(column: str, text: str, found: str, accepted: str) -> None:
    quoted = f'"{found}"' if found else "nothing"
    assert said(places, {column: text}) == [f"row 2, column {column}: found {quoted}; accepted: {accepted}"]


def test_a_row_without_a_name_is_told() -> None:
    nobody = "found nothing; accepted: a name, as orders give it"
    assert said(places, {"destination": "", "address": "x"}) == [f"row 2, column destination: {nobody}"]
    assert said(parties, {"party": "", "contact": "x"}) == [f"row 2, column party: {nobody}"]


def test_one_measure_of_a_door_and_a_place_twice() -> None:
    assert said(places, {"door width": "3"}) == [
        'row 2: found "one measure of a door"; accepted: its width and its height, or neither'
    ]
    (line,) = said(places, {"door width": "wide", "door height": "79"})
    assert line.startswith('row 2, column door width: found "wide"; accepted: ')
    (line,) = said(places, {"door width": "79", "door height": "high"})
    assert line.startswith('row 2, column door height: found "high"; accepted: ')
    assert said(places, {}, {"destination": "A"}) == [
        'row 3, column destination: found "A"; accepted: each destination once; row 2 has it too'
    ]
    (line,) = said(places, {"profile": "balloon"})
    assert line.startswith('row 2, column profile: found "balloon"; accepted: ')
    (line,) = said(places, {"deadline": "soon"})
    assert line.startswith('row 2, column deadline: found "soon"; accepted: ')


def test_everything_that_a_place_may_hold() -> None:
    (place,) = places(
        {
            "country": "fr", "door width": "34", "door height": "2 m", "dock": "yes", "forklift": "y",
            "residential": "x", "inside": "1", "limited access": "yes", "distance": "20000 KM", "profile": "van",
            "deadline": "03/04/2026", "handler rate": "10000000", "address": "1 Quay", "zone": "5",
            "quoted": "1000000", "quoted by": "van", "quoted until": "2027-01-31", "party": " Pier  Hall ",
            "port of entry": " Le  Havre", "commission": "95 %", "paid by": "Buyer", "tax name": "VAT",
            "tax rate": "100 %", "tax on": "freight and art", "export": "zero-rated",
        }
    ).rows  # fmt: skip
    assert place == Destination(
        "A", "FR", 34 * INCH, 2_000 * MM, dock=True, forklift=True, residential=True, inside=True,
        km=Decimal(20_000), profile="van", deadline=date(2026, 4, 3), handler_rate=Decimal(10_000_000),
        address="1 Quay", limited=True, zone="5", quoted=Decimal(1_000_000), quoted_by="van",
        quoted_until=date(2027, 1, 31), party="Pier Hall", port="Le Havre",
        terms=SaleTerms(Decimal("0.95"), "buyer", "VAT", Decimal(1), ("art", "freight"), "zero-rated"),
    )  # fmt: skip
    assert place.row == 2
    back = destinations_from(destinations_csv(Destinations((place,))).encode(), "d.csv", default_rates())
    assert back.rows == (place,)
    assert "34 in,78 3/4 in" not in destinations_csv(Destinations((place,)), "metric")
    assert (
        "# door width, door height: clear opening of the narrowest door on the way in, with its unit, such as 860 mm"
        in (destinations_csv(Destinations((place,)), "metric").replace('"', ""))
    )


@pytest.mark.parametrize(
    ("text", "km"),
    [("0 km", "0"), ("12,5 km", "12.5"), ("12.123456789km", "12.123456789"), ("1 mile", "1.609344"),
     ("2 Miles", "3.218688"), ("999999 km", None), ("12,123 km", None)],
)  # fmt: skip
def test_ways_from_the_studio(text: str, km: str | None) -> None:
    if km is None:
        assert len(said(places, {"distance": text})) == 1
    else:
        assert places({"distance": text}).rows[0].km == Decimal(km)


def test_amounts_of_places_that_could_be_meant_otherwise_are_told() -> None:
    found = places({"quoted": "840,50"}, {"quoted": "1.234", "handler rate": "2.345"})
    assert [(each.quoted, each.handler_rate) for each in found.rows] == [
        (Decimal("840.50"), None), (Decimal(1234), Decimal(2345)),
    ]  # fmt: skip
    assert found.warnings == (
        "d.csv, row 3, column handler rate: 2.345 is read as 2345, since others have decimal commas",
        "d.csv, row 3, column quoted: 1.234 is read as 1234, since others have decimal commas",
    )
    alone = places({"quoted": "1.234"})
    assert alone.rows[0].quoted == Decimal("1.23")
    assert alone.warnings == (
        "d.csv, row 2, column quoted: 1.234 is read as 1.234, since a point stands before decimals",
    )
    assert said(places, {"quoted": "840,50"}, {"quoted": "1,234"}) == [
        'row 3, column quoted: found "1,234"; accepted: 1234 or 1,23: the comma may be either'
    ]


def test_what_of_a_table_of_places_is_remarked() -> None:
    found = places(
        {"quoted by": "van", "colour": "red"}, {"quoted until": "03/04/2026"}, {"quoted": "5", "quoted by": "x"}
    )
    assert found.warnings[:3] == (
        "d.csv: column colour is not known and was passed over",
        "d.csv, row 2: A has no sum under quoted, so that no quotation counts there",
        "d.csv, row 3: B has no sum under quoted, so that no quotation counts there",
    )
    assert found.warnings[3].startswith("d.csv: days such as 03/04/2026 (3 April 2026)")
    assert found.source == "d.csv"
    assert [row.name for row in destinations_from(b"name\tdock\nX\tno\n", "d.csv", default_rates()).rows] == ["X"]


def test_places_hold_what_can_be() -> None:
    assert Destination("x", km=Decimal(20_000), quoted=Decimal(1_000_000)).km == 20_000
    for bad, text in (
        ({"name": ""}, "found no name; accepted: a name, as orders give it"),
        ({"country": "us"}, "found the country us; accepted: two capital letters"),
        (
            {"door_width": -1, "door_height": 1},
            "found one measure of a door; accepted: its width and its height, or neither",
        ),
        ({"door_height": 1}, "found one measure of a door; accepted: its width and its height, or neither"),
        ({"km": Decimal("-0.1")}, "found -0.1 km; accepted: 0 to 20000 km"),
        ({"km": Decimal("20000.1")}, "found 20000.1 km; accepted: 0 to 20000 km"),
        ({"quoted": Decimal("-0.1")}, "found -0.1 quoted; accepted: 0 to 1000000"),
        ({"quoted": Decimal("1000000.01")}, "found 1000000.01 quoted; accepted: 0 to 1000000"),
    ):
        with pytest.raises(ValueError, match="found") as caught:
            Destination(**{"name": "x", **bad})  # type: ignore[arg-type]  # fields by name
        assert str(caught.value) == text
    with pytest.raises(ValueError, match=r"^each destination stands in the table once$"):
        Destinations((Destination("x"), Destination("x", "US")))


def test_a_door_is_a_limit_where_hands_get_through() -> None:
    assert Destination("x").door is None
    assert Destination("x", door_width=INCH // 2, door_height=INCH).door is None
    door = Destination("x", door_width=INCH // 2 + 1, door_height=INCH).door
    assert door is not None
    assert (door.name, door.door, door.margin) == ("the door at x", (INCH // 2 + 1, INCH), INCH // 2)


def test_two_tables_of_places_are_one() -> None:
    one = Destinations((Destination("A", "US"),), "one.csv", ("a",))
    two = Destinations((Destination("A", "FR"), Destination("B", "FR")), "two.csv", ("b",))
    both = one.joined(two)
    assert [(row.name, row.country) for row in both.rows] == [("A", "US"), ("B", "FR")]
    assert (both.source, both.warnings) == ("one.csv, two.csv", ("a", "b"))
    assert one.joined(Destinations()).source == "one.csv"
    assert Destinations(source="x").joined(Destinations(source="y")).source == "x"
    assert Destinations().joined(Destinations(source="y")).source == "y"
    assert both.abroad("US") == {"B"}
    assert both.get("A") is both.rows[0]
    order = Order("o", tuple(Artwork(str(at), INCH, INCH, INCH, destination=name) for at, name in enumerate("CAC")))
    assert both.unknown(order) == ("C",)


# Parties.

PART = "a part such as 40 % or 0.4, {} at the most"


@pytest.mark.parametrize(
    ("column", "text", "found", "accepted"),
    [
        ("country", "USA", "USA", "two letters such as US, GB, JP"),
        ("EORI", "n1 123", "n1 123", "two letters of a country and up to 15 letters and digits"),
        (
            "EORI",
            "NL1234567890123456",
            "NL1234567890123456",
            "two letters of a country and up to 15 letters and digits",
        ),
        ("currency", "dollars", "dollars", "three letters such as USD or EUR"),
        ("e-mail", "nobody", "nobody", "an address such as registrar@example.org"),
        ("e-mail", "a@b", "a@b", "an address such as registrar@example.org"),
        ("address", "1;2;3;4;5;6;7", "7 lines", "6 at the most"),
        ("address", "x" * 401, "401 characters", "400 at the most"),
        ("contact", "x" * 121, "121 characters", "120 at the most"),
        ("phone", "x" * 121, "121 characters", "120 at the most"),
        ("tax number", "x" * 121, "121 characters", "120 at the most"),
        ("rest due", "x" * 121, "121 characters", "120 at the most"),
        ("terms", "x" * 1001, "1001 characters", "1000 at the most"),
        ("commission", "96 %", "96 %", PART.format("95 %")),
        ("deposit", "101 %", "101 %", PART.format("100 %")),
        ("packing by", "x", "x", f"one of {', '.join(get_args(Payer))}"),
        ("freight by", "x", "x", f"one of {', '.join(get_args(Payer))}"),
        ("insurance by", "x", "x", f"one of {', '.join(get_args(Payer))}"),
        ("import by", "list price", "list price", "one of buyer, artist, gallery"),
        ("discount by", "x", "x", f"one of {', '.join(get_args(DiscountBy))}"),
        ("production by", "x", "x", f"one of {', '.join(get_args(Side))}"),
        ("loss by", "x", "x", f"one of {', '.join(get_args(Side))}"),
        ("way back by", "x", "x", f"one of {', '.join(get_args(Side))}"),
        ("paid within", "0", "0", "a number of days from 1 to 365"),
        ("paid within", "366 days", "366 days", "a number of days from 1 to 365"),
        ("paid within", "soon", "soon", "a number of days from 1 to 365"),
        ("unsold back", "soon", "soon", "a day such as 2027-03-31, or a number of days from 1 to 3650"),
        ("unsold back", "3651 days", "3651 days", "a day such as 2027-03-31, or a number of days from 1 to 3650"),
    ],
)
def test_what_a_party_does_not_take(column: str, text: str, found: str, accepted: str) -> None:
    quoted = f'"{found}"' if found else "nothing"
    told = said(parties, {column: text})
    assert [line.replace('..."', f'{found[37:]}"') if len(found) > 40 else line for line in told] == [
        f"row 2, column {column}: found {quoted}; accepted: {accepted}"
    ]


def test_an_e_mail_address_has_an_end() -> None:
    longest = f"{'a' * 60}@{'b' * 181}.{'c' * 11}"
    assert len(longest) == 254
    assert parties({"e-mail": longest}).rows[0].email == longest
    (line,) = said(parties, {"e-mail": f"{longest}c"})
    assert line.endswith("accepted: an address such as registrar@example.org")
    assert len(said(parties, {"e-mail": f"{'a' * 65}@example.org"})) == 1


def test_everything_that_a_party_may_hold() -> None:
    (party,) = parties(
        {
            "party": " Pier  Hall ", "contact": "x" * 120, "address": "Pier 4 ; 12  Quay;;a;b;c;d", "country": "nl",
            "e-mail": "a@b.nl", "phone": "1", "tax number": "2", "EORI": "nl 123456789012345", "commission": "95 %",
            "packing by": "list price", "freight by": "Buyer", "insurance by": "artist", "import by": "gallery",
            "deposit": "100 %", "rest due": "later", "terms": "y" * 1000, "currency": "eur",
            "discount by": "half each", "production by": "artist", "loss by": "gallery", "way back by": "artist",
            "paid within": "365 Days", "unsold back": "3650 days",
        }
    ).rows  # fmt: skip
    assert party == Party(
        "Pier Hall", "x" * 120, ("Pier 4", "12 Quay", "a", "b", "c", "d"), "NL", "a@b.nl", "1", "2",
        "NL123456789012345", Decimal("0.95"), "list price", "buyer", "artist", "gallery", Decimal(1), "later",
        "y" * 1000, "EUR", "half each", "artist", "gallery", "artist", 365, None, 3650,
    )  # fmt: skip
    assert party.row == 2
    assert parties_from(parties_csv(Parties((party,))).encode(), "p.csv").rows == (party,)
    assert party.lines == ("Pier Hall", "x" * 120, "Pier 4", "12 Quay", "a", "b", "c", "d", "NL")


@pytest.mark.parametrize(
    ("text", "on", "after"),
    [("2027-03-31", date(2027, 3, 31), None), ("31.3.2027", date(2027, 3, 31), None),
     ("3/4/27", date(2027, 4, 3), None),
     ("31 March 2027", date(2027, 3, 31), None), ("1", None, 1), ("90 days", None, 90), ("1 day", None, 1),
     ("2027", None, 2027), ("2027 days", None, 2027), ("", None, None)],
)  # fmt: skip
def test_when_unsold_works_are_back(text: str, on: date | None, after: int | None) -> None:
    if text == "2027":
        assert len(said(parties, {"unsold back": text})) == 1, "a year alone is no day"
        return
    (party,) = parties({"unsold back": text, "contact": "x"}).rows
    assert (party.back_on, party.back_after) == (on, after)


def test_parties_once_whatever_their_capitals() -> None:
    assert said(parties, {"party": "Pier Hall"}, {"party": "PIER  HALL"}, {"party": "pier hall"}) == [
        'row 3, column party: found "PIER HALL"; accepted: each party once; row 2 has it too',
        'row 4, column party: found "pier hall"; accepted: each party once; row 2 has it too',
    ]
    found = parties({"unsold back": "03/04/2027", "hobby": "sailing"})
    assert found.warnings[0] == "p.csv: column hobby is not known and was passed over"
    assert found.warnings[1].startswith("p.csv: days such as 03/04/2027 (3 April 2027)")
    assert found.source == "p.csv"


def test_parties_hold_what_can_be() -> None:
    assert Party("x", commission=Decimal("0.95"), deposit=Decimal(1), paid_within=365, back_after=3650)
    for bad, text in (
        ({"name": ""}, "found no name; accepted: a name, as orders give it"),
        ({"country": "nl"}, "found the country nl; accepted: two capital letters"),
        ({"commission": Decimal("0.951")}, "found the commission 0.951; accepted: 0 to 95 %"),
        ({"commission": Decimal("-0.1")}, "found the commission -0.1; accepted: 0 to 95 %"),
        ({"deposit": Decimal("1.01")}, "found the deposit 1.01; accepted: 0 to 1"),
        ({"deposit": Decimal("-0.1")}, "found the deposit -0.1; accepted: 0 to 1"),
        ({"address": tuple("1234567")}, "found 7 lines of address; accepted: 6 at the most"),
        ({"paid_within": 0}, "paid within: found 0; accepted: 1 to 365 days"),
        ({"paid_within": 366}, "paid within: found 366; accepted: 1 to 365 days"),
        ({"back_after": 3651}, "unsold back: found 3651; accepted: 1 to 3650 days"),
        ({"back_after": 9, "back_on": date(2027, 3, 31)},
         "unsold back: found 2027-03-31 and 9 days; accepted: one of them"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="found") as caught:
            Party(**{"name": "x", **bad})  # type: ignore[arg-type]  # fields by name
        assert str(caught.value) == text
    with pytest.raises(ValueError, match="EURO"):
        Party("x", currency="EURO")
    with pytest.raises(ValueError, match=r"^each party stands in the table once$"):
        Parties((Party("x"), Party("X")))


def test_two_tables_of_parties_are_one() -> None:
    one = Parties((Party("A", "x"),), "one.csv", ("a",))
    two = Parties((Party("a", "y"), Party("B")), "two.csv", ("b",))
    both = one.joined(two)
    assert [(row.name, row.contact) for row in both.rows] == [("A", "x"), ("B", "")]
    assert (both.source, both.warnings) == ("one.csv, two.csv", ("a", "b"))
    assert Parties(source="x").joined(Parties(source="y")).source == "x"
    assert Parties().joined(Parties(source="y")).source == "y"
    assert both.get("") is None
    assert both.get("b") is both.rows[1]
    assert both.get("C") == Party("C", known=False)


def test_parties_that_an_order_or_its_places_name_and_the_table_lacks() -> None:
    table = Parties((Party("A"),))
    pieces = (
        Artwork("1", INCH, INCH, INCH, destination="Quay", buyer="b", gallery="a"),
        Artwork("2", INCH, INCH, INCH, gallery="D"),
    )
    order = Order("o", pieces, buyer="B", gallery="C")
    assert table.unknown(order) == ("B", "C", "D")
    held = Destinations((Destination("Quay", party="E"),))
    assert table.unknown(order, held) == ("B", "C", "D", "E")
    assert ready_line("A, B") == '"A, B"' + "," * (len(COLUMNS) - 1)
    assert parties_module.MOST_ADDRESS_LINES == 6
