"""Methods compared: figures that add up, hands as the crates say, and a search that is never worse than its starts."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from itertools import product

import pytest

from nesting.base.measure import INCH
from nesting.base.search import QUICK, Search
from nesting.base.stop import Stop
from nesting.crates.registry import askable
from nesting.intake import order_from_rows
from nesting.order import Order
from pricing.ahead.methods import (
    Combination,
    Outcome,
    Pricer,
    Refusal,
    Row,
    combine,
    compare,
    units_of,
    with_methods,
)
from pricing.ahead.methods.handling import handling
from pricing.ahead.methods.pricer import Choice, outcome, trips
from pricing.ahead.methods.report import document, report
from pricing.money import total
from pricing.quoting.work import work
from pricing.store.codec import decode, encode
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from pricing.studio.rates import ReuseRules

ON = date(2027, 4, 1)
PLACES = Destinations((Destination("Harbour Gallery", "US", dock=True, profile="pallet"),))
HEAD = ["piece", "width", "height", "depth", "weight", "method", "set", "destination", "quantity", "surface"]


def order_of(*rows: Sequence[str]) -> Order:
    filled = [[*row, *[""] * (len(HEAD) - len(row))] for row in rows]
    return order_from_rows([HEAD, *filled])


def consignment() -> Order:
    place = "Harbour Gallery"
    return order_of(
        ("A-01", "50", "40", "1 1/2", "30 lb", "", "", place, "1", "paint"),
        ("A-02", "50", "40", "1 1/2", "30 lb", "", "", place, "1", "paint"),
        ("B-01", "10", "12", "1", "3 lb", "", "", place, "2", "paint"),
    )


@cache
def office() -> Office:
    return Office(destinations=PLACES)


@cache
def found() -> tuple[Pricer, Combination]:
    pricer = Pricer(consignment(), office(), ON)
    return pricer, combine(pricer)


# -- units -------------------------------------------------------------------------------------------------------------


def test_a_line_is_one_unit_with_its_copies_and_a_set_is_one_with_its_lines() -> None:
    order = order_of(
        ("A", "20", "20", "1", "5 lb", "", "", "Here", "3"),
        ("B", "20", "20", "1", "5 lb", "closed", "pair"),
        ("C", "30", "20", "1", "5 lb", "", "pair"),
    )
    one, two = units_of(order, office().shop)
    assert (one.lines, one.copies, one.asked, one.destination) == (("A",), ("A#1", "A#2", "A#3"), None, "Here")
    assert (two.name, two.lines, two.copies, two.asked) == ("set pair", ("B", "C"), ("B", "C"), "closed")


def test_less_protection_than_the_rules_ask_for_is_spoken_against_and_more_is_not() -> None:
    """Common practice, no source: cartons to 24 in and 10 lb, closed crates to 48 in, battens above."""
    order = order_of(("S", "12", "12", "1", "3 lb"), ("M", "30", "30", "1", "18 lb"), ("L", "60", "40", "2", "50 lb"))
    small, middle, large = units_of(order, office().shop)
    assert small.open_to == ("carton", "closed", "battened", "travel")
    assert middle.open_to == ("closed", "battened", "travel")
    assert large.open_to == ("battened", "travel")
    assert "60 in is over 48 in" in large.against("closed")
    asked = replace(order, artworks=tuple(replace(work, method="closed") for work in order.artworks))
    assert [unit.open_to for unit in units_of(asked, office().shop)] == [("closed",)] * 3


def test_methods_written_in_are_those_that_the_crates_get() -> None:
    order = with_methods(consignment(), {"A-01": "battened", "A-02": "battened", "B-01": "closed"})
    made = work(order, office(), on=ON, search=QUICK).build
    assert [crate.method for crate in made.crates] == ["battened", "battened", "closed", "closed"]


# -- prices ------------------------------------------------------------------------------------------------------------


def test_what_the_units_bear_adds_up_to_the_order() -> None:
    priced = work(consignment(), office(), on=ON, search=QUICK)
    made = outcome(priced, units_of(consignment(), office().shop))
    assert total(bearing.cost for bearing in made.bearings) == priced.total == made.total
    assert total(bearing.freight for bearing in made.bearings) == priced.section("freight")
    assert abs(sum(bearing.hours for bearing in made.bearings) - priced.hours) < Decimal("0.03")
    gross = sum(crate.gross_kg for crate in priced.build.crates if crate.inside_of is None)
    assert sum(bearing.kg for bearing in made.bearings) == pytest.approx(gross, abs=0.3)


def test_a_crate_is_written_off_over_its_trips_and_freight_is_paid_on_each() -> None:
    priced = work(consignment(), office(), on=ON, search=QUICK)
    made = outcome(priced, units_of(consignment(), office().shop))
    frame = made.bearings[0]
    assert frame.method == "travel"
    share = priced.share("A-01")
    carried = share.columns["freight"] + share.columns.get("insurance", Decimal(0))
    assert frame.a_trip == carried + ((share.total - carried) / 4).quantize(Decimal("0.01"))
    carton = made.bearings[2]
    assert (carton.method, carton.a_trip) == ("carton", carton.cost)
    assert trips("outer", ReuseRules(travel_trips=7)) == trips("travel", ReuseRules(travel_trips=7)) == 7


def test_one_trip_is_the_whole_cost() -> None:
    rules = ReuseRules(carton_trips=1, closed_trips=1, battened_trips=1, travel_trips=1)
    studio = replace(office(), rates=replace(office().rates, reuse=rules))
    made = Pricer(consignment(), studio, ON).as_chosen()
    assert made.a_trip == made.total


def test_a_choice_is_priced_once_and_refusals_say_why() -> None:
    pricer = Pricer(consignment(), office(), ON)
    first: Choice = ("carton", "travel", "carton")
    second: Choice = ("battened", "battened", "carton")
    refused, made, again = pricer.price([first, second, first])
    assert pricer.evaluations == 2
    assert again is refused
    assert isinstance(made, Outcome)
    assert made.choice == ("battened", "battened", "carton")
    assert isinstance(refused, Refusal)
    assert "A-01: no stocked carton takes it" in refused.reasons[0]


def test_what_is_chosen_now_costs_what_it_costs_now() -> None:
    """A quick search may come to another design where the methods are written in: that is no saving of a method."""
    pricer = Pricer(consignment(), office(), ON)
    now = pricer.as_chosen()
    assert pricer.price([now.choice]) == [now]
    assert pricer.evaluations == 1


@pytest.mark.slow
def test_several_processes_give_the_same_prices() -> None:
    pricer, made = found()
    large: Choice = ("battened", "travel")
    choices = list(product(large, large, askable()))
    many = Pricer(consignment(), office(), ON, workers=2)
    assert len(choices) >= 16
    assert many.price(choices) == pricer.price(choices)
    assert made == combine(many)


def test_asked_to_end_nothing_more_is_priced() -> None:
    stop = Stop()
    pricer = Pricer(consignment(), office(), ON, Search(effort="quick", stop=stop))
    now = pricer.as_chosen()
    stop.asked = True
    ended = combine(pricer)
    assert (ended.best, ended.complete, ended.evaluations) == (now, False, 1)
    assert all(row.chosen or "ended early" in row.refused[0] for rows in ended.comparison.rows for row in rows)


# -- comparison and search ---------------------------------------------------------------------------------------------


def test_every_unit_has_a_row_a_method_and_the_chosen_one_changes_nothing() -> None:
    _, made = found()
    for rows in made.comparison.rows:
        assert [row.method for row in rows] == ["carton", "closed", "battened", "travel"]
        (chosen,) = [row for row in rows if row.chosen]
        assert chosen.difference == 0
    large = made.comparison.rows[0]
    assert large[0].refused
    assert large[3].bearing is not None
    assert large[3].bearing.company == ("A-02",)


def test_the_search_is_never_worse_than_its_starts_and_few_combinations_are_all_priced() -> None:
    pricer, made = found()
    assert made.complete
    now, each = made.comparison.now, made.each_cheapest
    assert len(made.best.troubles) <= len(now.troubles)
    assert made.best.total <= now.total
    assert isinstance(each, Outcome)
    assert made.saving == now.total - made.best.total
    assert made.against_each is not None
    assert made.against_each == each.total - made.best.total >= 0
    # all combinations that no rule speaks against, priced one by one
    options = [unit.open_to for unit in pricer.units]
    prices = [a for a in pricer.price(list(product(*options))) if isinstance(a, Outcome)]
    assert made.best.total == min(a.total for a in prices if len(a.troubles) <= len(made.best.troubles))


def test_what_is_found_is_what_a_fresh_quote_says() -> None:
    pricer, made = found()
    priced = work(pricer.ordered(made.best.choice), office(), on=ON, search=QUICK)
    assert priced.total == made.best.total


def test_a_local_search_within_its_budget_is_no_worse_either() -> None:
    pricer = Pricer(consignment(), office(), ON)
    made = combine(pricer, budget=6, few=0)
    assert not made.complete
    assert made.best.total <= made.comparison.now.total
    assert isinstance(made.each_cheapest, Outcome)
    assert made.best.total <= made.each_cheapest.total
    # the comparison: 3 units x 4 methods and the order as it is; one for each piece's cheapest row; the budget
    assert made.evaluations <= 1 + 12 + 1 + 6
    assert combine(Pricer(consignment(), office(), ON), budget=6, few=0) == made


def test_a_local_search_finds_the_best_of_all_where_it_may_look_long_enough() -> None:
    """Frames pay two at a time only: one alone in a case is dear, so single changes do not lead there."""
    _, best = found()
    start = with_methods(consignment(), {"A-01": "battened", "A-02": "battened"})
    searched = combine(Pricer(start, office(), ON), free=True, few=0)
    assert not searched.complete
    assert searched.best.total == best.best.total
    assert searched.best.choice == best.best.choice


def test_what_the_order_asks_for_stays_unless_it_is_set_free() -> None:
    order = order_of(("S-02", "10", "12", "1", "3 lb", "carton", "", "Harbour Gallery", "1", "paint"))
    studio = office()
    studio = replace(
        studio, rates=replace(studio.rates, price=replace(studio.rates.price, charge="bought"), by_good={})
    )
    kept = combine(Pricer(order, studio, ON))
    free = combine(Pricer(order, studio, ON), free=True)
    assert kept.changed == ()
    assert free.best.total <= kept.best.total
    # as bought, one carton needs a whole sheet of foam plank; a small crate does not (invented prices)
    assert free.changed == (("S-02", "carton", "closed"),)
    asked = "Packed as the order asks, whatever is cheaper: S-02. --free"
    assert asked in report(kept, "USD", "inch"), "the cheaper row above it is not taken, and it is said why"
    assert asked not in report(free, "USD", "inch")


def test_troubles_come_before_money(monkeypatch: pytest.MonkeyPatch) -> None:
    """A door too narrow for a case of two: frames in one case would be cheap, but do not get in."""
    _, made = found()
    bad = replace(made.best, total=Decimal(1), troubles=("K1: does not pass the door",))
    monkeypatch.setattr(Pricer, "price", lambda _self, choices: [bad for _ in choices])
    pricer = Pricer(consignment(), office(), ON)
    monkeypatch.setattr(Pricer, "as_chosen", lambda _self: made.comparison.now)
    held = combine(pricer)
    assert held.best == made.comparison.now
    assert held.against_each is None


def test_by_the_trip_the_written_off_sum_is_least() -> None:
    pricer, by_total = found()
    by_trip = combine(pricer, by="trip")
    assert by_trip.best.a_trip <= by_total.best.a_trip
    assert by_trip.saving == by_trip.comparison.now.a_trip - by_trip.best.a_trip


# -- hands -------------------------------------------------------------------------------------------------------------


def test_hands_are_counted_off_the_crates() -> None:
    priced = work(consignment(), office(), on=ON, search=QUICK)
    rules = priced.rates.labour
    frame = handling("A-01", priced.build, rules)
    assert frame.covers[0].crate == priced.build.crates[-1].crate
    kinds = [(cover.what, bool(cover.screws), bool(cover.staples)) for cover in frame.covers]
    assert kinds[1:] == [("film to the edges of the frame", False, True), ("front slats to the frame", True, False)]
    crate = priced.build.crate("K1")
    assert frame.mounting == sum(f.count for f in crate.fixings if f.purpose.startswith("removal"))
    assert frame.clear > INCH
    screws = sum(cover.screws for cover in frame.covers) + frame.mounting
    staples = sum(cover.staples for cover in frame.covers)
    assert frame.minutes == screws * rules.screw + staples * rules.staple + rules.mounting
    carton = handling("B-01#1", priced.build, rules)
    assert (carton.clear, carton.mounting) == (0, 0)
    assert carton.wraps > 1
    assert "paper lies on its face" in carton.hands("inch")


def test_what_is_taken_off_is_a_fact_of_the_crate_and_not_of_its_words() -> None:
    made = work(consignment(), office(), on=ON, search=QUICK).build
    rules = office().rates.labour
    other = tuple(
        replace(crate, fixings=tuple(replace(each, purpose=f"no. {n}") for n, each in enumerate(crate.fixings)))
        for crate in made.crates
    )
    for crate in made.crates:
        for piece in crate.pieces:
            told, again = (handling(piece, build, rules) for build in (made, replace(made, crates=other)))
            assert [(c.crate, c.screws, c.staples) for c in again.covers] == [
                (c.crate, c.screws, c.staples) for c in told.covers
            ]
            assert (again.mounting, again.minutes) == (told.mounting, told.minutes)


def test_air_before_the_face_is_measured_between_the_piece_and_the_lid() -> None:
    """A closed crate by the shop's rules: so much of its inside depth is left before the face, to the lid."""
    order = order_of(("A-01", "30", "30", "1 1/2", "18 lb", "closed", "", "", "1", "paint"))
    made = work(order, office(), on=ON, search=QUICK).build
    crate = made.crate("K1")
    ((_, box),) = crate.pieces_placed
    (lid,) = [placed.box for placed in crate.placed if placed.role == "lid"]
    hands = handling("A-01", made, office().rates.labour)
    assert hands.clear == lid.z - (box.z + box.dz)
    assert [cover.what for cover in hands.covers] == ["lid"]
    assert hands.covers[0].screws == sum(f.count for f in crate.fixings if f.purpose.startswith("lid"))
    with pytest.raises(KeyError, match="no crate carries 'X'"):
        handling("X", made, office().rates.labour)


# -- reports -----------------------------------------------------------------------------------------------------------


def test_the_table_names_every_piece_and_says_what_is_saved() -> None:
    _, made = found()
    text = report(made, "USD", "inch")
    assert max(map(len, text.splitlines())) <= 112
    for words in ("A-01\n", "B-01: B-01#1, B-01#2", "cannot be made", f"{made.best.total:,.2f}", "every combination"):
        assert words in text
    plain = document(made, "USD")
    assert plain["saving"] == str(made.saving)
    assert [unit["unit"] for unit in plain["units"]] == ["A-01", "A-02", "B-01"]
    assert all(len(unit["methods"]) == 4 for unit in plain["units"])


def test_compare_alone_prices_each_single_change() -> None:
    pricer = Pricer(consignment(), office(), ON)
    table = compare(pricer)
    for index, rows in enumerate(table.rows):
        for row in rows:
            if row.bearing is not None:
                choice = (*table.now.choice[:index], row.method, *table.now.choice[index + 1 :])
                (answer,) = pricer.price([choice])
                assert isinstance(answer, Outcome)
                assert row.order_total == answer.total


def test_what_nothing_packs_is_compared_too_and_says_what_is_wrong_with_itself() -> None:
    """No screw is known to hold in honeycomb, and no carton is as large as they are: no row of theirs is chosen."""
    head = ["piece", "width", "height", "depth", "weight", "support"]
    sides = ["40", "40", "2", "30 lb", "honeycomb panel"]
    order = order_from_rows([head, ["A", "20", "20", "1 1/2", "9 lb", "birch panel"], ["B", *sides], ["C", *sides]])
    made = combine(Pricer(order, office(), ON), budget=0, few=0)
    assert [unit.name for unit in made.comparison.units] == ["A", "B", "C"]
    assert made.best.held == ("B", "C")
    for name, rows in zip("BC", made.comparison.rows[1:], strict=True):
        assert not any(row.chosen for row in rows)
        assert all(text.startswith(f"{name}: ") for row in rows for text in row.refused)


def test_a_kept_answer_of_a_method_that_is_entered_no_more_cannot_be_read() -> None:
    """Then it is asked for again, as any answer that cannot be read."""
    row = Row("closed", chosen=True, bearing=None, order_total=None, difference=None)
    assert decode(Row, encode(row)) == row
    with pytest.raises(LookupError, match="no packing method 'balloon'"):
        decode(Row, {**encode(row), "method": "balloon"})
