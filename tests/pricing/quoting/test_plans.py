"""Plans weighed by the whole quote: more effort never makes it dearer, and what is taken is a whole build again."""

import json
from datetime import date
from pathlib import Path

import pytest

from nesting.base.search import QUICK, Search
from nesting.build import relaid
from nesting.intake import read_order
from pricing.output.handover import build_text
from pricing.quoting.plans import no_dearer, plans_of, priced, with_plans
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import build_order, work
from pricing.studio.office import read_office
from tests.build_verifier import verify_build

ON = date(2027, 3, 1)


def plain(path: str) -> Quote:
    """Quote a sample by a longer search, its plans as they are found."""
    order, office = read_order(Path(path)), read_office(None, Path(path).parent)
    made = build_order(order, office, search=Search(effort="normal"))
    return quote(made, office, on=ON)


@pytest.mark.parametrize("name", ["small_sale.csv", "gallery_consignment.csv"])
def test_more_effort_makes_no_quote_dearer(name: str) -> None:
    path = Path("sample_orders", name)
    order, office = read_order(path), read_office(None, path.parent)
    quick, longer = (work(order, office, on=ON, search=Search(effort=effort)) for effort in ("quick", "normal"))
    assert longer.total <= min(quick.total, plain(str(path)).total)
    assert longer.build.effort == "normal"
    assert verify_build(json.loads(build_text(longer.build, longer.currency))) == []


def test_plans_are_taken_one_by_one_and_only_where_nothing_is_lost() -> None:
    made = plain("sample_orders/gallery_consignment.csv")
    quick = priced(made, relaid(made.build, QUICK))
    assert plans_of(quick.build).keys() == plans_of(made.build).keys()
    best, chosen = no_dearer(quick, plans_of(made.build))
    assert chosen == plans_of(best.build)
    assert best.total <= quick.total
    for good, plan in plans_of(made.build).items():
        alone = priced(quick, with_plans(quick.build, {good: plan})).total
        if all(chosen[other] == plans_of(quick.build)[other] for other in chosen if other != good):
            assert (chosen[good] == plan) is (alone <= quick.total)
    assert no_dearer(best, plans_of(best.build))[0].total == best.total
