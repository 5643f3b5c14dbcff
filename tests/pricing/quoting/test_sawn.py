"""A second version of a job that is partly cut: every part once, every cent once. Works are invented."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build
from nesting.cutting.sheets import Cut, PartLeaf
from nesting.order import Artwork, Order
from pricing.money import half_up, total
from pricing.output.handover import build_document
from pricing.quoting.labour import TITLES
from pricing.quoting.lines import Section
from pricing.quoting.quote import Quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.ticked import Ticked, remains, sawn_of
from pricing.quoting.work import work
from pricing.studio.office import Office
from pricing.studio.rates import Charge
from tests.build_verifier import verify_build
from tests.test_build_standing import schema

ON = date(2027, 4, 1)
MATERIALS: tuple[Section, ...] = ("sheets", "sticks", "rolls", "hardware", "purchase tax")


def piece(name: str, width: int, height: int, method: str) -> Artwork:
    return Artwork(name, width * INCH, height * INCH, 2 * INCH, weight_kg=Decimal(8), method=method)


WORKS = (piece("A-01", 30, 40, "travel"), piece("A-02", 24, 36, "closed"), piece("A-03", 40, 50, "closed"))
MORE = piece("A-04", 28, 28, "closed")


def office(charge: Charge = "bought") -> Office:
    """Return a studio that pays tax on what it buys."""
    made = Office()
    price = replace(made.rates.price, charge=charge)
    return replace(made, rates=replace(made.rates, price=price, purchase_tax={"goods": Decimal("0.07")}))


@cache
def version(works: tuple[Artwork, ...] = WORKS, charge: Charge = "bought") -> Quote:
    """Return the first version of an order."""
    return work(Order("pieces", works), office(charge), on=ON, search=QUICK)


def second(works: tuple[Artwork, ...], sawn: Sawn, charge: Charge = "bought") -> Quote:
    """Return another version with what was cut before as given."""
    return work(Order("pieces", works), office(charge), on=ON, search=QUICK, sawn=sawn)


def ticks(quote: Quote, count: Callable[[int], int] = lambda repeat: repeat) -> dict[tuple[str, int], int]:
    """Tick every layout, so many of its sheets or sticks each."""
    build = quote.build
    found = {(p.good, n): count(each.repeat) for p in build.layouts for n, each in enumerate(p.sheets)}
    return found | {(p.good, n): count(each.repeat) for p in build.stick_plans for n, each in enumerate(p.sticks)}


def fetched(quote: Quote) -> dict[str, int]:
    """Return what was fetched where all of it was."""
    return {row.stock: int(row.bought) for row in quote.takeoff.rows if row.form in ("sheet", "stick")}


def materials(quote: Quote) -> Decimal:
    return total(quote.section(section) for section in MATERIALS)


Parts = Counter[tuple[str, str]]
"""Single parts by good and name."""


def wanted_parts(build: Build) -> Parts:
    """Count what the crates are made of."""
    found = Parts()
    for crate in build.crates:
        found.update({(part.good, part.name): part.count for part in crate.parts})
        found.update({(stick.good, stick.name): stick.count for stick in crate.sticks})
    return found


def laid_parts(build: Build) -> Parts:
    """Count what comes off sheets and sticks."""
    found = Parts()
    for layout in build.layouts:
        for sheet in layout.sheets:
            for *_, leaf in sheet.pieces(layout.kerf):
                if isinstance(leaf, PartLeaf):
                    found[layout.good, leaf.part] += sheet.repeat
    for plan in build.stick_plans:
        for stick in plan.sticks:
            for name in stick.parts:
                found[plan.good, name] += stick.repeat
    return found


def check(quote: Quote, sawn: Sawn) -> None:
    """Check that no part is laid out twice or missing, none is lost, and the build says so to whoever reads it."""
    build = quote.build
    used, labels, had = Parts(), Parts(), Parts()
    for each in build.used:
        used[each.part.good, each.part.name] += each.part.count
        labels[each.part.good, each.label] += each.part.count
    assert wanted_parts(build) == laid_parts(build) + used
    for left in build.left_over:
        labels[left.good, left.name] += left.count
    for part in (part for parts in sawn.given.parts.values() for part in parts):
        had[part.good, part.name] += part.count
    for stick in (stick for sticks in sawn.given.sticks.values() for stick in sticks):
        had[stick.good, stick.name] += stick.count
    assert labels == had
    assert quote.total == total(share.total for share in quote.shares)
    document = build_document(build, "USD")
    assert verify_build(document) == []
    jsonschema.validate(document, schema(), cls=jsonschema.Draft202012Validator)
    assert ("given" in document) is bool(had)


@pytest.mark.parametrize("charge", ["bought", "used"])
def test_an_unchanged_order_that_is_all_cut_costs_what_it_did(charge: Charge) -> None:
    first = version(charge=charge)
    sawn = sawn_of(first, Ticked(1, ticks(first)))
    again = second(WORKS, sawn, charge)
    check(again, sawn)
    assert (again.build.layouts, again.build.stick_plans, again.build.left_over) == ((), (), ())
    assert materials(again) == materials(first)
    assert (again.total, again.hours) == (first.total, first.hours)
    assert again.takeoff.bought_amount < first.takeoff.bought_amount  # the yard is asked for no sheet twice


def test_with_nothing_ticked_it_is_a_fresh_plan() -> None:
    first = version()
    again = second(WORKS, sawn_of(first, Ticked(1)))
    assert again == first
    assert "given" not in build_document(again.build, "USD")


@pytest.mark.parametrize("charge", ["bought", "used"])
def test_what_is_fetched_and_not_cut_is_cut_before_anything_is_bought(charge: Charge) -> None:
    first = version(charge=charge)
    sawn = sawn_of(first, Ticked(1, fetched=fetched(first)))
    again = second(WORKS, sawn, charge)
    check(again, sawn)
    assert not any(row.bought for row in again.takeoff.rows if row.form in ("sheet", "stick"))
    assert {each.sheet.source for layout in again.build.layouts for each in layout.sheets} == {"open"}
    assert all(layout.spend == layout.cost == 0 for layout in again.build.layouts)
    if charge == "bought":
        assert materials(again) == materials(first)


@settings(max_examples=6)
@given(st.data())
def test_any_part_of_the_sheets_may_be_cut(data: st.DataObject) -> None:
    charge: Charge = data.draw(st.sampled_from(["bought", "used"]))
    works = data.draw(st.sampled_from([WORKS, WORKS[:2], (*WORKS, MORE), (WORKS[0], MORE)]))
    first = version(charge=charge)
    done = {place: data.draw(st.integers(0, count)) for place, count in ticks(first).items()}
    have = fetched(first) if data.draw(st.booleans()) else {}
    ticked = Ticked(1, done, have)
    ticked = replace(ticked, free=remains(first, ticked) if data.draw(st.booleans()) else ())
    sawn = sawn_of(first, ticked)
    again = second(works, sawn, charge)
    check(again, sawn)
    if charge == "bought":
        floor = total(row.bought_amount for batch in sawn.batches for row in batch.rows)
        assert again.section("sheets") + again.section("sticks") == floor + total(
            row.bought_amount for row in again.takeoff.rows if row.form in ("sheet", "stick")
        )


def test_a_piece_more_costs_no_less_and_only_it_is_cut() -> None:
    first = version()
    sawn = sawn_of(first, Ticked(1, ticks(first)))
    more = second((*WORKS, MORE), sawn)
    check(more, sawn)
    assert more.total >= first.total
    assert materials(more) >= materials(first)
    names = {each.crate for each in more.build.crates if MORE.piece in each.pieces}
    laid = {leaf.part for p in more.build.layouts for s in p.sheets for *_, leaf in s.pieces(p.kerf)
            if isinstance(leaf, PartLeaf)}  # fmt: skip
    assert {name.split(".")[0] for name in laid} == names


def test_a_piece_less_leaves_its_parts_over_and_they_stay_paid() -> None:
    first = version()
    sawn = sawn_of(first, Ticked(1, ticks(first)))
    less = second(WORKS[1:], sawn)
    check(less, sawn)
    assert less.build.left_over
    assert less.section("sheets") == first.section("sheets")


def test_what_a_third_version_is_given_holds_both_before() -> None:
    first = version()
    sawn = sawn_of(first, Ticked(1, ticks(first)))
    more = second((*WORKS, MORE), sawn)
    third = sawn_of(more, Ticked(2, ticks(more)))
    again = second((*WORKS, MORE), third)
    check(again, third)
    assert again.build.layouts == ()
    assert [batch.version for batch in third.batches] == [1, 2]
    assert (again.total, materials(again)) == (more.total, materials(more))


def test_what_lies_open_goes_on_lying_open_until_it_is_cut() -> None:
    first = version()
    row = next(row for row in first.takeoff.rows if row.stock == "ply-3/8 4x8")
    sawn = sawn_of(first, Ticked(1, fetched=fetched(first) | {row.stock: int(row.bought) + 3}))
    assert sawn.worth[row.good][row.stock] == row.each
    again = second(WORKS, sawn)
    third = sawn_of(again, Ticked(2, ticks(again)))
    assert [(each.name, each.count) for each in third.given.sheets] == [(row.stock, 3)]
    last = second((*WORKS, MORE), third)
    check(last, third)
    assert last.section("sheets") >= first.section("sheets") + 3 * row.each
    assert not any(each.bought for each in last.takeoff.rows if each.good == row.good)


def test_what_was_paid_stays_at_its_price_and_its_tax() -> None:
    first = version()
    sawn = sawn_of(first, Ticked(1, ticks(first)))
    dear = office()
    rows = tuple(
        replace(row, price=row.price * 2, breaks=tuple((start, each * 2) for start, each in row.breaks))
        for row in dear.book.rows
    )
    dear = replace(dear, book=replace(dear.book, rows=rows))
    dear = replace(dear, rates=replace(dear.rates, purchase_tax={"goods": Decimal("0.09")}))
    again = work(Order("pieces", WORKS), dear, on=ON, search=QUICK, sawn=sawn)
    assert (again.section("sheets"), again.section("sticks")) == (first.section("sheets"), first.section("sticks"))
    taxes = {line.version: (line.unit_price, line.quantity) for line in again.lines if line.section == "purchase tax"}
    assert taxes[1] == (Decimal("0.07"), first.section("sheets") + first.section("sticks"))
    assert taxes[0][0] == Decimal("0.09")


def test_what_was_paid_rests_on_the_same_prices_and_the_total_says_so() -> None:
    first = version()
    again = second(WORKS, sawn_of(first, Ticked(1, ticks(first))))
    # What is cut can't be cut more cheaply any more: that its plan was not proven is no longer said.
    assert again.lacks == tuple(lack for lack in first.lacks if lack.kind != "plan")
    assert any(lack.kind == "invented" for lack in again.lacks)


def test_the_saw_is_paid_once() -> None:
    first = version()
    again = second(WORKS, sawn_of(first, Ticked(1, ticks(first))))
    saw = {operation for operation, (room, _) in TITLES.items() if room == "saw"}
    counts = {row.operation: row.count for row in first.labour if row.operation in saw}
    assert not any(row.operation in saw for row in again.labour)
    assert {line.labour.operation: line.labour.count for line in again.lines if line.labour and line.version} == counts


@pytest.mark.parametrize("charge", ["bought", "used"])
def test_a_break_that_was_stretched_for_is_paid_once_and_its_sheets_lie_open(charge: Charge) -> None:
    studio = office(charge)
    cheap = tuple(
        replace(row, breaks=((20, Decimal("1.00")),)) if row.stock == "ply-3/8 4x8" else row for row in studio.book.rows
    )
    studio = replace(studio, book=replace(studio.book, rows=cheap))
    order = Order("pieces", WORKS)
    first = work(order, studio, on=ON, search=QUICK)
    row = next(row for row in first.takeoff.rows if row.stock == "ply-3/8 4x8")
    assert row.needed < row.bought == 20
    # What is taken whole for the break is no cut that anybody ticks.
    cut = {place: count for place, count in ticks(first).items() if _is_cut(first.build, *place)}
    sawn = sawn_of(first, Ticked(1, cut))
    spare = next(each for each in sawn.given.sheets if each.name == row.stock)
    assert spare.count == row.bought - row.needed
    assert sawn.worth[spare.good][spare.name] == 0  # by use, those that were cut have borne all of it
    uncut = sawn_of(first, Ticked(1, fetched={row.stock: 20}))
    assert uncut.worth[spare.good][spare.name] == half_up(row.bought_amount / 20)
    again = work(order, studio, on=ON, search=QUICK, sawn=sawn)
    check(again, sawn)
    assert materials(again) == materials(first)
    more = work(Order("pieces", (*WORKS, MORE)), studio, on=ON, search=QUICK, sawn=sawn)
    check(more, sawn)
    assert not any(row.bought for row in more.takeoff.rows if row.good == "ply-3/8")


def _is_cut(build: Build, good: str, place: int) -> bool:
    """Tell whether a layout gives parts; a stick always does here."""
    layouts = {layout.good: layout for layout in build.layouts}
    return good not in layouts or isinstance(layouts[good].sheets[place].cuts, Cut)


def test_no_more_is_ticked_than_was_planned() -> None:
    first = version()
    good, place = next(iter(ticks(first)))
    with pytest.raises(ValueError, match="99 are ticked as cut"):
        sawn_of(first, Ticked(1, {(good, place): 99}))
    with pytest.raises(ValueError, match="has no layout 100"):
        sawn_of(first, Ticked(1, {(good, 99): 1}))
