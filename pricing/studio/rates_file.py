"""The rates file: a commented TOML text, read with every fault told at once and written from the rules themselves."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import Faults, FaultsFound, said_by
from nesting.base.rule_files import Wording, read_group, read_numbers, rule_lines, rule_toml, title_of
from nesting.base.rules import RuleFacts, rules_of
from nesting.base.toml_text import exact, read_text, tables_of, toml_key, toml_value
from pricing.studio.rates import FreightProfile, Rates

GROUPS: Final = ("labour", "price", "tax", "sale", "insurance", "delivery", "calendar", "reuse")
_WORDING: Final = Wording()
_TOGETHER: Final = ("profit", "profit_rate")


def _numbers(name: str, most: int) -> RuleFacts:
    """Return the rule that every number of a table keeps, whatever it is called there."""
    return RuleFacts(name, Decimal(0), "number", Decimal(0), Decimal(most), "", "")


_TABLES: Final = {"purchase_tax": _numbers("purchase_tax", 1), "lead_days": _numbers("lead_days", 365)}
_TABLES_OF_A_PROFILE: Final = {"per_100lb": _numbers("per_100lb", 100_000), "zones": _numbers("zones", 100)}
_HEAD: Final = """\
# Rates and profiles of the front office. Delete what you do not want to change: what is missing stays as built in.
# Rates are parts of one: 0.25 is 25 %. Amounts are in the currency below, which must be that of the price book.
# The built-in amounts are invented for demonstration; replace them by your own, with their day.
"""


def read_rates(path: Path) -> Rates:
    """Read a rates file.

    Parameters
    ----------
    path : Path
        A TOML file. Groups it leaves out keep their built-in values; if it holds any ``[freight.NAME]``, those replace
        all built-in profiles.

    Raises
    ------
    FaultsFound
        Every fault, each with its table and key.
    """
    return rates_from(read_text(path), path.name, default_rates())


@cache
def default_rates() -> Rates:
    """Return the built-in rates (``pricing/studio/rates.toml``)."""
    return rates_from(default_rates_text(), "rates.toml", Rates("USD"))


def default_rates_text() -> str:
    """Return the built-in rates file as it is packaged."""
    return (files("pricing.studio") / "rates.toml").read_text(encoding="utf-8")


def rates_from(text: str, file: str, built_in: Rates) -> Rates:
    """Make rates of a TOML text over the built-in ones; see :func:`read_rates`."""
    return rates_of(tables_of(text, file, "a TOML text", exact), file, built_in)


def rates_of(document: Mapping[str, Any], file: str, built_in: Rates) -> Rates:
    """Make rates of a parsed TOML text, its numbers Decimal, over others; see :func:`read_rates`."""
    faults = Faults(file, row_word="table")
    known = ("currency", *GROUPS, *_TABLES, "freight")
    for key in document:
        if key not in known:
            faults.add(None, key, key, f"one of {', '.join(known)}")
    changes: dict[str, Any] = {"source": file}
    if (currency := document.get("currency")) is not None:
        changes["currency"] = str(currency)
    for name in GROUPS:
        if (table := document.get(name)) is not None:
            changes[name] = read_group(getattr(built_in, name), table, name, faults, _WORDING, _TOGETHER)
    for name, number in _TABLES.items():
        if (table := document.get(name)) is not None:
            changes[name] = read_numbers(number, table, name, faults, _WORDING)
    if (table := document.get("freight")) is not None:
        changes["freight"] = _profiles(table, faults)
    faults.stop_if_any()
    try:
        return replace(built_in, **changes)
    except ValueError as error:
        faults.add(None, None, *said_by(error), typed=False)
        raise FaultsFound(faults) from error


def _profiles(table: Any, faults: Faults) -> tuple[FreightProfile, ...]:
    """Read every freight profile."""
    if not isinstance(table, Mapping):
        faults.add(None, "freight", repr(table), "tables [freight.NAME]")
        return ()
    profiles = []
    for name, entry in table.items():
        where = f"freight.{name}"
        if not isinstance(entry, Mapping):
            faults.add(None, where, repr(entry), f"a table [{where}]")
            continue
        rules = {key: value for key, value in entry.items() if key not in _TABLES_OF_A_PROFILE}
        made = read_group(FreightProfile(name), rules, where, faults, _WORDING)
        if "kind" not in entry:
            faults.add(None, f"{where}.kind", "", "collect, parcel, pallet, air, van, handler or fixed")
        tables: dict[str, Any] = {
            key: read_numbers(number, entry.get(key, {}), f"{where}.{key}", faults, _WORDING)
            for key, number in _TABLES_OF_A_PROFILE.items()
        }
        profiles.append(replace(made, **tables))
    return tuple(profiles)


def rates_text(rates: Rates) -> str:
    """Return a commented rates file that says what the given rates say."""
    lines = [_HEAD, f'currency = "{rates.currency}"']
    for name in GROUPS:
        group = getattr(rates, name)
        lines += ["", f"[{name}]", f"# {title_of(group)}", *rule_lines(group, _WORDING)]
    lines += ["", "[purchase_tax]", "# Paid on bought goods and not got back, by the tax category of the price book."]
    lines += [f"{toml_key(key)} = {rate}" for key, rate in rates.purchase_tax.items()]
    lines += [
        "",
        "[lead_days]",
        "# Working days from an order to its delivery, by the supplier's name in the price book.",
    ]
    lines += [f"{toml_key(key)} = {days}" for key, days in rates.lead_days.items()]
    lines += ["", "# Freight profiles. Each is [freight.NAME]; a destination names the one it uses.", *_profile_help()]
    for profile in rates.freight:
        lines += ["", f"[freight.{toml_key(profile.name)}]", *_profile_lines(profile)]
    return "\n".join(lines) + "\n"


def _profile_help() -> Iterator[str]:
    """Yield a comment for every rule of a profile."""
    for facts in rules_of(FreightProfile):
        yield f"#   {facts.name}: {facts.doc} {_WORDING.about(facts)}"
    yield "#   per_100lb: pallet: price of 100 lb by freight class, before discount and fuel."
    yield "#   zones: by how much a zone of the carrier multiplies the freight before fuel; none charges all alike."


def _profile_lines(profile: FreightProfile) -> Iterator[str]:
    """Yield the lines of a profile that differ from a rule's default, and its kind and day always."""
    for facts in rules_of(profile):
        value = getattr(profile, facts.name)
        if facts.name in ("kind", "as_of") or value != facts.default:
            yield f"{facts.name} = {rule_toml(facts, value)}"
    if profile.per_100lb:
        yield f"per_100lb = {toml_value(profile.per_100lb)}"
    if profile.zones:
        yield f"zones = {toml_value(profile.zones)}"
