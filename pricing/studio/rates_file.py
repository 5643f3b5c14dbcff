"""The rates file: a commented TOML text, read with every fault told at once and written from the rules themselves."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from nesting.base.faults import Faults, FaultsFound, refuse
from nesting.base.measure import MeasureError, format_length_exact, parse_length
from nesting.base.rules import RuleFacts, rules_of
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.table_file import note_error

GROUPS: Final = ("labour", "price", "tax", "sale", "insurance", "delivery", "calendar", "reuse")
_TABLES: Final = {"purchase_tax": Decimal(1), "lead_days": Decimal(365)}
"""Tables of plain numbers, each with the greatest number it may hold."""
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
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise refuse(path.name, error.strerror or str(error), "a file that can be read") from error
    except UnicodeDecodeError as error:
        raise refuse(path.name, "bytes that are not UTF-8", "a TOML text in UTF-8") from error
    return rates_from(text, path.name, default_rates())


@cache
def default_rates() -> Rates:
    """Return the built-in rates (``pricing/studio/rates.toml``)."""
    return rates_from(default_rates_text(), "rates.toml", Rates("USD"))


def default_rates_text() -> str:
    """Return the built-in rates file as it is packaged."""
    return (files("pricing.studio") / "rates.toml").read_text(encoding="utf-8")


def rates_from(text: str, file: str, built_in: Rates) -> Rates:
    """Make rates of a TOML text over the built-in ones; see :func:`read_rates`."""
    return rates_of(_document(text, file), file, built_in)


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
            changes[name] = _group(getattr(built_in, name), table, name, faults)
    for name, most in _TABLES.items():
        if (table := document.get(name)) is not None:
            changes[name] = _amounts(table, name, faults, most)
    if (table := document.get("freight")) is not None:
        changes["freight"] = _profiles(table, faults)
    faults.stop_if_any()
    try:
        return replace(built_in, **changes)
    except ValueError as error:
        note_error(faults, None, None, error)
        raise FaultsFound(faults) from error


def _document(text: str, file: str) -> dict[str, Any]:
    """Parse a TOML text, its numbers exact."""
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:
        # Not TOML, a number of thousands of digits, or lists nested without end.
        raise refuse(file, f"not TOML: {error}", "a TOML text") from error


def _group(built_in: Any, table: Any, name: str, faults: Faults) -> Any:
    """Read one group of rules over its built-in values; a value that cannot be read or is out of range is noted."""
    if not isinstance(table, Mapping):
        faults.add(None, name, repr(table), f"a table [{name}]")
        return built_in
    known = {facts.name: facts for facts in rules_of(built_in)}
    values: dict[str, Any] = {}
    for key, raw in table.items():
        where = f"{name}.{key}"
        if key not in known:
            faults.add(None, where, key, f"one of {', '.join(known)}")
            continue
        facts = known[key]
        try:
            value = _value(facts, raw)
        except (ValueError, TypeError):
            faults.add(None, where, _raw_text(raw), f"{_kind(facts)} {_range(facts)}".strip())
            continue
        try:
            replace(built_in, **{key: value} if key not in ("profit", "profit_rate") else {})
        except (ValueError, TypeError) as error:
            # A rule with a range says it; one without says in its own words what it takes.
            accepted = f"{_kind(facts)} {_range(facts)}" if _range(facts) else str(error).rpartition("accepted: ")[2]
            faults.add(None, where, _raw_text(raw), accepted.strip())
            continue
        values[key] = value
    try:
        return replace(built_in, **values)
    except (ValueError, TypeError) as error:
        note_error(faults, None, name, ValueError(*error.args))
        return built_in


def _value(facts: RuleFacts, raw: Any) -> Any:
    """Turn a TOML value into the rule's own type, or raise."""
    if facts.unit == "length":
        try:
            return parse_length(str(raw), "inch")
        except MeasureError as error:
            raise ValueError(str(error)) from error
    kind = type(facts.default)
    if kind is Decimal:
        if isinstance(raw, bool) or not isinstance(raw, int | Decimal) or not Decimal(raw).is_finite():
            raise TypeError("not a number")
        return Decimal(raw)
    if kind is date:
        if isinstance(raw, datetime) or not isinstance(raw, date):
            raise TypeError("not a day")
        return raw
    if isinstance(raw, kind) and isinstance(raw, bool) == (kind is bool):
        return raw
    raise TypeError("another kind of value")


def _amounts(table: Any, name: str, faults: Faults, most: Decimal) -> dict[str, Decimal]:
    """Read a table of numbers."""
    if not isinstance(table, Mapping):
        faults.add(None, name, repr(table), f"a table [{name}]")
        return {}
    amounts = {}
    for key, raw in table.items():
        if (
            isinstance(raw, bool)
            or not isinstance(raw, int | Decimal)
            or not Decimal(raw).is_finite()
            or not 0 <= raw <= most
        ):
            faults.add(None, f"{name}.{key}", _raw_text(raw), f"a number from 0 to {most}")
        else:
            amounts[key] = Decimal(raw)
    return amounts


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
        made = _group(FreightProfile(name), {k: v for k, v in entry.items() if k != "per_100lb"}, where, faults)
        if "kind" not in entry:
            faults.add(None, f"{where}.kind", "", "collect, parcel, pallet, air, van or fixed")
        classes = _amounts(entry.get("per_100lb", {}), f"{where}.per_100lb", faults, Decimal(100_000))
        profiles.append(replace(made, per_100lb=classes))
    return tuple(profiles)


def rates_text(rates: Rates) -> str:
    """Return a commented rates file that says what the given rates say."""
    lines = [_HEAD, f'currency = "{rates.currency}"']
    for name in GROUPS:
        group = getattr(rates, name)
        lines += ["", f"[{name}]", f"# {(type(group).__doc__ or '').strip().splitlines()[0]}"]
        for facts in rules_of(group):
            lines += [f"# {facts.doc} ({_about(facts)})", f"{facts.name} = {_toml(facts, getattr(group, facts.name))}"]
    lines += ["", "[purchase_tax]", "# Paid on bought goods and not got back, by the tax category of the price book."]
    lines += [f"{_key(key)} = {rate}" for key, rate in rates.purchase_tax.items()]
    lines += [
        "",
        "[lead_days]",
        "# Working days from an order to its delivery, by the supplier's name in the price book.",
    ]
    lines += [f"{_key(key)} = {days}" for key, days in rates.lead_days.items()]
    lines += ["", "# Freight profiles. Each is [freight.NAME]; a destination names the one it uses.", *_profile_help()]
    for profile in rates.freight:
        lines += ["", f"[freight.{_key(profile.name)}]", *_profile_lines(profile)]
    return "\n".join(lines) + "\n"


def _profile_help() -> Iterator[str]:
    """Yield a comment for every rule of a profile."""
    for facts in rules_of(FreightProfile):
        yield f"#   {facts.name}: {facts.doc} ({_about(facts)})"
    yield "#   per_100lb: pallet: price of 100 lb by freight class, before discount and fuel."


def _profile_lines(profile: FreightProfile) -> Iterator[str]:
    """Yield the lines of a profile that differ from a rule's default, and its kind and day always."""
    for facts in rules_of(profile):
        value = getattr(profile, facts.name)
        if facts.name in ("kind", "as_of") or value != facts.default:
            yield f"{facts.name} = {_toml(facts, value)}"
    if profile.per_100lb:
        classes = ", ".join(f"{_key(key)} = {amount}" for key, amount in profile.per_100lb.items())
        yield f"per_100lb = {{ {classes} }}"


def _key(name: str) -> str:
    """Return a TOML key, quoted where it must be."""
    if name and all(letter.isascii() and (letter.isalnum() or letter in "_-") for letter in name):
        return name
    return _quoted(name)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _toml(facts: RuleFacts, value: Any) -> str:
    """Return a TOML literal of a rule's value."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if facts.unit == "length":
        return _quoted(format_length_exact(value, mark=True))
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, date) else _quoted(value) if isinstance(value, str) else str(value)


def _kind(facts: RuleFacts) -> str:
    """Say what kind of value a rule takes."""
    if facts.unit == "length":
        return 'a length in quotes such as "108 in"'
    if isinstance(facts.low, tuple):
        return ""
    kinds = {bool: "true or false", Decimal: "a number", int: "a whole number", date: "a day such as 2026-01-31"}
    return kinds.get(type(facts.default), "text in quotes")


def _range(facts: RuleFacts) -> str:
    """Return the accepted range as text; empty where there is none."""
    if isinstance(facts.low, tuple):
        return "one of " + ", ".join(map(str, facts.low))
    if facts.low is None or facts.high is None:
        return ""
    if facts.unit == "length":
        return f"from {format_length_exact(facts.low, mark=True)} to {format_length_exact(facts.high, mark=True)}"
    return f"from {facts.low} to {facts.high}"


def _about(facts: RuleFacts) -> str:
    """Return unit, range and source for a comment."""
    unit = "" if facts.unit in ("length", "word") else facts.unit
    return "; ".join(text for text in (unit, _range(facts), facts.source) if text)


def _raw_text(raw: Any) -> str:
    """Return a TOML value as it is shown in a message."""
    return raw if isinstance(raw, str) else str(raw).lower() if isinstance(raw, bool) else str(raw)
