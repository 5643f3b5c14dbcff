"""Shop rules: constants that a studio may change, each with its unit, range, meaning and source.

A group of rules is a frozen dataclass whose fields are made by :func:`rule`. The same facts serve whoever reads rules
from a file or a page, shows them and writes them back: :mod:`nesting.base.rule_files`. Lengths are given on the exact
grid with the unit ``"length"``.
"""

from collections.abc import Iterator
from dataclasses import Field, dataclass, field, fields
from typing import Any, TypeVar

T = TypeVar("T")

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class RuleFacts:
    """What is known of one rule beside its value."""

    name: str
    default: Any
    unit: str
    low: Any
    high: Any
    doc: str
    source: str

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
            yield RuleFacts(
                each.name, each.default, meta["unit"], meta["low"], meta["high"], meta["doc"], meta["source"]
            )


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
