from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.order import Artwork, Order
from pricing.studio.consignment_rules import DiscountBy, Side
from pricing.studio.office import office_texts, read_office
from pricing.studio.parties import COLUMNS, Bearer, Parties, Party, parties_csv, parties_from, ready_line
from pricing.studio.rates import Payer

words = st.text("abcdefgh ÄÖß,'-&.é=+#\"", min_size=1, max_size=40).map(lambda text: " ".join(text.split()))
names = words.filter(bool)
parts = st.none() | st.integers(0, 950).map(lambda part: Decimal(part).scaleb(-3))
sides = st.none() | st.sampled_from(get_args(Side))
payers = st.none() | st.sampled_from(get_args(Payer))


@st.composite
def parties(draw: st.DrawFn) -> Parties:
    """Tables as studios keep them."""
    found = draw(st.lists(names, max_size=4, unique_by=str.casefold))
    return Parties(
        tuple(
            Party(
                name,
                contact=draw(words),
                address=tuple(draw(st.lists(names, max_size=6))),
                country=draw(st.sampled_from(["", "US", "NL"])),
                email=draw(st.sampled_from(["", "registrar@example.org"])),
                tax_number=draw(words),
                eori=draw(st.sampled_from(["", "NL123456789000"])),
                commission=draw(parts),
                packing_by=draw(payers),
                freight_by=draw(payers),
                insurance_by=draw(payers),
                import_by=draw(st.none() | st.sampled_from(get_args(Bearer))),
                deposit=draw(parts),
                rest_due=draw(words),
                terms=draw(words),
                currency=draw(st.sampled_from(["", "EUR"])),
                discount_by=draw(st.none() | st.sampled_from(get_args(DiscountBy))),
                production_by=draw(sides),
                loss_by=draw(sides),
                way_back_by=draw(sides),
                paid_within=draw(st.none() | st.integers(1, 365)),
                back_on=(back := draw(st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1)))),
                back_after=draw(st.none() | st.integers(1, 3650)) if back is None else None,
            )
            for name in found
        )
    )


@given(parties())
def test_a_table_reads_back_as_it_was_written(table: Parties) -> None:
    assert parties_from(parties_csv(table).encode(), "parties.csv").rows == table.rows


def test_every_fault_of_a_table_is_told_at_once() -> None:
    text = (
        "party,country,e-mail,EORI,commission,freight by,import by,deposit,currency,address\n"
        ",US,,,,,,,,\n"
        "Pier Hall,USA,nobody,12,96 %,studio,list price,150 %,dollars,1;2;3;4;5;6;7\n"
        "pier hall,,,,,,,,,\n"
    )
    with pytest.raises(FaultsFound) as found:
        parties_from(text.encode(), "parties.csv")
    assert [(fault.row, fault.column) for fault in found.value.faults] == [
        (2, "party"), (3, "country"), (3, "EORI"), (3, "currency"), (3, "e-mail"), (3, "address"), (3, "freight by"),
        (3, "import by"), (3, "commission"), (3, "deposit"), (4, "party"),
    ]  # fmt: skip


def test_lines_of_an_address_stand_apart_and_columns_that_are_not_known_are_told() -> None:
    table = parties_from(b"name,address,hobby\nPier Hall,Pier 4; 12 Quay Street ;;Harbor,sailing\n", "p.csv")
    assert table.rows[0].address == ("Pier 4", "12 Quay Street", "Harbor")
    assert table.rows[0].lines == ("Pier Hall", "Pier 4", "12 Quay Street", "Harbor")
    assert table.warnings == ("p.csv: column hobby is not known and was passed over",)


def piece(name: str, buyer: str = "", gallery: str = "") -> Artwork:
    return Artwork(name, 30 * INCH, 30 * INCH, 2 * INCH, buyer=buyer, gallery=gallery)


def test_a_row_names_who_buys_and_sells_before_the_order_does_whatever_its_capitals() -> None:
    table = Parties((Party("Pier Hall"), Party("A. Collector")))
    one, two, three = piece("A-01"), piece("A-02", "a. collector", "PIER HALL"), piece("A-03", "Nobody", "Nobody")
    order = Order("one", (one, two, three), buyer="Bay Foundation", gallery="pier hall")
    assert table.gallery(one, order) == table.rows[0]
    assert table.buyer(one, order) == Party("Bay Foundation", known=False)
    assert (table.buyer(two, order), table.gallery(two, order)) == (table.rows[1], table.rows[0])
    assert table.unknown(order) == ("Bay Foundation", "Nobody")
    assert Parties().buyer(one, Order("one", (one,))) is None
    assert table.unknown(Order("one", (one,))) == ()


def test_a_ready_line_adds_the_party_it_names() -> None:
    text = f"{','.join(COLUMNS)}\n{ready_line('Smith, Jones & Co')}\n"
    assert parties_from(text.encode(), "parties.csv").rows == (Party("Smith, Jones & Co"),)


def test_a_studio_has_its_parties_and_an_order_may_bring_others(tmp_path: Path) -> None:
    studio, order = tmp_path / "studio", tmp_path / "order"
    for folder in (studio, order):
        folder.mkdir()
    for name, text in office_texts().items():
        (studio / name).write_text(text, encoding="utf-8")
    assert read_office(studio).parties.rows == ()
    (studio / "parties.csv").write_text("party,commission\nPier Hall,40 %\n", encoding="utf-8")
    (order / "parties.csv").write_text("party,commission\nPIER HALL,10 %\nA. Collector,\n", encoding="utf-8")
    parties = read_office(studio, order).parties
    assert [(each.name, each.commission) for each in parties.rows] == [
        ("Pier Hall", Decimal("0.4")), ("A. Collector", None),
    ]  # fmt: skip
    (studio / "parties.csv").write_text("party,commission\nPier Hall,much\n", encoding="utf-8")
    with pytest.raises(FaultsFound, match=r"parties\.csv, row 2, column commission"):
        read_office(studio)


def test_an_old_studio_without_parties_reads_as_it_did(tmp_path: Path) -> None:
    (tmp_path / "destinations.csv").write_text("destination,commission,paid by\nPier Hall,30 %,buyer\n")
    office = read_office(tmp_path)
    assert office.parties == Parties()
    assert (office.destinations.rows[0].terms.commission, office.destinations.rows[0].party) == (Decimal("0.3"), "")


def test_what_holds_of_works_on_consignment_is_read_and_its_faults_are_told() -> None:
    head = "party,discount by,production by,loss by,way back by,paid within,unsold back\n"
    rows = "Pier Hall,Half each,gallery,artist,gallery,14,90 days\nB,,,,,,2027-03-31\n"
    one, other = parties_from(f"{head}{rows}".encode(), "p.csv").rows
    assert (one.discount_by, one.production_by, one.loss_by, one.way_back_by) == (
        "half each", "gallery", "artist", "gallery",
    )  # fmt: skip
    assert (one.paid_within, one.back_after, one.back_on) == (14, 90, None)
    assert (other.paid_within, other.back_after, other.back_on) == (None, None, date(2027, 3, 31))
    with pytest.raises(FaultsFound) as found:
        parties_from(f"{head}C,artist,buyer,both,list price,0,soon\nD,,,,,366 days,2027-02-30\n".encode(), "p.csv")
    assert [(fault.row, fault.column) for fault in found.value.faults] == [
        (2, "discount by"), (2, "production by"), (2, "loss by"), (2, "way back by"), (2, "paid within"),
        (2, "unsold back"), (3, "paid within"), (3, "unsold back"),
    ]  # fmt: skip
    with pytest.raises(ValueError, match="one of them"):
        Party("Pier Hall", back_on=date(2027, 3, 31), back_after=90)
    with pytest.raises(ValueError, match="paid within: found 0"):
        Party("Pier Hall", paid_within=0)


def test_a_table_of_before_consignment_reads_to_the_same_parties() -> None:
    """The columns that 0.3 had by 30 November 2026, all filled."""
    text = (
        "party,contact,address,country,e-mail,phone,tax number,EORI,commission,packing by,freight by,insurance by,"
        "import by,deposit,rest due,terms,currency\n"
        "Pier Hall,M. Example,Pier 4; 12 Quay Street,NL,m@example.org,12 34,NL 1,NL123,40 %,list price,buyer,artist,"
        "gallery,50 %,on delivery,Ours.,EUR\n"
    )
    table = parties_from(text.encode(), "parties.csv")
    assert table.warnings == ()
    assert table.rows == (
        Party(
            "Pier Hall", "M. Example", ("Pier 4", "12 Quay Street"), "NL", "m@example.org", "12 34", "NL 1", "NL123",
            Decimal("0.4"), "list price", "buyer", "artist", "gallery", Decimal("0.5"), "on delivery", "Ours.", "EUR",
        ),
    )  # fmt: skip
