"""Shop rules anywhere in their ranges: a sound crate or a fault in words, never a crash."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH
from nesting.base.rules import RuleFacts, rules_of
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.proofs import prove_closed, prove_disjoint, prove_parts_placed, prove_weight

SHOP = default_shop()
GROUPS = ("frame", "joinery", "battens", "cleats", "mounting", "method")


def values(rule: RuleFacts) -> st.SearchStrategy[Any]:
    """Any value of a rule's range, its ends more often."""
    if isinstance(rule.default, bool):
        return st.booleans()
    if isinstance(rule.default, int):
        return st.sampled_from([rule.low, rule.high]) | st.integers(rule.low, rule.high)
    if isinstance(rule.default, float):
        return st.sampled_from([rule.low, rule.high]) | st.floats(rule.low, rule.high)
    return st.just(rule.default)


@st.composite
def changed(draw: st.DrawFn) -> dict[str, dict[str, Any]]:
    """Change a few rules of the carpentry."""
    every = [(group, rule) for group in GROUPS for rule in rules_of(getattr(SHOP, group))]
    made: dict[str, dict[str, Any]] = {}
    for group, rule in draw(st.lists(st.sampled_from(every), min_size=1, max_size=4, unique_by=lambda p: p[1].name)):
        made.setdefault(group, {})[rule.name] = draw(values(rule))
    return made


ORDER = Order(
    "o",
    tuple(
        Artwork(name, int(w * INCH), int(h * INCH), int(d * INCH), weight_kg=Decimal(kg), method=method)
        for name, w, h, d, kg, method in (
            ("A", 30, 30, 1.5, 8, "closed"),
            ("B", 60, 100, 2, 30, "battened"),
            ("C", 8, 6, 3, 3, "closed"),
            ("D", 20, 16, 1.25, 2, "battened"),
        )
    ),
)


def expanded(shop: Shop) -> tuple[tuple[Crate, ...], tuple[Fault, ...]]:
    try:
        return expand(ORDER, shop), ()
    except FaultsFound as found:
        return (), found.faults


@given(changed())
def test_rules_anywhere_in_their_range_give_a_sound_crate_or_a_fault(change: dict[str, dict[str, Any]]) -> None:
    try:
        shop = replace(SHOP, **{name: replace(getattr(SHOP, name), **rules) for name, rules in change.items()})
    except ValueError:
        return  # a group that contradicts itself is refused at birth
    crates, faults = expanded(shop)
    assert all(fault.found and fault.accepted for fault in faults)
    for crate in crates:
        prove_parts_placed(crate, shop)
        prove_disjoint(crate)
        prove_closed(crate, shop)
        prove_weight(crate, shop)
