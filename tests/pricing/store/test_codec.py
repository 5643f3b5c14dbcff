import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from nesting.cutting.sheets import Cut, Layout, PartLeaf
from nesting.cutting.sticks import StickPlan
from pricing.quoting.quote import Quote
from pricing.store.codec import decode, encode
from pricing.store.plans import plan_from, plan_text
from pricing.studio.office import Office
from pricing.studio.pricebook import Price
from tests.pricing.desk.orders import quick_quote


@pytest.fixture(scope="module")
def quote() -> Quote:
    return quick_quote()


def test_a_whole_office_comes_back_equal(quote: Quote) -> None:
    office = Office(quote.build.shop, quote.book, quote.rates, quote.rack, quote.destinations)
    text = json.dumps(encode(office))
    assert decode(Office, json.loads(text)) == office


def test_every_plan_comes_back_equal(quote: Quote) -> None:
    plans: list[Layout | StickPlan] = [*quote.build.layouts, *quote.build.stick_plans]
    assert len(plans) >= 4
    assert [plan_from(plan_text(plan)) for plan in plans] == plans


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
