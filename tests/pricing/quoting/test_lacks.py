"""What a total lacks: every kind found, one line a kind with its count, the gravest first, each with where it mends."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Final

import pytest

from nesting.advice.check import compare
from nesting.advice.passage import Load, check_passage
from nesting.base.counts import few
from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from pricing.money import show
from pricing.output.job import Request
from pricing.quoting.lacks import KINDS, Lack, graves, headed
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rates import Payer
from pricing.studio.rates_file import default_rates
from pricing.studio.sale_terms import SaleTerms, TaxedKind
from tests.generated_orders import KINDS as ORDERS
from tests.generated_orders import ON as GENERATED_ON
from tests.pricing.builds import small_build

ON = date(2026, 11, 1)
PLACE = "Harbour Gallery"
PLACES = Destinations((Destination(PLACE, "US", km=Decimal(120), profile="van"),))


def priced(build: Build | None = None, *, on: date = ON, destinations: Destinations = PLACES) -> Quote:
    """Price a build, by van unless told otherwise."""
    return quote(build or small_build(), Office(destinations=destinations), on=on)


def lacks(made: Quote) -> Mapping[str, Lack]:
    """Return what a quote lacks, by kind."""
    return {lack.kind: lack for lack in made.lacks}


def test_the_grave_kinds_stand_before_all_others_and_each_says_where_it_is_mended() -> None:
    assert len({kind.kind for kind in KINDS}) == len(KINDS)
    graves_first = [kind.grave for kind in KINDS]
    assert graves_first == sorted(graves_first, reverse=True)
    assert all(kind.mend.files and kind.mend.page for kind in KINDS)
    assert [kind.kind for kind in KINDS if kind.grave] == [
        "held", "unpacked", "lapsed", "check", "freight", "party", "passage", "unsuited", "insurance", "invented",
    ]  # fmt: skip


def test_nothing_grave_but_invented_prices_is_found_where_nothing_is_wrong() -> None:
    made = priced()
    assert [lack.kind for lack in graves(made.lacks)] == ["invented"]
    assert made.lacks is made.lacks, "made once"


def test_stale_prices_are_one_line_with_their_count_and_the_first_few() -> None:
    assert "stale" not in lacks(priced())
    late = lacks(priced(on=date(2027, 6, 1)))["stale"]
    assert late.count == len(late.names) > 4
    assert late.text == f"{late.count} stale prices"
    assert late.line == f"{late.text}: {', '.join(late.names[:4])} and {late.count - 4} more (older than 90 days)"
    assert "ply-3/8 4x8" in late.names
    assert not any("carton" in name for name in late.names), "what is not used counts for nothing"
    assert late.mend.files == "column priced of prices.csv"
    assert late.mend.at == f"stock-{late.names[0]}"


def test_a_price_of_no_known_day_is_stale_for_that_reason() -> None:
    book = default_price_book()
    rows = tuple(replace(row, priced=None) if row.stock == "ply-3/8 4x8" else row for row in book.rows)
    made = quote(small_build(), Office(book=replace(book, rows=rows), destinations=PLACES), on=ON)
    assert lacks(made)["stale"].line == "1 stale price: ply-3/8 4x8 (of a day that is not known)"


def test_freight_that_is_refused_or_of_no_known_place_is_no_freight() -> None:
    far = priced(destinations=Destinations((Destination(PLACE, profile="van"),)))
    assert far.step("freight").amount == 0
    lack = lacks(far)["freight"]
    assert (lack.count, lack.names, lack.text) == (1, (PLACE,), "no freight to 1 destination")
    (offer,) = [each.chosen for each in far.shipments]
    why = f"no distance to {PLACE} is known, and the profile states no km of its own"
    assert lack.line == f"no freight to 1 destination: {PLACE} ({offer.title} refuses: {why})"
    assert lack.mend.at == f"place-{PLACE}"
    unknown = lacks(priced(destinations=Destinations((Destination("Harbor Gallery"),))))["freight"]
    assert unknown.line == (
        f"no freight to 1 destination: {PLACE} (not in the table of destinations; did you mean Harbor Gallery?)"
    )
    assert unknown.mend.at == f"add {PLACE}", "the row that is not there is begun with its name"


def test_a_place_that_is_not_known_but_has_freight_is_no_lack_of_freight() -> None:
    rates = default_rates()
    rates = replace(rates, delivery=replace(rates.delivery, profile="pallet"))
    made = quote(small_build(), Office(rates=rates), on=ON)
    assert made.step("freight").amount > 0
    assert "freight" not in lacks(made)
    assert lacks(made)["unknown"].text == "nothing is known of 1 destination"
    assert not lacks(made)["unknown"].grave


def test_a_client_who_collects_lacks_no_freight() -> None:
    made = priced(destinations=Destinations((Destination(PLACE, profile="collect"),)))
    assert made.step("freight").amount == 0
    assert "freight" not in lacks(made)


def test_works_without_value_are_one_line_copies_counted() -> None:
    bare = small_build()
    works = tuple(replace(work, price=None, declared=None) for work in bare.order.artworks)
    made = priced(replace(bare, order=replace(bare.order, artworks=works)))
    assert made.section("insurance") == 0
    assert lacks(made)["insurance"].line == "3 works not insured: A-01, A-02#1, A-02#2"
    assert "insurance" not in lacks(priced())


def test_prices_that_are_invented_are_told_until_the_last_is_changed() -> None:
    built_in = default_price_book()

    def told(*changed: str, invented: bool = False) -> Lack | None:
        rows = tuple(replace(row, supplier="Our yard") if row.stock in changed else row for row in built_in.rows)
        book = replace(built_in, rows=rows, invented=invented)
        return lacks(quote(small_build(), Office(book=book), on=ON)).get("invented")

    whole, all_of_them, all_but_one = told(invented=True), told(), told("hour saw")
    assert whole
    assert all_of_them
    assert all_but_one
    assert whole.names == all_of_them.names
    assert all_but_one.count == all_of_them.count - 1
    assert "hour saw" not in all_but_one.names
    assert told("hour saw", "carton 24x24x12") == all_but_one, "what is not used counts for nothing"
    assert told(*(row.stock for row in built_in.rows)) is None


def test_a_crate_that_fails_is_told_with_what_mends_it_once_for_all_it_is_true_of() -> None:
    build = small_build()
    weak = compare("back, bending", 3, 2, "lbf", formula="-", source="-", limits="-")
    near = compare("standing", 3, 2, "in", formula="-", source="-", limits="-", worst="watch")
    first, second, *rest = build.crates
    failing = [replace(each, checks=(weak, near), warnings=(f"{weak.sentence()}; a thicker back",))
               for each in (first, second)]  # fmt: skip
    lack = lacks(priced(replace(build, crates=(*failing, *rest))))["check"]
    names = f"{first.crate}, {second.crate}"
    assert lack.line == f"2 crates fail a check: {names} (back, bending: fails; 3 of 2 lbf; a thicker back)"
    assert lack.mend.at == first.crate
    assert "check" not in lacks(priced())


def test_a_crate_that_does_not_pass_the_studios_own_door_cannot_leave() -> None:
    """The check of the way out is told from those of what a crate is made of."""
    build = small_build()
    door = check_passage(Load(90 * INCH, 90 * INCH, 40 * INCH), build.shop.passage.limits()[0])
    assert door.verdict == "fails"
    weak = compare("back, bending", 3, 2, "lbf", formula="-", source="-", limits="-")
    first, *rest = build.crates
    made = lacks(priced(replace(build, crates=(replace(first, checks=(door, weak)), *rest))))
    assert made["passage"].text == "1 crate cannot leave the studio"
    assert "the studio's door" in made["passage"].line
    assert "door" not in made["check"].line


def test_crates_that_do_not_suit_their_place_are_one_line() -> None:
    low = Destinations((Destination(PLACE, door_width=30 * INCH, door_height=40 * INCH, profile="collect"),))
    made = priced(destinations=low)
    lack = lacks(made)["unsuited"]
    assert lack.names == tuple(dict.fromkeys(each.crate for each in made.unsuited)) == ("K4",)
    assert "does not pass the door" in lack.line


def test_a_work_that_costs_more_to_ship_than_it_sells_for_is_told() -> None:
    """A price that the share just reaches is not told; works without a price have nothing to be held against."""
    build = small_build()
    bears = priced().shares[0]
    found = []
    for price in (bears.total, bears.total - Decimal("0.01")):
        first, second = build.order.artworks
        works = (replace(first, price=price, declared=Decimal(1000)), second)
        found.append(lacks(priced(replace(build, order=replace(build.order, artworks=works)))).get("sale"))
    assert found[0] is None
    assert found[1]
    assert found[1].line.endswith(f"A-01 (USD {bears.total:,.2f}, and its price is USD {price:,.2f})")


def test_plans_that_may_not_be_the_cheapest_are_one_line_with_their_gaps() -> None:
    build = small_build()
    layouts = tuple(replace(each, bound=each.cost - 150, proven=False) for each in build.layouts)
    lack = lacks(priced(replace(build, layouts=layouts)))["plan"]
    assert lack.count == len(layouts) > 1
    assert "by at most USD 1.50" in lack.line


def test_a_search_that_was_stopped_is_told_beside_the_total() -> None:
    build = small_build()
    layouts = (replace(build.layouts[0], stopped="interrupt", proven=False), *build.layouts[1:])
    assert lacks(priced(replace(build, layouts=layouts)))["stopped"].line == (
        "stopped early: these are the best cuts found until then"
    )
    assert "stopped" not in lacks(priced())


def test_remarks_on_reading_are_one_line() -> None:
    build = small_build()
    made = priced(replace(build, order=replace(build.order, warnings=("one", "two", "three"))))
    lack = lacks(made)["note"]
    assert (lack.count, lack.names) == (3, ())
    assert lack.line == "3 remarks on how the files were read: one; two; and 1 more"


@pytest.mark.parametrize("count", [1, 4, 5])
def test_a_line_names_the_first_few(count: int) -> None:
    told = few([f"K{n}" for n in range(count)])
    assert told.count(",") == min(count, 4) - 1
    assert (" and 1 more" in told) == (count == 5)


@pytest.mark.parametrize(("kind", "seed"), [("consignment", 0), ("consignment", 5), ("consignment", 9), ("sale", 1),
                                            ("single", 3)])  # fmt: skip
def test_of_generated_orders_each_kind_is_one_line_and_the_gravest_first(tmp_path: Path, kind: str, seed: int) -> None:
    made, _ = Request(ORDERS[kind](seed).write(tmp_path), GENERATED_ON, search=QUICK).priced()
    found = made.lacks
    assert [lack.kind for lack in found] == [each.kind for each in KINDS if each.kind in lacks(made)]
    assert [lack.gravity for lack in found] == sorted({lack.gravity for lack in found})
    assert {"invented", "stale"} <= set(lacks(made))
    for lack in found:
        assert lack.count == (len(lack.names) or lack.count)
        assert "\n" not in lack.line
        assert len(lack.names) == len(set(lack.names))
        assert lack.grave == (lack in graves(found))
    assert [lack for _, group in headed(found) for lack in group] == list(found)
    works = [copy.piece for copy in made.build.order.copies() if copy.declared is None and copy.price is None]
    assert list(lacks(made)["insurance"].names if works else ()) == works
    refused = [each.destination for each in made.shipments if each.chosen.refused]
    assert list(lacks(made)["freight"].names if refused else ()) == refused


def test_the_commission_for_all_is_told_once_where_nobody_says_another() -> None:
    lack = lacks(priced())["commission"]
    assert not lack.grave
    assert lack.line == (
        "1 work is sold by the commission for all: A-01 (50 %, as the rates say for all; neither order, gallery nor "
        "destination says another)"
    )
    said = tuple(replace(row, terms=SaleTerms(commission=Decimal("0.5"))) for row in PLACES.rows)
    assert "commission" not in lacks(priced(destinations=Destinations(said)))


ALL: Final[tuple[TaxedKind, ...]] = ("art", "work", "freight")


@pytest.mark.parametrize(
    ("on", "paid_by", "told"),
    [(ALL, "list price", 1), (("art",), "list price", 0), (("work",), "list price", 0), (ALL, "buyer", 0)],
)
def test_packing_that_is_taxed_on_its_bill_and_in_the_list_price_is_told(
    on: tuple[TaxedKind, ...], paid_by: Payer, told: int
) -> None:
    """Of 1000 with 200 to pack and 20 % on both, 1240 is listed and 248 of tax owed, besides the 40 in the price."""
    terms = SaleTerms(commission=Decimal(0), paid_by=paid_by, tax_rate=Decimal("0.2"), tax_on=on)
    made = priced(destinations=Destinations((replace(PLACES.rows[0], terms=terms),)))
    lack = lacks(made).get("taxed")
    assert (lack.count if lack else 0) == told
    if lack:
        tax = made.shares[0].columns["tax"]
        assert lack.text == "packing of 1 work may be taxed twice"
        assert f"bears packing and way with {show(tax, made.currency)} of tax, and is taxed too" in lack.line
        assert made.sales[0].list_price == made.sales[0].artist_price + made.shares[0].total
        assert not lack.grave
        assert made.incomplete == ()


def test_cuts_that_no_tool_makes_are_one_line_with_an_example() -> None:
    build = small_build()
    assert "uncut" not in lacks(priced(build))
    shop = replace(build.shop, tools=replace(build.shop.tools, track=0, rip=0))
    lack = lacks(priced(replace(build, shop=shop)))["uncut"]
    assert not lack.grave
    assert lack.count == len(build.layouts)
    assert "such as in a panel of " in lack.line
    assert "[tools] in shop.toml" in lack.mend.files
