"""The engine of rule files: a group of rules read from a table or from typed text, shown in a form, and written back.

Whoever holds rules (shop file, rates file, desk) reads them here, so that a value is taken or refused alike wherever it
is given. What does not differ from file to file stands here once: the kinds of values, ranges, forms and comments. How
a file speaks of what it refuses is its :class:`Wording`.

A rule kept in pounds or feet may be stated in kilograms or metres under its other name, wherever rules are read; for
people who measure in millimetres it is written and shown so (:class:`nesting.base.rules.OtherUnit`).
"""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, Final, Literal, TypeVar

from nesting.base.days import parse_day
from nesting.base.faults import Faults, key_said_by
from nesting.base.measure import MM, MeasureError, UnitSystem, format_length_exact, given, parse_length, shorten
from nesting.base.rules import RuleFacts, other_names, rules_of
from nesting.base.toml_text import toml_value

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Group = TypeVar("Group", bound="DataclassInstance")

_YES: Final = ("yes", "y", "true", "1", "on")
_NO: Final = ("no", "n", "false", "0", "off")
_TYPED: Final = {int: "a whole number", date: "a day such as 2026-01-31", bool: "yes or no"}
_WRITTEN: Final = {
    bool: "true or false", int: "a whole number", float: "a number", Decimal: "a number",
    date: "a day such as 2026-01-31",
}  # fmt: skip

_UNITS: Final = {"yes or no": _WRITTEN[bool]}
"""How a file calls the unit of a rule, where it is not by its own name: TOML takes no yes and no."""


class RefusedError(ValueError):
    """A value that a rule does not take.

    Attributes
    ----------
    facts : RuleFacts
        The rule.
    raw : object
        What was given.
    why : {"length", "kind", "range", "rule"}
        It is no length, of another kind, outside the range, or against what its group asks for beside that.
    said : str
        What would be accepted, in the words of whoever refused it.
    """

    def __init__(
        self, facts: RuleFacts, raw: object, why: Literal["length", "kind", "range", "rule"], said: str
    ) -> None:
        self.facts, self.raw, self.why, self.said = facts, raw, why, said
        super().__init__(said)

    @property
    def accepted(self) -> str:
        """What would be accepted, for a page that shows the rule: its range where it has one."""
        return ("" if isinstance(self.facts.low, tuple) else span(self.facts)) or self.said


# -- values ------------------------------------------------------------------------------------------------------------


def value_of(facts: RuleFacts, raw: Any, units: UnitSystem = "inch") -> Any:
    """Return a value of TOML as the rule's own kind.

    Parameters
    ----------
    units : {"inch", "metric"}
        What a length without a unit is in: inches or millimetres.

    Raises
    ------
    RefusedError
        Where it is of another kind; its range is not looked at.
    """
    kind = type(facts.default)
    if facts.unit == "length":
        return _length(facts, raw, units)
    if kind is tuple and isinstance(raw, list) and not any(isinstance(each, list | dict) for each in raw):
        return tuple(raw)
    if isinstance(raw, bool) is (kind is bool):
        if kind in (float, Decimal) and isinstance(raw, (int, kind)):
            return _number(facts, raw)
        if isinstance(raw, kind) and not (kind is date and isinstance(raw, datetime)):
            return raw
    raise RefusedError(facts, raw, "kind", "another kind of value")


def _length(facts: RuleFacts, raw: object, units: UnitSystem = "inch") -> int:
    """Return a length given as text with a unit, or as a bare number in the units given."""
    try:
        return parse_length(str(raw), units)
    except MeasureError as error:
        raise RefusedError(facts, raw, "length", error.accepted) from error


def _number(facts: RuleFacts, raw: float | Decimal) -> float | Decimal:
    """Return a number as the rule has it, exact or not; one that is none, or has no end, is refused."""
    try:
        number = type(facts.default)(raw)
    except OverflowError:
        number = float("nan")
    if number != number or (isinstance(number, Decimal) and not number.is_finite()):  # noqa: PLR0124 - NaN is no value
        raise RefusedError(facts, raw, "kind", "a number")
    return number  # type: ignore[no-any-return]  # of the type of the default, which is a float or a Decimal


def typed_value(facts: RuleFacts, text: str) -> Any:
    """Return what somebody typed as the rule's own kind, as :func:`show` writes it; a per cent sign is understood.

    Raises
    ------
    RefusedError
        Where it is of another kind; its range is not looked at.
    """
    text, kind = text.strip(), type(facts.default)
    if facts.unit == "length":
        return _length(facts, text)
    if kind is tuple:
        return tuple(part.strip() for part in text.split(";") if part.strip())
    try:
        if kind is bool:
            return (*_YES, *_NO).index(text.lower()) < len(_YES)
        if kind is Decimal:
            return _number(facts, Decimal(text.rstrip("% ")) / (100 if text.endswith("%") else 1))
        if kind is float:
            return _number(facts, float(text))
        return parse_day(text) if kind is date else kind(text)
    except (ValueError, InvalidOperation) as error:
        raise RefusedError(facts, text, "kind", _TYPED.get(kind, "a number such as 12 or 0.25")) from error


def show(facts: RuleFacts, value: Any, units: UnitSystem = "inch") -> str:
    """Write a value as :func:`typed_value` reads it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(map(str, value))
    plain = _plain(facts, value, units)
    return f"{plain:f}" if isinstance(plain, Decimal) else str(plain)


def rule_toml(facts: RuleFacts, value: Any, units: UnitSystem = "inch") -> str:
    """Write a value in TOML, as :func:`value_of` reads it."""
    return toml_value(_plain(facts, value, units))


def _plain(facts: RuleFacts, value: Any, units: UnitSystem) -> Any:
    """Return a value as TOML has it: a length is text with its unit."""
    return format_length_exact(value, units, mark=True) if facts.unit == "length" and isinstance(value, int) else value


def span(facts: RuleFacts, units: UnitSystem = "inch") -> str:
    """Return the accepted words or the range of a rule; empty where it has none.

    The ends of a range in millimetres are rounded inwards, to whole ones where that is fine enough.
    """
    if isinstance(facts.low, tuple):
        words = ", ".join(str(word) for word in facts.low if word != "")
        return f"{'empty, or ' if '' in facts.low else ''}one of {words}"
    if facts.low is None or facts.high is None:
        return ""
    low, high = facts.low, facts.high
    if units == "metric" and facts.unit == "length":
        low, high = -(-low // _step(low)) * _step(low), high // _step(high) * _step(high)
    return f"{show(facts, low, units)} to {show(facts, high, units)}"


def _step(length: int) -> int:
    """Return what the end of a range is rounded to."""
    return MM if length >= 10 * MM else MM // 10


# -- in the units of its people ----------------------------------------------------------------------------------------


def told_in(group: Any, units: UnitSystem) -> Iterator[tuple[RuleFacts, RuleFacts]]:
    """Yield every rule of a group, and the same as people who measure so know it: name, unit, meaning and range."""
    others = {facts.name: name for name, facts in other_names(group).items()} if units == "metric" else {}
    for facts in rules_of(group):
        if units == "inch":
            yield facts, facts
            continue
        read = facts.told_in_metric()
        told = read.in_other() if facts.name in others else read
        doc = re.sub(r"\b\w+\b", lambda word: others.get(word[0], word[0]), read.doc) if others else read.doc
        yield facts, replace(told, doc=doc)


def told_value(facts: RuleFacts, told: RuleFacts, value: Any) -> Any:
    """Return a rule's value in the unit that it is told in; at an end of its range it is that end."""
    if told.name == facts.name or facts.other is None:
        return value
    return told.low if value == facts.low else told.high if value == facts.high else facts.other.shown(value)


def _known(group: Any) -> dict[str, tuple[RuleFacts, RuleFacts]]:
    """Return every rule of a group under each name that it goes by, with how it is told under that one."""
    own = {facts.name: (facts, facts) for facts in rules_of(group)}
    return own | {name: (facts, facts.in_other()) for name, facts in other_names(group).items()}


# -- tables ------------------------------------------------------------------------------------------------------------


class Wording:
    """How a file speaks of its rules. This is the plain way; a file that has another one overrides it.

    Attributes
    ----------
    start : str
        What begins a range.
    untold : tuple of str
        Units that go without saying.
    units : {"inch", "metric"}
        By which sizes the file goes: what its bare numbers are, and how it is told what would do.
    """

    start = "from "
    untold: tuple[str, ...] = ("length", "word")

    def __init__(self, units: UnitSystem = "inch") -> None:
        self.units: UnitSystem = units

    def unknown(self, key: str) -> str:
        """Say what was found where no rule has that name."""
        return shorten(key)

    def refused(self, error: RefusedError) -> tuple[str, str]:
        """Say what was found in place of a rule's value, and what would be accepted."""
        found = str(error.raw).lower() if isinstance(error.raw, bool) else str(error.raw)
        facts, within = error.facts, self.within(error.facts, self.units)
        if error.why in ("rule", "range") and not within:
            return found, error.said
        such = '"108 in"' if self.units == "inch" else '"1200 mm"'
        kind = f"a length in quotes such as {such}" if facts.unit == "length" else _WRITTEN.get(type(facts.default))
        return found, " ".join(filter(None, ("" if isinstance(facts.low, tuple) else kind or "text in quotes", within)))

    def at_odds(self, error: Exception, where: str) -> tuple[str | None, str, str]:
        """Say the same, and of which key, of rules that are right one by one and not together."""
        return key_said_by(error, where)

    def within(self, facts: RuleFacts, units: UnitSystem = "inch") -> str:
        """Say what a rule accepts."""
        told = span(facts, units)
        return f"{self.start}{told}" if told and not isinstance(facts.low, tuple) else told

    def about(self, facts: RuleFacts, units: UnitSystem = "inch") -> str:
        """Return unit, range and source, for the comment beside a rule."""
        unit = "" if facts.unit in self.untold else _UNITS.get(facts.unit, facts.unit)
        return f"({'; '.join(filter(None, (unit, self.within(facts, units), facts.source)))})"


def read_group(
    group: Group, table: Any, where: str, faults: Faults, wording: Wording, together: Collection[str] = ()
) -> Group:
    """Return a group of rules with those of a table in place of its own.

    Parameters
    ----------
    group : dataclass
        With the values of whatever the table leaves out.
    table : object
        As TOML has it.
    where : str
        The table's name.
    faults : Faults
        Takes every fault, by the rule's name.
    wording : Wording
        How the file speaks of them.
    together : collection of str
        Rules that can be judged together only.
    """
    values: dict[str, Any] = {}
    known = _known(group)
    for key, raw in _entries(table, where, faults):
        at = f"{where}.{key}"
        if key not in known:
            names = ", ".join(facts.name for facts in rules_of(group))
            faults.add(None, at, wording.unknown(key), f"one of {names}", typed=False)
            continue
        facts, told = known[key]
        if facts.name in values:
            faults.add(None, at, f"{facts.name} in two units", "each rule once")
            continue
        try:
            value = _own(facts, told, value_of(told, raw, wording.units))
            if key not in together:
                _put(group, facts, value, raw, told)
        except RefusedError as error:
            faults.add(None, at, *wording.refused(error))
        else:
            values[facts.name] = value
    try:
        return replace(group, **values)
    except (ValueError, TypeError) as error:
        faults.add(None, *wording.at_odds(error, where), typed=False)
        return group


def read_numbers(facts: RuleFacts, table: Any, where: str, faults: Faults, wording: Wording) -> dict[str, Decimal]:
    """Return a table of numbers by names of anybody's choice, each as one rule takes it."""
    values: dict[str, Decimal] = {}
    for key, raw in _entries(table, where, faults):
        try:
            values[key] = _in_range(facts, value_of(facts, raw), raw)
        except RefusedError as error:
            faults.add(None, f"{where}.{key}", *wording.refused(error))
    return values


def _in_range(facts: RuleFacts, value: Decimal, raw: Any) -> Decimal:
    if not facts.takes(value):
        raise RefusedError(facts, raw, "range", span(facts))
    return value


def _entries(table: Any, where: str, faults: Faults) -> Iterator[tuple[str, Any]]:
    """Yield the keys and values of what should be a table."""
    if isinstance(table, Mapping):
        yield from table.items()
    else:
        faults.add(None, where, given(table), f"a table [{where}]")


def _own(facts: RuleFacts, told: RuleFacts, value: Any) -> Any:
    """Return a value in a rule's own unit; an end of its range that was rounded inwards is that end."""
    if told.name == facts.name or facts.other is None:
        return value
    return facts.low if value == told.low else facts.high if value == told.high else facts.other.own(value)


def _put(group: Group, facts: RuleFacts, value: Any, raw: Any, told: RuleFacts | None = None) -> Group:
    """Return a group with one rule changed, or say why it does not take the value."""
    try:
        return replace(group, **{facts.name: value})
    except (ValueError, TypeError) as error:
        said = str(error).rpartition("accepted: ")[2]
        raise RefusedError(told or facts, raw, "rule" if facts.takes(value) else "range", said) from error


def rule_lines(group: Any, wording: Wording, units: UnitSystem = "inch") -> Iterator[str]:
    """Yield the rules of a group as a file has them, each with its meaning, unit, range and source above it."""
    for facts, told in told_in(group, units):
        yield f"# {told.doc} {wording.about(told, units)}".rstrip()
        yield f"{told.name} = {rule_toml(told, told_value(facts, told, getattr(group, facts.name)), units)}"


def title_of(group: Any) -> str:
    """Return the first line of what is said of a group."""
    return next(iter((group.__doc__ or "").strip().splitlines()), "")


# -- forms -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule with its value, as a page shows it and takes it back.

    Attributes
    ----------
    name : str
        Such as ``"frame.larger_by"``.
    group : str
        What it stands among, such as ``"frame"``.
    facts : RuleFacts
        Meaning, unit, range and source.
    text, built_in : str
        The value, and the built-in one, as text that reads back.
    called : str
        What people call it; its name without marks where nothing is said.
    own : str
        The name that the rule has in its own unit.
    units : {"inch", "metric"}
        How whoever reads it measures.
    """

    name: str
    group: str
    facts: RuleFacts
    text: str
    built_in: str
    called: str = ""
    own: str = ""
    units: UnitSystem = "inch"

    @property
    def label(self) -> str:
        """The name for people."""
        return self.called or self.facts.name.replace("_", " ")

    @property
    def words(self) -> tuple[str, ...]:
        """The accepted words, where there are only a few."""
        if isinstance(self.facts.default, bool):
            return ("yes", "no")
        return self.facts.low if isinstance(self.facts.low, tuple) else ()

    @property
    def range(self) -> str:
        """The accepted range as text."""
        return "" if isinstance(self.facts.low, tuple) else span(self.facts, self.units)


def form_of(group: Any, built_in: Any, name: str, title: str = "", units: UnitSystem = "inch") -> Iterator[Rule]:
    """Yield every rule of a group with its value and the built-in one, told as people know it who measure so."""
    for facts, told in told_in(group, units):
        now, first = (
            show(told, told_value(facts, told, getattr(each, facts.name)), units) for each in (group, built_in)
        )
        yield Rule(f"{name}.{told.name}", title or name, told, now, first, own=f"{name}.{facts.name}", units=units)


def with_typed(group: Group, key: str, text: str) -> Group:
    """Return a group with one rule changed to what somebody typed.

    Raises
    ------
    LookupError
        Where there is no such rule.
    RefusedError
        Where it does not take that.
    """
    if (known := _known(group).get(key)) is None:
        raise LookupError("a rule that there is")
    facts, told = known
    return _put(group, facts, _own(facts, told, typed_value(told, text)), text, told)
