"""Another program calculates every formula anew and comes to the quote's own totals, to the cent.

LibreOffice keeps the values stored in a file unless told to calculate on load, so the first test plants a wrong one and
sees it replaced; only then do the others mean anything.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from pricing.money import half_up
from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.pricebook import purchase
from pricing.studio.rates import Charge
from tests.pricing.output.workbook.support import (
    DAY,
    changed,
    differences,
    generated,
    money,
    named,
    opened,
    recalculated,
    recounted,
    sample,
    written,
)

pytestmark = pytest.mark.office
SAMPLES = ("small_sale.csv", "gallery_consignment.csv", "giant_panel.toml", "metric_pair.xlsx")
WRONG = "987654.32"


def planted(content: bytes, total: Decimal) -> bytes:
    """Return a workbook whose stored total is wrong wherever it stands; no formula is touched."""
    out = BytesIO()
    right, count = f"<v>{float(total)!r}</v>", 0
    with ZipFile(BytesIO(content)) as old, ZipFile(out, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename.startswith("xl/worksheets/sheet"):
                count += data.count(right.encode())
                data = data.replace(right.encode(), f"<v>{WRONG}</v>".encode())
            new.writestr(entry, data)
    assert count
    return out.getvalue()


def reprice(was: Quote, **changes: Any) -> Quote:
    """Price the same build again with something changed."""
    office = replace(was.office, book=changes.get("book", was.book), rates=changes.get("rates", was.rates))
    on = changes.get("on", was.on)
    return quote(was.build, office, on=on, number=was.number, charge=changes.get("charge"))


def ten_prices(was: Quote) -> tuple[dict[str, Any], Quote]:
    """Return ten price cells with other values, by name, and the quote of the same build at those prices."""
    used = [row.price for row in was.takeoff.rows if row.price]
    sheets = [row for row in used if row.form == "sheet"][:4]
    others = [row for row in used if row.form in ("stick", "roll", "box", "each")][:4]
    hours = [was.book.price(stock) for stock in ("hour saw", "hour bench")]
    chosen = [*sheets, *others, *hours]
    assert len(chosen) == 10
    # Never below a break of its row, which the price book would refuse.
    new = {row.stock: half_up(row.price * Decimal(103 + 7 * n) / 100) for n, row in enumerate(chosen)}
    rows = tuple(replace(row, price=new.get(row.stock, row.price)) for row in was.book.rows)
    cells = {f"price_{_plain(stock)}": float(price) for stock, price in new.items()}
    return cells, reprice(was, book=replace(was.book, rows=rows))


def _plain(stock: str) -> str:
    import re

    return re.sub("[^a-z0-9]+", "_", stock.lower()).strip("_")


def other_rates(was: Quote) -> tuple[dict[str, Any], Quote]:
    """Return rates, minutes and choices with other values, by name, and the quote at those."""
    price = replace(
        was.rates.price, contingency=Decimal("0.075"), overhead=Decimal("0.135"), profit_rate=Decimal("0.335"),
        discount=Decimal("0.0125"), minimum=Decimal(100), round_to=Decimal("2.5"), round_way="up", valid_days=14,
        waste=Decimal("0.125"), sheet_waste=Decimal("0.225"),
    )  # fmt: skip
    tax = replace(was.rates.tax, rate=Decimal("0.0725"), on_freight=False, on_insurance=True)
    sale = replace(was.rates.sale, commission=Decimal("0.4"), shipping_paid_by="gallery", art_tax=Decimal("0.05"))
    insurance = replace(was.rates.insurance, rate=Decimal("0.0085"), minimum=Decimal(900))
    work = replace(
        was.rates.labour, screw=Decimal("0.45"), assembly=Decimal("13.7"), setup=Decimal("1.3"),
        mark_out=Decimal("0.6"), seal=Decimal("5.5"), label=Decimal("0.35"), record=Decimal(11), yard=Decimal(40),
        hand_over=Decimal("7.5"),
    )  # fmt: skip
    rates = replace(
        was.rates,
        price=price,
        tax=tax,
        sale=sale,
        insurance=insurance,
        labour=work,
        purchase_tax={"goods": Decimal("0.03")},
        by_good={**was.rates.by_good, "osb-7/16": "area", "glassine": "bought"},
    )
    cells = {
        "contingency_rate": 0.075, "overhead_rate": 0.135, "markup_rate": 0.335, "discount_rate": 0.0125,
        "minimum_charge": 100, "round_to": 2.5, "round_way": "up", "valid_days": 14, "sales_tax_rate": 0.0725,
        "tax_on_freight": "no", "tax_on_insurance": "yes", "commission_rate": 0.4, "shipping_paid_by": "gallery",
        "art_tax_rate": 0.05, "insurance_rate": 0.0085, "insurance_minimum": 900, "minutes_screw": 0.45,
        "minutes_assembly": 13.7, "minutes_setup": 1.3, "minutes_mark_out": 0.6, "minutes_seal": 5.5,
        "minutes_label": 0.35, "minutes_record": 11, "minutes_yard": 40, "minutes_hand_over": 7.5,
        "purchase_tax_goods": 0.03, "waste_rate": 0.125,
        "sheet_waste_rate": 0.225, "charge_osb_7_16": "area", "charge_glassine": "bought",
    }  # fmt: skip
    return cells, reprice(was, rates=rates)


def other_rule(was: Quote, rule: Charge) -> tuple[dict[str, Any], Quote]:
    """Return the rule by which all goods are charged, by the name of its cell, and the quote by it."""
    return {"charge_basis": rule}, reprice(was, charge=rule)


def test_a_planted_wrong_value_is_kept_or_replaced_as_told(office: str, tmp_path: Path) -> None:
    was = sample("small_sale.csv")
    wrong = {"planted": planted(written("small_sale.csv"), was.total)}
    (tmp_path / "kept").mkdir()
    kept = recalculated(office, wrong, tmp_path / "kept", mode=1)["planted"]
    assert str(named(opened(kept, values=True))["quote_total"]) == WRONG
    anew = recalculated(office, wrong, tmp_path)["planted"]
    assert money(named(opened(anew, values=True))["quote_total"]) == was.total
    assert differences(anew, was) == []


def test_samples_and_changes_recalculated(office: str, tmp_path: Path) -> None:
    """Every total of the samples as written, with ten prices changed, with every rate changed, all to the cent."""
    wanted = {name.split(".")[0]: sample(name) for name in SAMPLES}
    files = {name.split(".")[0]: written(name) for name in SAMPLES}
    big = wanted["gallery_consignment"]
    edited = {"prices": ten_prices(big), "rates": other_rates(big)}
    edited |= {rule: other_rule(big, rule) for rule in ("bought", "area")}
    for name, (cells, new) in edited.items():
        assert new.total != big.total
        files[name], wanted[name] = changed(big, cells), new
    for name, content in recalculated(office, files, tmp_path).items():
        assert differences(content, wanted[name]) == [], name


def test_a_changed_quantity_goes_through_to_the_total(office: str, tmp_path: Path) -> None:
    """More needed means more bought, at the break where it pays, up to the total; the day moves the validity."""
    was = reprice(sample("small_sale.csv"), charge="bought")
    row = next(row.price for row in was.takeoff.rows if row.price and row.form == "sheet" and row.price.breaks)
    name, start = _plain(row.stock), row.breaks[0][0]
    counts = (1, start - 1, start, 3 * start)
    files = {str(count): changed(was, {f"needed_{name}": count, "quote_date": date(2027, 1, 4)}) for count in counts}
    values = {
        int(count): named(opened(content, values=True))
        for count, content in recalculated(office, files, tmp_path).items()
    }
    for count in counts:
        bought = purchase(row, count)
        assert values[count][f"bought_{name}"] == bought.count
        assert money(values[count][f"amount_{name}"]) == bought.amount
    totals = [values[count]["quote_total"] for count in counts]
    assert totals == sorted(set(totals))
    # 30 days after 4 January (calculation).
    assert was.rates.price.valid_days == 30
    assert values[1]["valid_until"].date() == date(2027, 2, 3)


@pytest.mark.slow
def test_fifty_generated_orders_recalculated(office: str, tmp_path: Path) -> None:
    wanted = {f"order-{n}": made for n, made in enumerate(generated(50, seed=11))}
    files = {name: workbook_bytes(made) for name, made in wanted.items()}
    faults = {}
    for name, values in recounted(office, files, tmp_path).items():
        if found := differences(values, wanted[name]):
            faults[name] = found
    assert faults == {}
    assert len({made.total for made in wanted.values()}) > 45
    assert {made.charge for made in wanted.values()} == {"bought", "used", "area"}
    assert all(made.on == DAY for made in wanted.values())


def test_the_looked_up_piece_follows_the_choice(office: str, tmp_path: Path) -> None:
    """Names that a spreadsheet would take for patterns or numbers, or differ in capitals only, are told apart."""
    was = sample("small_sale.csv")
    shares = {share.piece: share.total for share in was.shares}
    assert len(set(shares.values())) == len(shares) == 2
    files: dict[str, bytes] = {}
    wanted: dict[str, Decimal] = {}
    for names in (("a*", "A*"), ("101", "~x")):
        new = dict(zip(shares, names, strict=True))
        for piece, name in new.items():
            chosen: Any = int(name) if name.isdigit() else name
            key = str(len(files))
            files[key], wanted[key] = renamed(changed(was, {"chosen_piece": chosen}), new), shares[piece]
    for key, content in recalculated(office, files, tmp_path).items():
        sheet = opened(content, values=True)["Shares"]
        shown = next(row for row in sheet.iter_rows(values_only=True) if row[0] == "Packing and shipping it costs")
        assert money(shown[2]) == wanted[key]


def renamed(content: bytes, pieces: dict[str, str]) -> bytes:
    """Return a workbook with other names of pieces on its Shares page."""
    book = opened(content, values=False)
    for row in book["Shares"].iter_rows(min_col=1, max_col=1):
        if row[0].value in pieces:
            row[0].value = pieces[str(row[0].value)]
    out = BytesIO()
    book.save(out)
    return out.getvalue()
