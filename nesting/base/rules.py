"""Shop rules: constants that a studio may change, each with its unit, range, meaning and source.

A group of rules is a frozen dataclass whose fields are made by :func:`rule`. The same facts serve whoever reads rules
from a file or a page, shows them and writes them back: :mod:`nesting.base.rule_files`. Lengths are given on the exact
grid with the unit ``"length"``.
"""

from collections.abc import Iterator
from dataclasses import Field, dataclass, field, fields, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any, Final, TypeVar

from nesting.base.writing import form

T = TypeVar("T")

_DIGITS: Final = 6
"""Significant digits to which a number is written in its other unit: what was typed there comes back as it was."""
_LIMIT: Final = 3
"""The same of the ends of a range, which are rounded inwards."""


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """The unit in which people who measure in millimetres state a rule that is kept in an inch-pound unit.

    Attributes
    ----------
    name : str
        The rule's name in it, such as ``"carton_kg"`` of ``carton_lb``.
    unit : str
        Such as ``"kg"``.
    each : Decimal
        How many of it are one of the rule's own unit; the international yard and pound of 1959, exact.
    """

    name: str
    unit: str
    each: Decimal

    def own(self, value: Any) -> Any:
        """Return a value in the rule's own unit."""
        return value / self.each if isinstance(value, Decimal) else value / float(self.each)

    def shown(self, value: Any, rounding: str = ROUND_HALF_EVEN, digits: int = _DIGITS) -> Any:
        """Return a value of the rule's own unit in this one."""
        exact = Decimal(value) * self.each
        step = Decimal(1).scaleb(exact.adjusted() + 1 - digits)
        told = exact.quantize(step, rounding) if exact else Decimal(0)
        told = told.quantize(Decimal(1)) if told == told.to_integral_value() else told.normalize()
        return told if isinstance(value, Decimal) else float(told)


# Unit of a rule, the end of its name, and the same in the other unit.
_OTHERS: Final = (
    ("lb", "_lb", "kg", "_kg", Decimal("0.45359237")),
    ("in", "_in", "mm", "_mm", Decimal("25.4")),
    ("ft", "_ft", "m", "_m", Decimal("0.3048")),
    ("sq ft", "_sq_ft", "m2", "_m2", Decimal("0.09290304")),
    ("ft3", "_ft3", "m3", "_m3", Decimal("0.028316846592")),
    ("lb/ft3", "_lb_ft3", "kg/m3", "_kg_m3", Decimal("0.45359237") / Decimal("0.028316846592")),
    ("lb/ft", "_lb_per_ft", "kg/m", "_kg_per_m", Decimal("0.45359237") / Decimal("0.3048")),
    # Money by the pound or foot.
    ("money", "_per_lb", "money", "_per_kg", 1 / Decimal("0.45359237")),
    ("money", "_per_ft", "money", "_per_m", 1 / Decimal("0.3048")),
    # Money where something is over so many pounds: another name, and the same sum.
    ("money", "_lb_each", "money", "_kg_each", Decimal(1)),
)

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class RuleFacts:
    """What is known of one rule beside its value.

    Attributes
    ----------
    unit, doc, source : str
        As people read them who measure in inches.
    in_metric : tuple of str
        The same three as people read them who measure in millimetres, where that differs: ``[[2 in|50 mm]]``.
    """

    name: str
    default: Any
    unit: str
    low: Any
    high: Any
    doc: str
    source: str
    in_metric: tuple[str, str, str] = ("", "", "")

    @property
    def other(self) -> OtherUnit | None:
        """The unit in which the rule is stated where people measure in millimetres; None where it has no other."""
        for unit, end, other, name, each in _OTHERS:
            if self.unit == unit and self.name.endswith(end):
                return OtherUnit(self.name.removesuffix(end) + name, other, each)
        return None

    def in_other(self) -> "RuleFacts":
        """Return the rule as people know it who measure in its other unit: name, unit, default and range."""
        other = self.other
        if other is None:
            return self
        low = None if self.low is None else other.shown(self.low, ROUND_CEILING, _LIMIT)
        high = None if self.high is None else other.shown(self.high, ROUND_FLOOR, _LIMIT)
        return replace(self, name=other.name, unit=other.unit, default=other.shown(self.default), low=low, high=high)

    def told_in_metric(self) -> "RuleFacts":
        """Return the rule with unit, meaning and source as people read them who measure in millimetres."""
        unit, doc, source = self.in_metric
        return replace(self, unit=unit, doc=doc, source=source) if doc else self

    def takes(self, value: Any) -> bool:
        """Whether a value of its kind is within its range, or among its words."""
        if isinstance(self.low, tuple):
            return value in self.low
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def rule(default: T, *, unit: str, doc: str, low: Any = None, high: Any = None, source: str = "shop rule") -> T:
    """Make a dataclass field for a shop rule.

    Parameters
    ----------
    default : T
        The built-in value.
    unit : str
        ``"length"`` (exact grid), ``"lb"``, ``"kg"``, ``"hours"``, ``"count"``, ``"ratio"``, ``"yes or no"``,
        ``"word"``, ...
    doc : str
        One sentence for the shop file and the desk.
    low, high : optional
        Accepted range, both ends included; for words, ``low`` may be the tuple of accepted words.
    source : str
        Where the default comes from.

    Returns
    -------
    T
        In truth a :class:`dataclasses.Field`; typed as the value so that ``x: int = rule(...)`` checks.
    """
    facts = {"unit": unit, "low": low, "high": high, "doc": doc, "source": source}
    made: Any = field(default=default, metadata=facts)
    return made  # type: ignore[no-any-return]  # dataclasses.field is typed the same way


def rules_of(group: Any) -> Iterator[RuleFacts]:
    """Yield the facts of every rule in a group (a dataclass or an instance of one)."""
    each: Field[Any]
    for each in fields(group):
        if "doc" in each.metadata:
            meta = each.metadata
            unit, doc, source = (form(meta[name], "inch") for name in ("unit", "doc", "source"))
            metric = (form(meta["unit"], "metric"), form(meta["doc"], "metric"), form(meta["source"], "metric"))
            yield RuleFacts(
                each.name, each.default, unit, meta["low"], meta["high"], doc, source,
                metric if metric != (unit, doc, source) else ("", "", ""),
            )  # fmt: skip


def other_names(group: Any) -> dict[str, RuleFacts]:
    """Return the rules of a group that have another unit, by their names in it; a rule's own name goes before."""
    known = {facts.name: facts for facts in rules_of(group)}
    return {each.other.name: each for each in known.values() if each.other and each.other.name not in known}


def check_rules(group: Any) -> None:
    """Raise :class:`ValueError` where a rule of an instance is outside its range; for ``__post_init__``."""
    for facts in rules_of(group):
        value = getattr(group, facts.name)
        if isinstance(facts.low, tuple):
            if value not in facts.low:
                raise ValueError(f"{facts.name}: found {value!r}; accepted: one of {', '.join(map(str, facts.low))}")
            continue
        if facts.low is not None and value < facts.low:
            raise ValueError(f"{facts.name}: found {value}; accepted: {facts.low} or more ({facts.unit})")
        if facts.high is not None and value > facts.high:
            raise ValueError(f"{facts.name}: found {value}; accepted: {facts.high} or less ({facts.unit})")


class Checked:
    """Base of every group of rules: one with a rule out of its range is refused at birth."""

    __slots__ = ()

    def __post_init__(self) -> None:
        check_rules(self)
