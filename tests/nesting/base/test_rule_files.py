# ruff: noqa: RUF009 - rule() makes a dataclass field, which is what a default should be
"""The engine of rule files, on a group of every kind of rule: read, refused, shown, typed and written back."""

import tomllib
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from nesting.base.faults import Faults
from nesting.base.measure import INCH
from nesting.base.rule_files import (
    RefusedError,
    Wording,
    form_of,
    read_group,
    read_numbers,
    rule_lines,
    span,
    typed_value,
    value_of,
    with_typed,
)
from nesting.base.rules import Checked, RuleFacts, rule, rules_of
from nesting.base.toml_text import exact

WORDING = Wording()


@dataclass(frozen=True, slots=True)
class Odd(Checked):
    """Rules of every kind, for these tests."""

    length: int = rule(6 * INCH, unit="length", low=2 * INCH, high=12 * INCH, doc="A length.")
    count: int = rule(2, unit="count", low=1, high=9, doc="A count.")
    hours: float = rule(1.5, unit="hours", low=0.0, high=9.5, doc="Some hours.")
    money: Decimal = rule(Decimal("1.50"), unit="money", low=Decimal(0), doc="An amount.")
    day: date = rule(date(2026, 1, 31), unit="day", doc="A day.")
    sure: bool = rule(default=True, unit="yes or no", doc="Whether.")
    way: str = rule("up", unit="word", low=("up", "down"), doc="A way.")
    name: str = rule("", unit="word", doc="A name.", source="nobody")
    goods: tuple[str, ...] = rule(("a", "b"), unit="word", doc="Goods.")

    def __post_init__(self) -> None:
        super(Odd, self).__post_init__()
        if self.name == "odd":
            raise ValueError(f"name: found {self.name}; accepted: an even one")
        if self.count == 9 and self.way == "down":
            raise ValueError("found 9 going down; accepted: fewer")


FACTS = {facts.name: facts for facts in rules_of(Odd)}
OTHER = Odd(3 * INCH, 4, 0.25, Decimal("2.75"), date(2027, 2, 1), sure=False, way="down", name="x", goods=("c",))


def told(table: Any, together: tuple[str, ...] = ()) -> tuple[Odd, list[str]]:
    """Read a table over the built-in group."""
    faults = Faults("odd.toml", "table")
    made = read_group(Odd(), table, "odd", faults, WORDING, together)
    return made, [fault.message.removeprefix("odd.toml, ") for fault in faults]


def test_what_is_written_reads_back() -> None:
    assert {each.name for each in fields(Odd)} == FACTS.keys()
    document = tomllib.loads("\n".join(rule_lines(OTHER, WORDING)), parse_float=exact)
    document["hours"] = float(document["hours"])
    assert told(document) == (OTHER, [])


def test_what_is_shown_reads_back_when_it_is_typed() -> None:
    made = Odd()
    for each in form_of(OTHER, made, "odd"):
        assert each.name == f"odd.{each.facts.name}"
        assert typed_value(each.facts, each.built_in) == each.facts.default
        made = with_typed(made, each.facts.name, each.text)
    assert made == OTHER


def test_meaning_unit_range_and_source_stand_beside_each_rule() -> None:
    lines = list(rule_lines(Odd(), WORDING))
    assert lines[:2] == ["# A length. (from 2 in to 12 in; shop rule)", 'length = "6 in"']
    assert "# A count. (count; from 1 to 9; shop rule)" in lines
    assert "# A way. (one of up, down; shop rule)" in lines
    assert "# A name. (nobody)" in lines
    assert 'goods = ["a", "b"]' in lines


def test_every_fault_is_told_with_its_rule_and_the_others_are_kept() -> None:
    made, faults = told({
        "length": "1 in", "count": 1.5, "hours": "long", "money": -1, "day": "today", "sure": 1, "way": "left",
        "name": "odd", "goods": ["z"], "colour": 3,
    })  # fmt: skip
    assert made == replace(Odd(), goods=("z",))
    assert faults == [
        'odd.length: found "1 in"; accepted: a length in quotes such as "108 in" from 2 in to 12 in',
        'odd.count: found "1.5"; accepted: a whole number from 1 to 9',
        'odd.hours: found "long"; accepted: a number from 0.0 to 9.5',
        'odd.money: found "-1"; accepted: 0 or more (money)',
        'odd.day: found "today"; accepted: a day such as 2026-01-31',
        'odd.sure: found "1"; accepted: true or false',
        'odd.way: found "left"; accepted: one of up, down',
        'odd.name: found "odd"; accepted: an even one',
        'odd.colour: found "colour"; accepted: one of length, count, hours, money, day, sure, way, name, goods',
    ]


def test_what_is_no_table_is_one_fault() -> None:
    assert told(3) == (Odd(), ['odd: found "3"; accepted: a table [odd]'])


def test_rules_that_do_not_agree_are_told_as_a_group() -> None:
    assert told({"count": 9, "way": "down"}) == (Odd(), ['odd: found "9 going down"; accepted: fewer'])
    assert told({"name": "odd"}, ("name",)) == (Odd(), ['odd.name: found "odd"; accepted: an even one'])


@pytest.mark.parametrize(
    ("name", "raw"),
    [("hours", float("nan")), ("hours", 10**400), ("money", Decimal("NaN")), ("money", Decimal("Infinity")),
     ("money", 1.5), ("count", True), ("sure", 0), ("goods", "a"), ("length", "1,200 in")],
)  # fmt: skip
def test_another_kind_of_value_is_refused(name: str, raw: object) -> None:
    with pytest.raises(RefusedError) as caught:
        value_of(FACTS[name], raw)
    assert caught.value.why == ("length" if name == "length" else "kind")


def test_a_whole_number_will_do_for_a_number() -> None:
    for name, kind in (("hours", float), ("money", Decimal)):
        value = value_of(FACTS[name], 3)
        assert (value, type(value)) == (3, kind)


@pytest.mark.parametrize(
    ("name", "text", "accepted"),
    [("length", "wide", "2 in to 12 in"), ("count", "1.5", "1 to 9"), ("hours", "nan", "0.0 to 9.5"),
     ("money", "NaN", "a number such as 12 or 0.25"), ("money", "-1", "0 or more (money)"),
     ("day", "today", "a day such as 2026-01-31"), ("sure", "perhaps", "yes or no"), ("way", "left", "one of up, down"),
     ("name", "odd", "an even one")],
)  # fmt: skip
def test_what_is_typed_and_will_not_do_is_refused_with_what_will(name: str, text: str, accepted: str) -> None:
    with pytest.raises(RefusedError) as caught:
        with_typed(Odd(), name, text)
    assert caught.value.accepted == accepted


def test_typed_words_are_understood_as_people_write_them() -> None:
    assert typed_value(FACTS["money"], " 12.5 % ") == Decimal("0.125")
    assert [typed_value(FACTS["sure"], text) for text in ("Yes", "1", "no", "OFF")] == [True, True, False, False]
    assert typed_value(FACTS["goods"], "a; b ;") == ("a", "b")
    with pytest.raises(LookupError, match="a rule that there is"):
        with_typed(Odd(), "colour", "blue")


def test_numbers_by_names_of_anybodys_choice() -> None:
    faults, facts = Faults("odd.toml", "table"), RuleFacts("", Decimal(0), "ratio", Decimal(0), Decimal(1), "", "")
    made = read_numbers(facts, {"goods": Decimal("0.5"), "food": 2, "x": "y"}, "tax", faults, WORDING)
    assert made == {"goods": Decimal("0.5")}
    assert [(fault.column, fault.accepted) for fault in faults] == [
        ("tax.food", "a number from 0 to 1"), ("tax.x", "a number from 0 to 1"),
    ]  # fmt: skip


def test_a_form_has_words_or_a_range() -> None:
    form = {each.facts.name: each for each in form_of(Odd(), OTHER, "odd", "odd rules")}
    assert form["way"].words == ("up", "down")
    assert form["sure"].words == ("yes", "no")
    assert (form["way"].range, form["length"].range) == ("", "2 in to 12 in")
    assert (form["length"].text, form["length"].built_in, form["length"].group) == ("6 in", "3 in", "odd rules")
    assert span(FACTS["name"]) == ""
