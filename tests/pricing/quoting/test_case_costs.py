"""Estimated costs of cases: near what the built cases cost, right about doors and freight, and useful for choosing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from nesting.advice.passage import Load, passes
from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.crates.case_choice import cheapest_cases
from nesting.crates.expand import riding
from nesting.crates.registry import case_maker
from nesting.crates.registry import maker as packer
from nesting.crates.traits import Casing, Packing
from nesting.intake import order_from_rows
from nesting.order import Order
from pricing.quoting.case_costs import CaseCostMaker
from pricing.quoting.freight import offer
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import FreightItem

OFFICE = Office()
OFFICE = replace(
    OFFICE,
    shop=replace(OFFICE.shop, passage=replace(OFFICE.shop.passage, door_width=94 * INCH, door_height=108 * INCH)),
)
"""A studio whose own door lets every case out."""


def order(*pieces: tuple[str, str, str], extra: dict[str, tuple[str, ...]] | None = None) -> Order:
    """Make an order of travelling pieces for one gallery; sizes in inches."""
    extra = extra or {}
    rows: list[list[str]] = [["piece", "width", "height", "depth", "weight", "destination", "method", *extra]]
    for number, (name, width, height) in enumerate(pieces):
        rows.append(
            [name, width, height, "2", "45 lb", "Gallery", "travel", *(column[number] for column in extra.values())]
        )
    return order_from_rows(rows)


def maker(**changes: object) -> CaseCostMaker:
    place = replace(Destination("Gallery", dock=True, profile="pallet"), **changes)  # type: ignore[arg-type]  # plain keywords
    return CaseCostMaker(OFFICE.shop, OFFICE.book, OFFICE.rates, Destinations((place,)), {})


SIX = (("A", "50", "60"), ("B", "52", "60"), ("C", "60", "50"), ("D", "54", "64"), ("E", "48", "60"), ("F", "56", "58"))


@pytest.mark.parametrize("item", ["density", "pictures"])
def test_the_estimate_is_near_the_built_case(item: FreightItem) -> None:
    """For cases that it was not fitted to: the freight of the built case, and one case's material and work on top."""
    copies = [piece for piece, _ in riding(order(*SIX), OFFICE.shop)]
    frames = [packer("travel")(Packing(f"F{n}", (a,), OFFICE.shop, "x", "Gallery")) for n, a in enumerate(copies)]
    pallet = replace(OFFICE.rates.profile("pallet"), item=item)
    rates = replace(OFFICE.rates, freight=(OFFICE.rates.profile("collect"), pallet))
    costs = replace(maker(), rates=rates)(copies, frames, "Gallery")
    picks = [(3, 4), (1, 3, 5), (2, 3, 4, 5)]
    padded = np.full((len(picks), 5), 6, dtype=np.int16)
    for row, pick in enumerate(picks):
        padded[row, : len(pick)] = pick
    estimates = costs(padded)
    for pick, cents in zip(picks, estimates.tolist(), strict=True):
        chosen = tuple(frames[n] for n in pick)
        case = case_maker()(Casing("C", chosen, tuple(copies[n] for n in pick), OFFICE.shop, "x", "Gallery"))
        shipped = offer([case], Destination("Gallery", dock=True), pallet)
        weight = next(float(c.amount) for c in shipped.charges if c.key == "weight") * (1 + float(pallet.fuel))
        assert weight < cents / 100 < weight + 600  # material and work of one case come on top of its freight
        assert cents / 100 > weight + 100


def test_a_class_without_a_price_is_refused_and_costs_not_nothing() -> None:
    """Else the cases that no carrier prices would be the cheapest ones."""
    copies = [piece for piece, _ in riding(order(*SIX), OFFICE.shop)]
    frames = [packer("travel")(Packing(f"F{n}", (a,), OFFICE.shop, "x", "Gallery")) for n, a in enumerate(copies)]
    pallet = OFFICE.rates.profile("pallet")
    pairs = np.array([[0, 1], [2, 3], [4, 5]], dtype=np.int16)
    assert (maker()(copies, frames, "Gallery")(pairs) > 0).all()
    bare = replace(
        OFFICE.rates,
        freight=(replace(pallet, per_100lb={}),),
        delivery=replace(OFFICE.rates.delivery, profile="pallet"),
    )
    lacking = CaseCostMaker(OFFICE.shop, OFFICE.book, bare, Destinations((Destination("Gallery", dock=True),)), {})
    assert (lacking(copies, frames, "Gallery")(pairs) == -1).all()


def test_a_case_goes_by_the_first_way_that_takes_it_and_pays_every_leg() -> None:
    """By pallet where the first carrier refuses; two legs of it cost its weight twice over one."""
    copies = [piece for piece, _ in riding(order(*SIX), OFFICE.shop)]
    frames = [packer("travel")(Packing(f"F{n}", (a,), OFFICE.shop, "x", "Gallery")) for n, a in enumerate(copies)]
    pairs = np.array([[0, 1], [2, 3], [4, 5]], dtype=np.int16)
    collect, pallet, ways, legs = (
        maker(profile=profile)(copies, frames, "Gallery")(pairs)
        for profile in ("collect", "pallet", "parcel, pallet", "pallet then pallet")
    )
    assert (maker(profile="parcel")(copies, frames, "Gallery")(pairs) == -1).all()
    assert (pallet > collect).all()
    assert (ways == pallet).all()
    assert (np.abs(legs - 2 * pallet + collect) <= 2).all()


@settings(max_examples=10)
@given(wider=st.integers(-4, 8), higher=st.integers(-4, 8))
@example(wider=3, higher=8)
@example(wider=4, higher=4)
def test_doors_are_judged_as_the_advice_on_passage_does(wider: int, higher: int) -> None:
    """Doors so many eighths of an inch larger than the case with outriggers off: half an inch is for hands."""
    copies = [piece for piece, _ in riding(order(*SIX[:2]), OFFICE.shop)]
    frames = [packer("travel")(Packing(f"F{n}", (a,), OFFICE.shop, "x", "Gallery")) for n, a in enumerate(copies)]
    case = case_maker()(Casing("C", (frames[0],), (copies[0],), OFFICE.shop, "x", "Gallery"))
    size = case.carried
    narrow = min(size.width, size.depth)
    made = maker(door_width=narrow + wider * INCH // 8, door_height=size.height + higher * INCH // 8)
    costs = made(copies, frames, "Gallery")
    allowed = costs(np.array([[0, 2, 2, 2, 2]], dtype=np.int16))[0] >= 0
    door = made.destinations.get("Gallery").door
    assert door is not None
    assert allowed == passes(Load(size.width, size.height, size.depth), door)


@given(
    door=st.tuples(st.integers(14, 60), st.integers(60, 100)),
    van=st.tuples(st.integers(12, 80), st.integers(50, 100), st.integers(40, 90)),
)
def test_the_shops_own_door_and_van_are_judged_as_the_advice_on_passage_does(
    door: tuple[int, int], van: tuple[int, int, int]
) -> None:
    """One case that passes alone; where it does not, the way does not count, and the built case says so."""
    rules = replace(
        OFFICE.shop.passage,
        door_width=door[0] * INCH,
        door_height=door[1] * INCH,
        van_width=van[0] * INCH,
        van_height=van[1] * INCH,
        van_length=van[2] * INCH,
    )
    shop = replace(OFFICE.shop, passage=rules)
    copies = [piece for piece, _ in riding(order(*SIX[:2]), shop)]
    frames = [packer("travel")(Packing(f"F{n}", (a,), shop, "x", "Gallery")) for n, a in enumerate(copies)]
    costs = replace(maker(), shop=shop)(copies, frames, "Gallery")

    def fits(*numbers: int) -> bool:
        casing = Casing("C", tuple(frames[n] for n in numbers), tuple(copies[n] for n in numbers), shop, "x", "Gallery")
        case = case_maker()(casing)
        through = {"door": case.carried, "van": case.outside}  # outriggers come off for a door only
        loads = {kind: Load(size.width, size.height, size.depth) for kind, size in through.items()}
        return all(passes(loads[limit.kind], limit) for limit in rules.limits())

    table = np.array([[0, 2, 2, 2, 2], [1, 2, 2, 2, 2], [0, 1, 2, 2, 2]], dtype=np.int16)
    first, second, both = (costs(table) >= 0).tolist()
    assert first
    assert second
    assert both == (fits(0, 1) or not (fits(0) and fits(1)))


def test_equal_pieces_share_cases_and_words_are_kept() -> None:
    twelve = tuple((f"P{n:02}", "50", "60") for n in range(12))
    words = {"apart": ("P01", *[""] * 11), "together": ("", "P11", *[""] * 10)}
    wished = order(*twelve, extra=words)
    found = cheapest_cases(wished, OFFICE.shop, maker())
    where = {piece: number for number, case in enumerate(found.grouping.cases) for piece in case.pieces}
    assert len(found.grouping.cases) == 3  # 12 equal frames, five to a case
    assert where["P00"] != where["P01"]
    assert where["P01"] == where["P11"]
    (place,) = found.places
    assert place.partition.proven


def test_a_narrow_door_makes_more_and_thinner_cases() -> None:
    pieces = tuple((f"P{n}", "50", "60") for n in range(5))
    wide = cheapest_cases(order(*pieces), OFFICE.shop, maker())
    narrow = cheapest_cases(order(*pieces), OFFICE.shop, maker(door_width=31 * INCH, door_height=90 * INCH))
    assert len(narrow.grouping.cases) > len(wide.grouping.cases)
    assert narrow.places[0].partition.cost >= wide.places[0].partition.cost


def test_no_case_is_chosen_that_does_not_leave_the_studio() -> None:
    """Five equal frames fit one case, but it would be deeper than a door of 34 in is wide."""
    pieces = tuple((f"P{n}", "50", "60") for n in range(5))
    plain = Office().shop
    found = cheapest_cases(order(*pieces), plain, replace(maker(), shop=plain))
    assert sorted(len(case.pieces) for case in found.grouping.cases) == [2, 3]
    assert len(cheapest_cases(order(*pieces), OFFICE.shop, maker()).grouping.cases) == 1


def test_a_door_that_nothing_passes_is_told_for_every_piece() -> None:
    with pytest.raises(FaultsFound) as caught:
        cheapest_cases(order(*SIX), OFFICE.shop, maker(door_width=8 * INCH, door_height=20 * INCH))
    assert [fault.row for fault in caught.value.faults] == [2, 3, 4, 5, 6, 7] or len(caught.value.faults) == 6
