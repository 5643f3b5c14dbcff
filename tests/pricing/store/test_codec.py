import json
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from nesting.base.search import QUICK
from nesting.cutting.sheets import Cut, Layout, PartLeaf
from nesting.cutting.sticks import StickPlan
from nesting.intake import read_order
from pricing.output.tables import quote_document
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.store.codec import decode, encode
from pricing.store.former import Former
from pricing.store.plans import plan_from, plan_text
from pricing.studio.office import Office, read_office
from pricing.studio.pricebook import Price
from tests.pricing.desk.orders import DAY, SAMPLES, quick_quote


@pytest.fixture(scope="module")
def quote() -> Quote:
    return quick_quote()


def test_a_whole_office_comes_back_equal(quote: Quote) -> None:
    office = Office(quote.build.shop, quote.book, quote.rates, quote.rack, quote.destinations)
    text = json.dumps(encode(office))
    assert decode(Office, json.loads(text)) == office


def test_every_plan_comes_back_equal(quote: Quote) -> None:
    plans: list[Layout | StickPlan] = [*quote.build.layouts, *quote.build.stick_plans]
    assert len(plans) >= 3
    assert [plan_from(plan_text(plan)) for plan in plans] == plans


@pytest.mark.parametrize("file", ["gallery_consignment.csv", "giant_panel.toml", "metric_pair.xlsx", "small_sale.csv"])
def test_a_whole_quote_of_every_sample_comes_back_equal(file: str) -> None:
    """Cut trees, takeoff, fractions, days with an hour: all that a pin keeps."""
    quote = work(read_order(SAMPLES / file), read_office(None, SAMPLES), on=DAY, search=QUICK)
    text = json.dumps(encode(quote))
    again = decode(Quote, json.loads(text))
    assert again == quote
    assert json.dumps(encode(again)) == text
    assert quote_document(again) == quote_document(quote)


def test_a_moment_stands_where_a_day_is_asked_for() -> None:
    poured = datetime(2026, 11, 25, 15, 30)  # noqa: DTZ001 - a studio's own clock
    assert decode(date | None, encode(poured)) == poured
    assert type(decode(date, "2026-11-25")) is date


def test_a_nested_cut_bears_its_class() -> None:
    cut = Cut("rip", 5, PartLeaf("a", turned=True), PartLeaf("b", turned=False))
    assert decode(Cut, encode(cut)) == cut
    assert encode(cut)["first"]["is"] == "PartLeaf"


@pytest.mark.parametrize(
    ("kind", "data"),
    [(int, "5"), (str, 5), (Price, {"is": "Price"}), (date, "yesterday"), (dict[str, int], {"a": "b"})],
)
def test_what_does_not_fit_its_type_is_refused(kind: Any, data: Any) -> None:
    with pytest.raises((TypeError, ValueError)):
        decode(kind, data)


def test_what_has_no_form_is_refused() -> None:
    with pytest.raises(TypeError, match="no form"):
        encode({"path": Path()})


@dataclass(frozen=True)
class Board:
    """A value for the test, as the code has it today."""

    good: str
    thickness: int
    grain: str = "along"


@dataclass(frozen=True)
class Rod:
    """Another kind of the same union."""

    good: str


@dataclass(frozen=True)
class Pile:
    """What holds either."""

    top: Board | Rod


def test_what_bears_former_names_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """A class and a field were renamed, one field is gone, and one changed its form."""
    former = Former(
        classes={"Panel": "Board"},
        fields={("Board", "thick"): "thickness", ("Board", "colour"): None, ("Rod", "stock"): "good"},
        values={("Board", "thickness"): int},
    )
    text = '{"is": "Pile", "top": {"is": "Panel", "good": "ply", "thick": "9", "colour": "red", "unknown": 1}}'
    with pytest.raises(TypeError, match="Panel is none of"):
        decode(Pile, json.loads(text))
    monkeypatch.setattr("pricing.store.codec.FORMER", former)
    board = Board("ply", 9)
    assert decode(Pile, json.loads(text)) == Pile(board)
    assert decode(Pile, {"top": {"is": "Rod", "stock": "pine"}}) == Pile(Rod("pine"))
    assert decode(Pile, encode(Pile(board))) == Pile(board), "what bears the names of today reads as ever"
    for both in ({"thick": 1, "thickness": 9}, {"thickness": 9, "thick": 1}):
        assert decode(Board, {"good": "ply", **both}) == board, "today's name stands, wherever it stands"


def test_a_plan_of_a_class_that_was_renamed_is_read(quote: Quote, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = quote.build.layouts[0]
    text = plan_text(plan).replace('"kind":"Layout"', '"kind":"Arrangement"')
    with pytest.raises(TypeError):
        plan_from(text)
    monkeypatch.setattr("pricing.store.codec.FORMER", Former(classes={"Arrangement": "Layout"}))
    assert plan_from(text) == plan


@pytest.mark.parametrize(("kind", "text"), [(Decimal, "a lot"), (Fraction, "1/0"), (Fraction, "a lot")])
def test_what_is_no_number_is_told_as_data_that_does_not_fit(kind: type, text: str) -> None:
    """Found by fuzzing: Decimal raises what is no ValueError."""
    with pytest.raises(ValueError, match=r"no number|Invalid literal"):
        decode(kind, text)
