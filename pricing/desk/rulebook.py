"""The rules that a person edits on the desk: every one of shop and rates, and what was typed put back into them.

A rule is named by its group and name, ``frame.larger_by`` or ``price.overhead``; a freight profile's by three words,
``freight.van.per_km``.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from nesting.base.faults import Fault
from nesting.base.rule_files import RefusedError, Rule, form_of, with_typed
from nesting.shop.before import as_before, cushioned_as_before
from nesting.shop.shop import Shop
from nesting.shop.shop_file import rule_groups
from pricing.studio.rates import Rates
from pricing.studio.rates_file import GROUPS as RATE_GROUPS

Owner = TypeVar("Owner", Shop, Rates)


def shop_rules(shop: Shop, built_in: Shop) -> Iterator[Rule]:
    """Yield every rule of a shop."""
    for group, _ in rule_groups():
        yield from form_of(getattr(shop, group), getattr(built_in, group), group)


def rate_rules(rates: Rates, built_in: Rates) -> Iterator[Rule]:
    """Yield every rule of the rates, freight profiles last."""
    for group in RATE_GROUPS:
        yield from form_of(getattr(rates, group), getattr(built_in, group), group)
    known = {each.name: each for each in built_in.freight}
    for profile in rates.freight:
        base = known.get(profile.name, profile)
        for rule in form_of(profile, base, f"freight.{profile.name}", f"freight {profile.name}"):
            key, default = rule.facts.name, rule.facts.default
            if key in ("title", "as_of", "kind") or any(getattr(each, key) != default for each in (profile, base)):
                yield rule


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
