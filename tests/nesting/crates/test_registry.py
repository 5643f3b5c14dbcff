"""The table of methods: each entry can be loaded and called."""

from inspect import signature

import pytest

from nesting.crates.registry import METHODS, case_maker, method
from nesting.crates.traits import Packing, Refused, RulesClash, reason
from nesting.order import METHODS as ASKED
from nesting.order import Artwork
from nesting.shop.shop_file import default_shop


def test_every_method_that_an_order_may_ask_for_is_made() -> None:
    assert set(METHODS) == set(ASKED) - {"auto"}
    for name in METHODS:
        assert len(signature(method(name)).parameters) == 1
    assert len(signature(case_maker()).parameters) == 1


def test_an_unknown_method_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        method("balloon")


def test_a_packing_holds_something() -> None:
    with pytest.raises(ValueError, match="nothing to pack"):
        Packing("K1", (), default_shop(), "test")


def test_refusals_and_clashes_read_as_sentences() -> None:
    piece = Artwork("A", 8_000_000, 8_000_000, 800_000, row=7)
    refused = Refused(reason(piece, "back", "no wood", "wood"))
    assert str(refused) == "A: no wood; accepted: wood"
    assert refused.reasons[0].row == 7
    assert str(RulesClash("this", "that")) == "this; accepted: that"
