"""Packing methods as values: each entry can be loaded, its traits are true of what it makes, and slips are refused."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from inspect import signature
from itertools import count

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.crates import registry
from nesting.crates.cartons.carton import CARTON
from nesting.crates.cases.outer import OUTER
from nesting.crates.choose import bundles_of, choose
from nesting.crates.expand import expand, riding
from nesting.crates.registry import askable, case_maker, maker, method, method_of, methods, spellings
from nesting.crates.traits import Gathering, Method, Packing, Refused, RulesClash, Texts, reason
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from nesting.shop.surfaces import earliest_packing

SHOP = default_shop()
_LINES = count()
POURED = datetime.fromisoformat("2026-01-12T10:00")


def piece(name: str, side: int, kg: int, **facts: object) -> Artwork:
    known: dict[str, object] = {"weight_kg": Decimal(kg), "poured": POURED, "destination": "Harbour Gallery", **facts}
    return Artwork(name, side * INCH, side * INCH, 3 * INCH // 2, **known)  # type: ignore[arg-type]  # fields named freely


def test_every_method_that_an_order_may_ask_for_packs_and_the_rest_are_cases() -> None:
    assert askable() == ("carton", "closed", "battened", "travel")
    for name in askable():
        assert len(signature(maker(name)).parameters) == 1
    assert [name for name, each in methods().items() if each.is_case] == ["outer"]
    assert case_maker() is OUTER.encase


def test_traits_are_true_of_what_a_method_makes() -> None:
    """How long it waits, how it opens, whether it rides: as the crates themselves have it."""
    pieces = {"carton": (12, 2), "closed": (30, 8), "battened": (60, 20), "travel": (40, 15)}
    order = Order("o", tuple(piece(name, *pieces[name], method=name) for name in askable()))
    crates = expand(order, SHOP)
    assert [crate.method for crate in crates] == list(methods())
    for crate in crates:
        kind = method_of(crate)
        own = tuple(order.artwork(name) for name in crate.pieces)
        assert (crate.inside_of is not None) == kind.rides
        assert bool(crate.rides) == kind.is_case
        assert (kind.opens(crate.placed) is None) == bool(kind.cover)
        when, _ = earliest_packing(own, SHOP, touches_face=kind.touches_face)
        assert crate.earliest_packing == when
        assert (crate.work.wraps > 0) == kind.touches_face
        assert (crate.work.mountings > 0) == kind.hangs


def test_an_unknown_method_is_a_key_error_that_says_which_there_are() -> None:
    with pytest.raises(KeyError, match="no packing method 'balloon'; there are carton, closed"):
        method("balloon")
    with pytest.raises(KeyError, match="outer packs no pieces; carton, closed, battened, travel do"):
        maker("outer")


@pytest.mark.parametrize("word", ["balloon", "outer"])
def test_a_method_that_nobody_entered_is_refused_at_its_row_before_anything_is_packed(word: str) -> None:
    order = Order("o", (piece("A", 12, 2, row=2), piece("B", 12, 2, method=word, row=3)), source="order.csv")
    for pack in (expand, riding):
        with pytest.raises(FaultsFound) as found:
            pack(order, SHOP)
        told = [fault.message for fault in found.value.faults]
        assert told == [
            f'order.csv, row 3, column method: found "B: {word}"; accepted: auto, carton, closed, battened or travel'
        ]


def entered(monkeypatch: pytest.MonkeyPatch, *made: Method) -> None:
    """Enter methods in place of the built-in ones, each by a line."""
    # Names of their own: what was loaded for a line is remembered.
    names = [f"METHOD_{next(_LINES)}" for _ in made]
    for name, each in zip(names, made, strict=True):
        monkeypatch.setattr(registry, name, each, raising=False)
    lines = tuple(f"nesting.crates.registry:{name}" for name in names)
    monkeypatch.setattr(registry, "ENTERED", lines)


CARRIED = replace(CARTON, name="wrap", one="wrap", many="wraps", spellings=(), otherwise="")


@pytest.mark.parametrize(
    ("made", "told"),
    [
        ((CARRIED, CARRIED), "method wrap is entered twice"),
        ((replace(CARRIED, otherwise="box"),), "method wrap: names box, which packs no pieces"),
        ((OUTER, replace(CARRIED, otherwise="outer")), "method wrap: names outer, which packs no pieces"),
        ((replace(CARRIED, gathering=Gathering("box", "", "")),), "method wrap: names box, which packs no pieces"),
        ((CARRIED, replace(CARRIED, name="roll")), "method roll: 'wrap' means wrap already"),
    ],
)
def test_methods_that_do_not_go_together_are_refused(
    monkeypatch: pytest.MonkeyPatch, made: Sequence[Method], told: str
) -> None:
    entered(monkeypatch, *made)
    with pytest.raises(ValueError, match=told):
        methods()


def test_methods_are_asked_in_the_order_of_entry_and_one_without_a_rule_only_by_orders(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plain = replace(CARRIED, suits=None)
    entered(monkeypatch, plain, replace(CARRIED, name="bag", one="bag", suits=lambda packing: packing.pieces[0].title))
    assert spellings() == {"wrap": "wrap", "bag": "bag"}
    bundles = bundles_of(Order("o", (piece("A", 12, 2, title="for a bag"), piece("B", 12, 2, method="wrap"))))
    assert [(choice.method, choice.reason) for choice in choose(bundles, SHOP)] == [
        ("bag", "for a bag"), ("wrap", "the order asks for it"),
    ]  # fmt: skip
    with pytest.raises(LookupError, match="the shop's rules take for every piece"):
        choose(bundles_of(Order("o", (piece("C", 12, 2),))), SHOP)


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"name": "two words"}, "one word of up to 11 small letters"),
        ({"name": "Wrap"}, "one word"),
        ({"name": "wrapsinpaper"}, "up to 11"),
        ({"name": "auto"}, "not auto"),
        ({"make": None}, "either it packs pieces or it makes a case"),
        ({"encase": OUTER.encase}, "either it packs pieces or it makes a case"),
        ({"make": None, "encase": OUTER.encase, "rides": True}, "no case rides in a case"),
        ({"spellings": ("Wrap Up",)}, "spellings are in small letters"),
        ({"trips": 0}, "at least one trip"),
    ],
)
def test_slips_in_a_method_are_refused_at_birth(facts: dict[str, object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        replace(CARRIED, **facts)  # type: ignore[arg-type]  # a test names fields freely


def test_texts_hold_only_names_that_stand_for_something() -> None:
    with pytest.raises(ValueError, match="only lift, bolts, tool in braces"):
        Texts(("lifted by {people}",), ())
    with pytest.raises(ValueError, match="only bolts, tool"):
        Texts((), ("packed by {lift}",))
    assert Texts(("{lift}",), (), ("{pieces} {rides}",)).opening == ("{lift}",)


def test_a_packing_holds_something() -> None:
    with pytest.raises(ValueError, match="nothing to pack"):
        Packing("K1", (), default_shop(), "test")


def test_refusals_and_clashes_read_as_sentences() -> None:
    piece = Artwork("A", 8_000_000, 8_000_000, 800_000, row=7)
    refused = Refused(reason(piece, "back", "no wood", "wood"))
    assert str(refused) == "A: no wood; accepted: wood"
    assert refused.reasons[0].row == 7
    assert str(RulesClash("this", "that")) == "this; accepted: that"
