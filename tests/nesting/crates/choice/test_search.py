"""Designing whole orders: never dearer than the rules, the same whatever rows stand where, and worked examples."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from nesting.base.measure import INCH, LB_KG
from nesting.base.search import QUICK, Effort, Search
from nesting.base.stop import Stop
from nesting.crates.cases.consignment import Grouping
from nesting.crates.cases.partition import CaseCosts
from nesting.crates.choice.costs import Costs, Goes, Whole
from nesting.crates.choice.search import design_order
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.crates.sketch import Sketch
from nesting.cutting.sheets import Layout, Sheet, nest
from nesting.cutting.sticks import Stick
from nesting.cutting.yardstick import Yard
from nesting.order import Artwork, Order
from nesting.shop.goods import Good
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
FREE = replace(SHOP, passage=replace(SHOP.passage, door_width=94 * INCH, door_height=108 * INCH), joinery=SHOP.joinery)


def piece(name: str, width: float, height: float, **fixed: object) -> Artwork:
    fixed = {"destination": "Gallery", "weight_kg": 30 * LB_KG, **fixed}
    return Artwork(name, int(width * INCH), int(height * INCH), 3 * INCH // 2, **fixed)  # type: ignore[arg-type]


def travel(name: str, width: float, height: float, **fixed: object) -> Artwork:
    return piece(name, width, height, method="travel", **fixed)


@dataclass
class Prices:
    """A simple studio: sheets by the piece, work by the minute, freight by the volume; some places take nothing."""

    refused: tuple[str, ...] = ()
    asked: int = 0

    def __call__(self, sketch: Sketch, destination: str | None, /) -> int | None:
        self.asked += 1
        if destination in self.refused:
            return None
        size = sketch.outside
        freight = size.width * size.height * size.depth // INCH**3 // 10 if destination is not None else 0
        parts = sum(part.count for part in sketch.parts) + sum(stick.count for stick in sketch.sticks)
        boxes = sum(
            count for good, count in sketch.bill.each.items() if SHOP.material(SHOP.good(good).material).is_carton
        )
        return freight + 90 * parts + 6000 * boxes

    def cases(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str, /) -> CaseCosts:
        """Estimate cases by their surface."""
        assert len(artworks) == len(frames)
        wide = np.array([*(f.outside.width // INCH for f in frames), 0])
        high = np.array([*(f.outside.height // INCH for f in frames), 0])
        deep = np.array([*(f.outside.depth // INCH for f in frames), 0])

        def costs(cases: NDArray[np.int16]) -> NDArray[np.int64]:
            a, b = wide[cases].max(axis=1) + 6, high[cases].max(axis=1) + 6
            c = deep[cases].sum(axis=1) + 6
            found = 5000 + 2 * (a * b + a * c + b * c)
            return np.asarray(np.where(destination in self.refused, -1, found), dtype=np.int64)

        return costs


def yard() -> Yard:
    def cost(good: Good, area: int) -> int:
        return area // INCH**2 * (3 if good.material == "cushion foam" else 1)

    sheets = {
        good.good: tuple(Sheet(s.stock, s.length, s.width, cost(good, s.length * s.width)) for s in good.sizes)
        for good in SHOP.goods
        if good.form == "sheet"
    }
    sticks = {
        good.good: tuple(Stick(s.stock, s.length, s.length // INCH * 5) for s in good.sizes)
        for good in SHOP.goods
        if good.form == "stick"
    }
    return Yard(sheets, sticks, dict.fromkeys(sheets, INCH // 8), INCH // 8, (24 * INCH, 6 * INCH), 0)


@dataclass
class Told:
    """Keeps what was asked to be costed for good, and says what a scripted cost says."""

    cost: Whole
    asked: list[Grouping] = field(default_factory=list)

    def __call__(self, grouping: Grouping, /) -> int | None:
        self.asked.append(grouping)
        return self.cost(grouping)


def designed(
    order: Order, whole: Whole | None = None, effort: Effort = "quick", prices: Prices | None = None
) -> Grouping:
    prices = prices or Prices()
    found = design_order(order, FREE, Costs(prices.cases, prices, yard(), whole), search=Search(effort=effort))
    assert found is not None
    return found


MIXED = Order(
    "mixed",
    (
        travel("A", 38, 38),
        travel("B", 24, 36),
        piece("D", 40, 52, method="battened"),
        piece("E", 9, 12, method="carton", weight_kg=Decimal("1.1"), quantity=2),
    ),
)
SMALL = Order("small", (piece("D", 40, 52, method="battened"), *MIXED.artworks[3:]))


def told(grouping: Grouping, order: Order) -> list[object]:
    """Return what a grouping says, by sizes and not by names."""
    sizes = {copy.piece: (copy.width, copy.height) for copy in order.copies()}

    def of(pieces: Sequence[str]) -> list[tuple[int, int]]:
        return [sizes[each] for each in pieces]

    return [
        sorted((of(load.pieces), str(load.design)) for load in grouping.cases),
        sorted((of(load.pieces), str(load.design)) for load in grouping.cartons),
        sorted((sizes[each], str(design)) for each, design in grouping.shells),
        grouping.tried,
    ]


def test_rows_in_another_order_change_nothing_but_names() -> None:
    turned = replace(MIXED, artworks=MIXED.artworks[::-1])
    first, second = designed(MIXED), designed(turned)
    assert told(first, MIXED) == told(second, turned)
    assert first.tried > 1


def test_every_choice_can_be_built_and_what_the_rules_give_is_costed_first() -> None:
    asked = Told(lambda grouping: 1000 - len(grouping.cartons))
    found = designed(SMALL, asked, "normal")
    assert 2 <= len(asked.asked) <= 5
    assert len(found.cartons) == max(len(each.cartons) for each in asked.asked)
    plain = asked.asked[0]
    assert not plain.shells
    assert not plain.cartons
    for each in asked.asked:
        crates = expand(SMALL, FREE, grouping=each)
        assert {name for crate in crates for name in crate.pieces} == {copy.piece for copy in SMALL.copies()}
    assert found in asked.asked


@pytest.mark.parametrize("cost", [lambda _: None, lambda _: 5])
def test_what_the_rules_give_stays_where_nothing_is_cheaper_for_good(cost: Whole) -> None:
    asked = Told(cost)
    found = designed(SMALL, asked, "normal")
    assert found == asked.asked[0]


def test_what_cannot_be_made_after_all_is_passed_over() -> None:
    seen: list[Grouping] = []

    def cost(grouping: Grouping) -> int | None:
        seen.append(grouping)
        return {1: 900, 2: None}.get(len(seen), 800)

    found = designed(SMALL, cost, "normal")
    assert found == seen[2]


def test_near_sizes_are_a_wish_that_the_case_tells_when_it_is_not_kept() -> None:
    order = Order("near", (travel("A", 42, 42), travel("B", 24, 36)))
    found = designed(order)
    (load,) = found.cases
    assert set(load.pieces) == {"A", "B"}
    case = expand(order, FREE, grouping=found)[-1]
    (warning,) = [each for each in case.warnings if "near_size" in each]
    assert warning.startswith("A and B share it")
    kept = replace(FREE, case=replace(FREE.case, near_size=0.9))
    assert not any("near_size" in each for each in expand(order, kept, grouping=found)[-1].warnings)


def test_words_of_the_order_are_walls() -> None:
    order = Order(
        "words", (travel("A", 38, 38, apart=("B",)), travel("B", 38, 38), travel("C", 38, 38, together=("B",)))
    )
    assert sorted(sorted(load.pieces) for load in designed(order).cases) == [["A"], ["B", "C"]]


def test_where_nothing_takes_the_cases_they_are_made_all_the_same() -> None:
    order = Order("refused", (travel("A", 38, 38), travel("B", 38, 38)))
    found = designed(order, prices=Prices(refused=("Gallery",)))
    assert found.pieces == {"A", "B"}


def test_somebody_who_wants_the_best_so_far_gets_a_choice_that_can_be_built() -> None:
    stop = Stop()
    stop.asked = True
    prices = Prices()
    whole = Told(lambda _: None)
    costs = Costs(prices.cases, prices, yard(), whole)
    found = design_order(MIXED, FREE, costs, search=Search(stop=stop))
    assert found is not None
    assert prices.asked < 30
    assert {name for crate in expand(MIXED, FREE, grouping=found) for name in crate.pieces} == {
        copy.piece for copy in MIXED.copies()
    }


def test_what_is_remembered_of_a_shop_changes_no_choice_and_saves_the_sketches() -> None:
    memory: dict[Any, Any] = {}
    prices, told = Prices(), list[str]()
    costs = Costs(prices.cases, prices, yard())
    search = Search(effort="quick", memory=memory, progress=lambda stage, *_: told.append(stage))
    first = design_order(SMALL, FREE, costs, search=search)
    # Designs, crates and frames are kept apart, each under the shop that they are of.
    counts = {what: len(kept) for (what, *_), kept in memory.items()}
    assert sorted(counts) == ["crates", "designs", "frames"]
    assert design_order(SMALL, FREE, costs, search=search) == first == designed(SMALL)
    assert {what: len(kept) for (what, *_), kept in memory.items()} == counts
    assert max(counts.values()) > 2
    assert "designs" in told
    other = replace(FREE, carton=replace(FREE.carton, soft_least=3))
    assert design_order(SMALL, other, costs, search=search) == design_order(SMALL, other, costs, search=QUICK)
    assert len(memory) == 6


def test_what_the_studio_accepts_by_name_stays_as_the_rules_have_it() -> None:
    accepted = replace(SMALL, artworks=tuple(replace(each, accept_held="AB12: it must go") for each in SMALL.artworks))
    found = designed(accepted, lambda grouping: 1000 - len(grouping.cartons) - len(grouping.shells), "normal")
    assert (found.cases, found.cartons, found.shells) == ((), (), ())


def test_works_that_must_travel_together_are_never_parted_and_nothing_else_is_put_to_them() -> None:
    """Whatever is cheaper: the fewer cartons, the better, and then the more."""
    line = SMALL.artworks[-1]
    works = (*(replace(line, piece=name, quantity=1, together=("Y",) * (name == "X")) for name in "UVWXY"),)
    order = Order("bound", works)
    for whole in (lambda grouping: 1000 - len(grouping.cartons), lambda grouping: len(grouping.cartons)):
        crates = expand(order, FREE, grouping=designed(order, whole, "normal"))
        assert ("X", "Y") in [crate.pieces for crate in crates]
        assert sorted(piece for crate in crates for piece in crate.pieces) == [*"UVWXY"]


def test_an_order_with_faults_is_left_to_the_build() -> None:
    order = Order("wrong", (travel("A", 38, 38, together=("B",)), travel("B", 38, 38, apart=("A",))))
    prices = Prices()
    assert design_order(order, FREE, Costs(prices.cases, prices, yard())) is None


def test_three_frames_of_about_42_in_take_two_sheets_of_strand_board() -> None:
    """Worked: foam of 2 in and lumber of 1-1/2 in keep the body within a sheet; by the rules it takes eight."""
    order = Order("three", tuple(travel(name, 37, 37) for name in "ABC"))

    def board(grouping: Grouping | None) -> Layout:
        case = expand(order, FREE, grouping=grouping)[-1]
        faces = [part for part in case.parts if part.good == "osb-7/16"]
        return nest(faces, yard().sheets["osb-7/16"], kerf=INCH // 8, search=QUICK)

    found = designed(order, effort="normal")
    assert len(found.cases) == 1
    plain, chosen = board(None), board(found)
    assert (chosen.sheet_count, chosen.proven) == (2, True)
    assert chosen.use > 0.92
    assert plain.sheet_count > chosen.sheet_count


def test_six_small_works_share_a_carton() -> None:
    """An inch deep they fill one of 24 x 18 x 12 in; half an inch deeper only one with 9 in of paper beside them."""
    thin = piece("S", 9, 12, weight_kg=Decimal("2.5") * LB_KG, quantity=6, method="carton")
    order = Order("six", (replace(thin, depth=INCH),))
    found = designed(order, effort="normal")
    (load,) = found.cartons
    assert len(load.pieces) == 6
    (crate,) = expand(order, FREE, grouping=found)
    assert len(crate.pieces) == 6
    deeper = designed(Order("six", (thin,)), effort="normal")
    assert max(len(load.pieces) for load in deeper.cartons) == 4


def test_a_piece_that_the_shop_would_have_ride_may_stay_out() -> None:
    order = Order("auto", (piece("A", 60, 40), piece("B", 60, 40)))
    prices = Prices()
    found = design_order(order, FREE, Costs(prices.cases, prices, yard()), goes=Goes({"Gallery": "GB"}))
    assert found is not None
    crates = expand(order, FREE, grouping=found)
    assert {name for crate in crates for name in crate.pieces} == {"A", "B"}
