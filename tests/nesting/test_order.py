import copy
import pickle
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given

from nesting.base.measure import INCH
from nesting.order import GREATEST_SIDE, MOST_PIECES, Artwork, Back, Order
from tests.strategies import artworks, orders

NEW_YORK = ZoneInfo("America/New_York")
PLAIN = Artwork("A-01", 30 * INCH, 30 * INCH, 3 * INCH // 2)


def test_defaults_are_those_that_the_trade_expects() -> None:
    assert (PLAIN.surface, PLAIN.quantity, PLAIN.method, PLAIN.turn) == ("resin", 1, "auto", False)
    assert PLAIN.back == Back("solid")
    assert PLAIN.weight_kg is None


@pytest.mark.parametrize(
    ("change", "said"),
    [({"piece": ""}, "needs a name"), ({"piece": " A"}, "blanks"), ({"width": 0}, "width"), ({"height": -1}, "height"),
     ({"depth": 0}, "depth"), ({"width": GREATEST_SIDE + 1}, "width"), ({"quantity": 0}, "quantity"),
     ({"quantity": 1000}, "quantity"), ({"method": "a box"}, "method"), ({"surface": "wax"}, "surface"),
     ({"weight_kg": Decimal(0)}, "weight"), ({"weight_kg": Decimal("NaN")}, "weight"),
      ({"weight_kg": Decimal(2001)}, "weight"),
     ({"price": Decimal(-1)}, "price"), ({"declared": Decimal("Infinity")}, "declared"), ({"pours": -1}, "pours"),
     ({"pour_depth": 7 * INCH}, "pour_depth"), ({"poured": date(1999, 12, 31)}, "poured"),
     ({"poured": datetime(2026, 1, 1, tzinfo=UTC)}, "without a zone"), ({"ship_by": date(2101, 1, 1)}, "ship_by")],
)  # fmt: skip
def test_bad_artworks_are_refused_at_birth(change: dict[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        replace(PLAIN, **change)


@pytest.mark.parametrize("change", [{"width": 30.0}, {"quantity": True}, {"ship_by": datetime(2026, 1, 1)}])  # noqa: DTZ001 - refused
def test_values_of_the_wrong_kind_are_refused(change: dict[str, Any]) -> None:
    with pytest.raises(TypeError):
        replace(PLAIN, **change)


@pytest.mark.parametrize(
    ("kind", "width", "depth"), [("strainer", 0, 0), ("strainer", 1, 0), ("solid", 1, 1), ("hollow", 0, 0)]
)
def test_backs_without_sense_are_refused(kind: Any, width: int, depth: int) -> None:
    with pytest.raises(ValueError, match=r"strainer|back"):
        Back(kind, width, depth)


@pytest.mark.parametrize(
    ("kind", "sizes"),
    [
        ("cradle", {}), ("cradle", {"bar_width": INCH}), ("solid", {"face": INCH}), ("cleated", {"middle_bars": 1}),
        ("cradle", {"bar_width": INCH, "bar_depth": INCH, "face": -1}), ("cleated", {"cleat_low": INCH}),
        ("cradle", {"bar_width": INCH, "bar_depth": INCH, "middle_bars": 21}), ("cleated", {"cleat_width": INCH}),
        ("cradle", {"bar_width": INCH, "bar_depth": INCH, "cleat_thickness": INCH, "cleat_width": INCH}),
        ("solid", {"cleat_thickness": INCH, "cleat_width": INCH}),
    ],
)  # fmt: skip
def test_sizes_that_are_not_of_the_kind_of_back_are_refused(kind: Any, sizes: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"bars|cleats|sizes of a back"):
        Back(kind, **sizes)


@pytest.mark.parametrize(
    "back",
    [
        Back("cradle", INCH, 5 * INCH), Back("strainer", INCH, PLAIN.depth, 1), Back("cradle", 9 * INCH, 1, 0, 5),
        Back("cleated", cleat_thickness=PLAIN.depth, cleat_width=INCH),
        Back("cleated", cleat_thickness=1, cleat_width=INCH, cleat_low=PLAIN.height),
    ],
)  # fmt: skip
def test_a_back_that_does_not_fit_its_piece_is_refused(back: Back) -> None:
    with pytest.raises(ValueError, match="back must have"):
        replace(PLAIN, back=back)


def test_a_back_as_stored_before_is_read_whatever_its_sizes() -> None:
    assert replace(PLAIN, back=Back("strainer", INCH, 2 * PLAIN.depth)).back.bar_width == INCH


def test_copies_are_numbered() -> None:
    three = list(replace(PLAIN, quantity=3).copies())
    assert [c.piece for c in three] == ["A-01#1", "A-01#2", "A-01#3"]
    assert {c.copy_of for c in three} == {"A-01"}
    assert all(c.quantity == 1 for c in three)
    assert list(PLAIN.copies()) == [PLAIN]


def test_orders_refuse_names_that_stand_twice() -> None:
    with pytest.raises(ValueError, match="A-01 stands twice"):
        Order("o", (PLAIN, PLAIN))
    with pytest.raises(ValueError, match="A-01#2 stands twice"):
        Order("o", (replace(PLAIN, quantity=2), replace(PLAIN, piece="A-01#2")))
    with pytest.raises(ValueError, match="at least one"):
        Order("o", ())
    many = tuple(replace(PLAIN, piece=f"A-{n}", quantity=999) for n in range(MOST_PIECES // 999 + 1))
    with pytest.raises(ValueError, match="at most 2000"):
        Order("o", many)


def test_a_piece_is_found_by_name() -> None:
    order = Order("o", (PLAIN,))
    assert order.artwork("A-01") is PLAIN
    with pytest.raises(KeyError, match="A-01"):
        order.artwork("B-01")


def test_a_day_alone_counts_from_its_end() -> None:
    poured = replace(PLAIN, poured=date(2026, 1, 9))
    assert poured.poured_end(NEW_YORK) == datetime(2026, 1, 10, 5, tzinfo=UTC)  # midnight in New York is 05:00 UTC
    assert replace(PLAIN, poured=datetime(2026, 1, 9, 14, 30)).poured_end(NEW_YORK) == datetime(  # noqa: DTZ001 - local
        2026, 1, 9, 19, 30, tzinfo=UTC
    )
    assert PLAIN.poured_end(NEW_YORK) is None


def test_hours_count_truly_across_changes_of_clocks() -> None:
    # Daylight saving in New York in 2026: from 8 March 02:00 to 1 November 02:00 (US Energy Policy Act of 2005).
    spring = replace(PLAIN, poured=date(2026, 3, 7)).poured_end(NEW_YORK)
    assert spring == datetime(2026, 3, 8, 5, tzinfo=UTC)
    assert spring is not None
    assert (spring + timedelta(hours=72)).astimezone(NEW_YORK).hour == 1  # 72 true hours end at 01:00, not at midnight
    twice = replace(PLAIN, poured=datetime(2026, 11, 1, 1, 30)).poured_end(NEW_YORK)  # noqa: DTZ001 - local
    assert twice == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)  # the later of the two
    skipped = replace(PLAIN, poured=datetime(2026, 3, 8, 2, 30)).poured_end(NEW_YORK)  # noqa: DTZ001 - local
    assert skipped == datetime(2026, 3, 8, 7, 30, tzinfo=UTC)


def test_a_day_at_the_end_of_a_year() -> None:
    assert replace(PLAIN, poured=date(2100, 12, 31)).poured_end(UTC) == datetime(2101, 1, 1, tzinfo=UTC)


@given(artworks())
def test_copies_keep_everything_but_name_and_number(artwork: Artwork) -> None:
    made = list(artwork.copies())
    assert len(made) == artwork.quantity
    for one in made:
        assert replace(one, piece=artwork.piece, quantity=artwork.quantity, copy_of=None) == artwork
    assert artwork.longest_side == max(artwork.width, artwork.height)


@given(orders())
def test_orders_are_plain_values(order: Order) -> None:
    assert pickle.loads(pickle.dumps(order)) == order  # noqa: S301 - our own bytes
    assert copy.deepcopy(order) == order
    assert len({order, copy.deepcopy(order)}) == 1
    assert len(order.copies()) == sum(artwork.quantity for artwork in order.artworks)
