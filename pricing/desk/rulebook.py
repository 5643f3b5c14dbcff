"""The rules that a person edits on the desk: every one of shop and rates, and what was typed put back into them.

A rule is named by its group and name, ``frame.larger_by`` or ``price.overhead``; a freight profile's by three words,
``freight.van.per_km``; what another currency is worth by ``currencies.EUR``.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Final, TypeVar

from nesting.base.faults import Fault
from nesting.base.measure import with_unit
from nesting.base.rule_files import RefusedError, Rule, form_of, typed_value, with_typed
from nesting.shop.backs import said_with_units
from nesting.shop.before import as_before, cushioned_as_before
from nesting.shop.shop import Shop
from nesting.shop.shop_file import rule_groups
from pricing.desk.typed import typed_part
from pricing.money import typed_amount
from pricing.studio.offer_rules import Exchange, exchange_from
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.rates_file import GROUPS as RATE_GROUPS
from pricing.studio.rule_words import group_of, is_a_part, label_of, part_text

Owner = TypeVar("Owner", Shop, Rates)
_PLAIN: Final = FreightProfile("plain")
"""A profile that says nothing."""
HOLLOW_BACKS: Final = "cleats.hollow_backs"
"""The rule whose words hold lengths."""


def shop_rules(shop: Shop, built_in: Shop) -> Iterator[Rule]:
    """Yield every rule of a shop."""
    for group, _ in rule_groups():
        yield from map(_for_people, form_of(getattr(shop, group), getattr(built_in, group), group, units=shop.units))


def rate_rules(rates: Rates, built_in: Rates) -> Iterator[Rule]:
    """Yield every rule of the rates, freight profiles last."""
    for group in RATE_GROUPS:
        yield from map(_for_people, form_of(getattr(rates, group), getattr(built_in, group), group, units=rates.sizes))
    known = {each.name: each for each in built_in.freight}
    for profile in rates.freight:
        base = known.get(profile.name, profile)
        for rule in form_of(profile, base, f"freight.{profile.name}", f"freight {profile.name}", rates.sizes):
            key = rule.own.rpartition(".")[2]  # in the profile's own unit, however it is told
            default = getattr(_PLAIN, key)
            if key in ("title", "as_of", "kind") or any(getattr(each, key) != default for each in (profile, base)):
                yield _for_people(rule)


def _for_people(rule: Rule) -> Rule:
    return replace(rule, called=label_of(rule.own or rule.name))


_UNITS: Final = {
    "minutes": ("minutes", "minute", "min"), "hours": ("hours", "hour", "h"), "days": ("days", "day"),
    "lb": ("lbs", "lb", "pounds"), "kg": ("kg",), "m2": ("m2",), "mm": ("mm",),
    "degrees": ("degrees", "°"), "G": ("G", "g"), "sq ft": ("sq ft",), "ft": ("ft",),
    "percent": ("%",),
}  # fmt: skip
"""What may be typed after a figure whose unit stands beside the field."""


def is_part(rule: Rule) -> bool:
    """Whether a rule is a part of something, such as waste or overhead: shown as per cent, and read so."""
    return is_a_part(rule.facts, rule.own or rule.name)


def shown(rule: Rule, text: str = "") -> str:
    """Write a rule for people, or another text of its kind: a part as per cent, all else as it is stored."""
    text = text or rule.text
    if is_part(rule) and text:
        return part_text(typed_value(rule.facts, text))
    return text.removesuffix(".0") if isinstance(rule.facts.default, float) else text


def shown_range(rule: Rule) -> str:
    """Write what a rule accepts for people; empty where that is anything."""
    facts = rule.facts
    if not is_part(rule) or facts.low is None or facts.high is None:
        return " to ".join(end.removesuffix(".0") for end in rule.range.split(" to "))
    return f"{part_text(facts.low)} to {part_text(facts.high)}"


def shown_unit(rule: Rule) -> str:
    """Return the unit that stands beside a rule's field; empty where its value says it, or it has none."""
    if rule.facts.unit in ("length", "word", "words", "yes or no", "day", "count"):
        return ""
    if rule.facts.unit == "ratio":
        return "" if is_part(rule) else "×"
    return "%" if rule.facts.unit == "percent" else rule.facts.unit


def write_within(rule: Rule) -> str:
    """Say what to write where a rule has a range."""
    unit = shown_unit(rule)
    kind = "" if is_part(rule) or rule.facts.unit == "length" else "a number from "
    return f"write {kind}{shown_range(rule)}{f' {unit}' if unit not in ('', '×') else ''}"


def stored_text(rule: Rule, text: str, currency: str) -> str:
    """Return what was typed into a rule's field as it is stored: ``12 %`` as ``0.12``, ``$65`` as ``65``.

    In a shop by millimetres a length without a unit is stored with it: what is stored means the same in any shop.

    Raises
    ------
    ValueError
        Where it cannot be read; the message says what to write.
    """
    if is_part(rule):
        return f"{typed_part(text):f}"
    if rule.facts.unit == "money":
        return f"{typed_amount(text, currency):f}"
    plain = text.strip()
    for unit in _UNITS.get(rule.facts.unit, ()):
        plain = plain.removesuffix(unit).rstrip() or plain
    if rule.facts.unit == "length":
        return with_unit(plain, rule.units)
    if rule.own == HOLLOW_BACKS:
        return "; ".join(said_with_units(each.strip(), rule.units) for each in plain.split(";"))
    return plain


def titled(rule: Rule) -> str:
    """Return what people call a rule with its group, which no other is called: ``Cartons: Wall of a carton``."""
    return f"{group_of(rule.group)}: {rule.label}"


def rule_called(name: str, rules: Iterable[Rule]) -> Rule | None:
    """Return the rule of a name, as files have it or as people call it."""
    known = tuple(rules)
    return next((rule for rule in known if rule.name == name), None) or next(
        (rule for rule in known if titled(rule).lower() == name.lower()), None
    )


def with_shop_rules(shop: Shop, changes: Mapping[str, str], *, before: bool = False) -> tuple[Shop, list[Fault]]:
    """Return the shop with some rules changed, and a fault for each that cannot be.

    How thick foam is was typed before it could be found by the shock, and means that thickness as it does in a file.

    Parameters
    ----------
    before : bool
        Whether they may have been typed before frames could be smaller than their rule: in a folder begun then they
        mean what they mean in a file of then.
    """
    made, faults = _changed(shop, changes, [name for name, _ in rule_groups()])
    if faults:
        return made, faults
    return (as_before if before else cushioned_as_before)(made, _by_group(changes)), faults


def _by_group(changes: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """Return rules as the tables of a file hold them."""
    tables: dict[str, dict[str, str]] = {}
    for name, text in changes.items():
        group, _, key = name.partition(".")
        tables.setdefault(group, {})[key] = text
    return tables


def with_rate_rules(rates: Rates, changes: Mapping[str, str]) -> tuple[Rates, list[Fault]]:
    """Return the rates with some rules changed, and a fault for each that cannot be."""
    return _changed(rates, changes, RATE_GROUPS)


def _changed(owner: Owner, changes: Mapping[str, str], groups: Collection[str]) -> tuple[Owner, list[Fault]]:
    """Return shop or rates with those of the changes that are theirs."""
    faults: list[Fault] = []
    for name, text in changes.items():
        group, _, key = name.partition(".")
        try:
            if group in groups:
                owner = replace(owner, **{group: with_typed(getattr(owner, group), key, text)})
            elif group == "currencies" and isinstance(owner, Rates):
                kept: list[Exchange] = [each for each in owner.currencies if each.currency != key]
                worth: Any = {"currencies": (*kept, exchange_from(key, text))}
                owner = replace(owner, **worth)
            elif group == "freight" and isinstance(owner, Rates):
                profile, _, key = key.rpartition(".")
                freight = [with_typed(each, key, text) if each.name == profile else each for each in owner.freight]
                changed: Any = {"freight": tuple(freight)}
                owner = replace(owner, **changed)
        except LookupError as error:
            faults.append(Fault("rules", None, name, text, str(error)))
        except RefusedError as error:
            faults.append(Fault("rules", None, name, text, error.accepted))
        except ValueError as error:
            faults.append(Fault("rates", None, name, text, str(error)))
    return owner, faults
