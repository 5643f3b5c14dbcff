"""Rules as people edit them: one list of every rule of shop and rates, read from text and put back into their groups.

A rule is named by its group and name, ``frame.larger_by`` or ``price.overhead``; a freight profile's by three words,
``freight.van.per_km``.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from nesting.base.faults import Fault
from nesting.base.measure import MeasureError, format_length_exact, parse_length
from nesting.base.rules import RuleFacts, rules_of
from nesting.shop.shop import Shop
from nesting.shop.shop_file import rule_groups
from pricing.studio.rates import Rates
from pricing.studio.rates_file import GROUPS as RATE_GROUPS

_YES: Final = ("yes", "y", "true", "1", "on")
_NO: Final = ("no", "n", "false", "0", "off")


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule with its value.

    Attributes
    ----------
    name : str
        Such as ``"frame.larger_by"``.
    group : str
        Its first word.
    facts : RuleFacts
        Meaning, unit, range and source.
    text, built_in : str
        The value, and the built-in one, as text that reads back.
    """

    name: str
    group: str
    facts: RuleFacts
    text: str
    built_in: str

    @property
    def label(self) -> str:
        """The name for people."""
        return self.name.rpartition(".")[2].replace("_", " ")

    @property
    def words(self) -> tuple[str, ...]:
        """The accepted words, where there are only a few."""
        if isinstance(self.facts.default, bool):
            return ("yes", "no")
        return self.facts.low if isinstance(self.facts.low, tuple) else ()

    @property
    def range(self) -> str:
        """The accepted range as text."""
        low, high = self.facts.low, self.facts.high
        if isinstance(low, tuple) or low is None or high is None:
            return ""
        return f"{show(self.facts, low)} to {show(self.facts, high)}"


def show(facts: RuleFacts, value: Any) -> str:
    """Write a value as :func:`read` reads it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if facts.unit == "length" and isinstance(value, int):
        return format_length_exact(value, mark=True)
    if isinstance(value, tuple):
        return "; ".join(map(str, value))
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def read(facts: RuleFacts, text: str) -> Any:
    """Read a rule's value; ValueError where it is of another kind."""
    text = text.strip()
    if facts.unit == "length":
        try:
            return parse_length(text, "inch")
        except MeasureError as error:
            raise ValueError(error.accepted) from error
    kind = type(facts.default)
    if kind is bool:
        if text.lower() in (*_YES, *_NO):
            return text.lower() in _YES
        raise ValueError("yes or no")
    if kind is tuple:
        return tuple(part.strip() for part in text.split(";") if part.strip())
    try:
        if kind is Decimal:
            return _decimal(text)
        if kind in (int, float):
            return kind(text)
        return date.fromisoformat(text) if kind is date else text
    except (ValueError, InvalidOperation) as error:
        words = {int: "a whole number", date: "a day such as 2026-01-31"}
        raise ValueError(words.get(kind, "a number such as 12 or 0.25")) from error


def _decimal(text: str) -> Decimal:
    """Read a number; a per cent sign divides by a hundred."""
    value = Decimal(text.rstrip("% ")) / (100 if text.endswith("%") else 1)
    if not value.is_finite():
        raise ValueError(text)
    return value


def shop_rules(shop: Shop, built_in: Shop) -> Iterator[Rule]:
    """Yield every rule of a shop."""
    for group, cls in rule_groups():
        for facts in rules_of(cls):
            now, first = (show(facts, getattr(getattr(each, group), facts.name)) for each in (shop, built_in))
            yield Rule(f"{group}.{facts.name}", group, facts, now, first)


def rate_rules(rates: Rates, built_in: Rates) -> Iterator[Rule]:
    """Yield every rule of the rates, freight profiles last."""
    for group in RATE_GROUPS:
        for facts in rules_of(getattr(rates, group)):
            now, first = (show(facts, getattr(getattr(each, group), facts.name)) for each in (rates, built_in))
            yield Rule(f"{group}.{facts.name}", group, facts, now, first)
    known = {each.name: each for each in built_in.freight}
    for profile in rates.freight:
        for facts in rules_of(profile):
            value = getattr(profile, facts.name)
            base = getattr(known.get(profile.name, profile), facts.name)
            if facts.name in ("title", "as_of", "kind") or value != facts.default or base != facts.default:
                name = f"freight.{profile.name}.{facts.name}"
                yield Rule(name, f"freight {profile.name}", facts, show(facts, value), show(facts, base))


def group_title(cls: type[Any]) -> str:
    """Return the first line of a group's docstring."""
    return (cls.__doc__ or "").strip().splitlines()[0].replace("``", "")


def with_shop_rules(shop: Shop, changes: Mapping[str, str]) -> tuple[Shop, list[Fault]]:
    """Return the shop with some rules changed, and a fault for each that cannot be."""
    groups = dict(rule_groups())
    faults: list[Fault] = []
    for name, text in changes.items():
        group, _, key = name.partition(".")
        if group in groups:
            made = _changed(getattr(shop, group), name, key, text, faults)
            shop = replace(shop, **{group: made})
    return shop, faults


def with_rate_rules(rates: Rates, changes: Mapping[str, str]) -> tuple[Rates, list[Fault]]:
    """Return the rates with some rules changed, and a fault for each that cannot be."""
    faults: list[Fault] = []
    for name, text in changes.items():
        group, _, key = name.partition(".")
        if group in RATE_GROUPS:
            made = _changed(getattr(rates, group), name, key, text, faults)
            try:
                rates = replace(rates, **{group: made})
            except ValueError as error:
                faults.append(Fault("rates", None, name, text, str(error)))
        elif group == "freight":
            profile, _, key = key.rpartition(".")
            profiles = tuple(
                _changed(each, name, key, text, faults) if each.name == profile else each for each in rates.freight
            )
            rates = replace(rates, freight=profiles)
    return rates, faults


def _changed(group: Any, name: str, key: str, text: str, faults: list[Fault]) -> Any:
    """Return a group with one rule changed; as it was, and a fault noted, where the text will not do."""
    facts = next((each for each in rules_of(group) if each.name == key), None)
    if facts is None:
        faults.append(Fault("rules", None, name, text, "a rule that there is"))
        return group
    try:
        return replace(group, **{key: read(facts, text)})
    except (ValueError, TypeError) as error:
        _, _, accepted = str(error).rpartition("accepted: ")
        rule = Rule(name, "", facts, "", "")
        faults.append(Fault("rules", None, name, text, rule.range or accepted or str(error)))
        return group
