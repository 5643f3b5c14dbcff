"""The rates file: a commented TOML text, read with every fault told at once and written from the rules themselves.

A file bears its form. One without, or of form 1, was written for 0.1.0 or 0.2.0: what it leaves out is as it was built
in then (``pricing/studio/former_rates.toml``, which never changes), so that its prices stay what they were.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final, get_args

from nesting.base.faults import Faults, FaultsFound, key_said_by, said_by
from nesting.base.measure import MeasureError, UnitSystem, given, parse_length, shorten, with_unit
from nesting.base.rule_files import (
    Wording,
    read_group,
    read_numbers,
    rule_lines,
    rule_toml,
    title_of,
    told_in,
    told_value,
)
from nesting.base.rules import RuleFacts
from nesting.base.toml_text import exact, read_text, tables_of, toml_key, toml_value
from pricing.studio.former import BUILT_IN_THEN
from pricing.studio.freight_rules import AIR_DIVISOR, PARCEL_KG_DIVISOR, ROAD_DIVISOR, SEA_DIVISOR
from pricing.studio.offer_rules import Exchange
from pricing.studio.rates import FORM, Charge, FreightProfile, Rates

GROUPS: Final = ("labour", "price", "tax", "sale", "insurance", "delivery", "calendar", "reuse", "offer", "consignment")
_WORDINGS: Final[Mapping[UnitSystem, Wording]] = {"inch": Wording(), "metric": Wording("metric")}
_TOGETHER: Final = ("profit", "profit_rate")


def _numbers(name: str, most: int) -> RuleFacts:
    """Return the rule that every number of a table keeps, whatever it is called there."""
    return RuleFacts(name, Decimal(0), "number", Decimal(0), Decimal(most), "", "")


_TABLES: Final = {"purchase_tax": _numbers("purchase_tax", 1), "lead_days": _numbers("lead_days", 365)}
_TABLES_OF_A_PROFILE: Final = {
    "per_100lb": _numbers("per_100lb", 100_000),
    "over_length": _numbers("over_length", 100_000),
    "zones": _numbers("zones", 100),
}
_HEAD: Final = """\
# Rates and profiles of the front office. Delete what you do not want to change: what is missing stays as built in.
# Rates are parts of one: 0.25 is 25 %. Amounts are in the currency below, which must be that of the price book.
# The built-in amounts are invented for demonstration; replace them by your own, with their day.
"""
_BY_GOOD_HELP: Final = (
    "# Where charge under [price] is used: goods that are charged by a rule of their own, bought, used or area.",
    "# What is left of a sheet of foam goes back on the shelf: each job bears its parts and their waste.",
)
_CURRENCIES_HELP: Final = (
    "# What other currencies are worth, for what goes out: units for one of the currency above, the day, who says so.",
    '# EUR = { rate = 0.92, day = 2026-11-28, source = "our bank" }',
)
_SIZES_HELP: Final = (
    "# What is missing is as it is built in for shops by millimetres; names that end in kg or m are theirs."
)
_FORM_HELP: Final = (
    "# Form of this file: without this line, what is missing stays as it was built in before there were forms."
)


def read_rates(path: Path, sizes: UnitSystem = "inch") -> Rates:
    """Read a rates file.

    Parameters
    ----------
    path : Path
        A TOML file. Rules it leaves out keep the built-in values of its form; if it holds any ``[freight.NAME]``, those
        replace all built-in profiles.
    sizes : {"inch", "metric"}
        By which the shop goes: so does a file that does not say.

    Raises
    ------
    FaultsFound
        Every fault, each with its table and key.
    """
    return rates_from(read_text(path), path.name, sizes=sizes)


@cache
def default_rates(sizes: UnitSystem = "inch") -> Rates:
    """Return the built-in rates (``pricing/studio/rates.toml``), or what a shop by millimetres has in their place."""
    if sizes == "metric":
        return rates_from(_packaged("rates_metric.toml"), "rates.toml", default_rates())
    return rates_from(default_rates_text(), "rates.toml", Rates("USD"))


@cache
def former_rates() -> Rates:
    """Return the rates that were built in before files bore a form (``pricing/studio/former_rates.toml``)."""
    return rates_from(_packaged("former_rates.toml"), BUILT_IN_THEN, Rates("USD"))


def built_in_rates(form: int, sizes: UnitSystem = "inch") -> Rates:
    """Return what a file of a form is read over: today's built-in rates, or those of before there were forms."""
    return default_rates(sizes) if form == FORM else former_rates()


def default_rates_text(sizes: UnitSystem = "inch") -> str:
    """Return the built-in rates file: as it is packaged, or as a shop by millimetres has it."""
    return _packaged("rates.toml") if sizes == "inch" else rates_text(default_rates(sizes))


def _packaged(name: str) -> str:
    return (files("pricing.studio") / name).read_text(encoding="utf-8")


def rates_from(text: str, file: str, built_in: Rates | None = None, sizes: UnitSystem = "inch") -> Rates:
    """Make rates of a TOML text over the given ones, else over those built in for its form; see :func:`read_rates`."""
    return rates_of(tables_of(text, file, "a TOML text", exact), file, built_in, sizes)


def rates_of(
    document: Mapping[str, Any], file: str, built_in: Rates | None = None, sizes: UnitSystem = "inch"
) -> Rates:
    """Make rates of a parsed TOML text, its numbers Decimal; see :func:`rates_from`."""
    faults = Faults(file, row_word="table")
    form = _form(document, faults)
    if (said := document.get("sizes", sizes)) in get_args(UnitSystem):
        sizes = said
    else:
        faults.add(None, "sizes", shorten(str(said)), "inch or metric")
    built_in = built_in or built_in_rates(form, sizes)
    known = ("form", "sizes", "currency", *GROUPS, *_TABLES, "charge", "currencies", "freight")
    for key in document:
        if key not in known:
            faults.add(None, key, key, f"one of {', '.join(known)}")
    changes: dict[str, Any] = {"source": file, "form": form, "sizes": sizes}
    if (currency := document.get("currency")) is not None:
        changes["currency"] = str(currency)
    for name in GROUPS:
        if (table := document.get(name)) is not None:
            changes[name] = read_group(getattr(built_in, name), table, name, faults, _WORDINGS[sizes], _TOGETHER)
    changes |= _tables(document, faults, form, sizes)
    faults.stop_if_any()
    try:
        return replace(built_in, **changes)
    except ValueError as error:
        faults.add(None, *key_said_by(error), typed=False)
        raise FaultsFound(faults) from error


def _form(document: Mapping[str, Any], faults: Faults) -> int:
    """Return the form that a file says it is of; one that says none is of the first."""
    form = document.get("form", 1)
    if type(form) is int and 1 <= form <= FORM:
        return form
    faults.add(None, "form", shorten(str(form)), f"a whole number from 1 to {FORM}; a newer version writes others")
    return FORM


def _tables(document: Mapping[str, Any], faults: Faults, form: int, sizes: UnitSystem) -> dict[str, Any]:
    """Read the tables whose keys are names of anybody's choice."""
    found: dict[str, Any] = {}
    for name, number in _TABLES.items():
        if (table := document.get(name)) is not None:
            found[name] = read_numbers(number, table, name, faults, _WORDINGS[sizes])
    if (table := document.get("charge")) is not None:
        found["by_good"] = _by_good(table, faults)
    if (table := document.get("currencies")) is not None:
        found["currencies"] = _currencies(table, faults)
    if (table := document.get("freight")) is not None:
        found["freight"] = _profiles(table, faults, form, sizes)
    return found


def _by_good(table: Any, faults: Faults) -> dict[str, Charge]:
    """Read which goods are charged by a rule of their own."""
    words, accepted = get_args(Charge), f"one of {', '.join(get_args(Charge))}"
    if not isinstance(table, Mapping):
        faults.add(
            None,
            "charge",
            given(table),
            f"a table [charge]; the rule for all goods is under [price], {accepted}",
        )
        return {}
    for good, word in table.items():
        if word not in words:
            faults.add(None, f"charge.{good}", shorten(str(word)), accepted)
    return {good: word for good, word in table.items() if word in words}


def _currencies(table: Any, faults: Faults) -> tuple[Exchange, ...]:
    """Read what other currencies are worth."""
    accepted = '{ rate = 0.92, day = 2026-11-28, source = "where it stands" }, rate and day at the least'
    if not isinstance(table, Mapping):
        faults.add(None, "currencies", given(table), f"a table [currencies] of entries such as EUR = {accepted}")
        return ()
    made = []
    for code, entry in table.items():
        where = f"currencies.{code}"
        if not re.fullmatch(r"[A-Z]{3}", code):
            faults.add(None, where, shorten(code), "three capital letters such as EUR")
        elif not isinstance(entry, Mapping) or not {"rate", "day"} <= set(entry) <= {"rate", "day", "source"}:
            faults.add(None, where, given(entry), accepted)
        elif type(entry["rate"]) not in (int, Decimal) or type(entry["day"]) is not date:
            faults.add(None, where, f"rate {entry['rate']}, day {entry['day']}", accepted)
        else:
            try:
                made.append(Exchange(code, Decimal(entry["rate"]), entry["day"], str(entry.get("source", ""))))
            except ValueError as error:
                faults.add(None, f"{where}.rate", *said_by(error), typed=False)
    return tuple(made)


def _profiles(table: Any, faults: Faults, form: int, sizes: UnitSystem) -> tuple[FreightProfile, ...]:
    """Read every freight profile.

    One of kind air without a divisor has that of air cargo. In a file of the first form it goes on with that of
    parcels, which reads in3/lb as cm3/kg and bills some 40 times the volume: what it billed then it bills today.
    """
    if not isinstance(table, Mapping):
        faults.add(None, "freight", given(table), "tables [freight.NAME]")
        return ()
    profiles = []
    for name, entry in table.items():
        where = f"freight.{name}"
        if not name:
            faults.add(None, "freight", "", "a name in each [freight.NAME]")
            continue
        if not isinstance(entry, Mapping):
            faults.add(None, where, given(entry), f"a table [{where}]")
            continue
        rules = {key: value for key, value in entry.items() if key not in _TABLES_OF_A_PROFILE}
        plain = FreightProfile(name, sizes=sizes)
        if form == FORM and (divisor := _divisor(entry)) is not None:
            plain = replace(plain, divisor=divisor)
        made = read_group(plain, rules, where, faults, _WORDINGS[sizes])
        if "kind" not in entry:
            faults.add(None, f"{where}.kind", "", "collect, parcel, pallet, air, van, handler, fixed, road or sea")
        tables: dict[str, Any] = {
            key: read_numbers(number, entry.get(key, {}), f"{where}.{key}", faults, _WORDINGS[sizes])
            for key, number in _TABLES_OF_A_PROFILE.items()
        }
        tables["over_length"] = _lengths(tables["over_length"], f"{where}.over_length", faults, sizes)
        profiles.append(replace(made, **tables))
    return tuple(profiles)


def _divisor(entry: Mapping[str, Any]) -> Decimal | None:
    """Return the divisor of a profile that bills by the kilogram and states none."""
    kind = entry.get("kind")
    if kind == "parcel":
        return PARCEL_KG_DIVISOR if entry.get("per_kg") else None
    return {"air": AIR_DIVISOR, "road": ROAD_DIVISOR, "sea": SEA_DIVISOR}.get(str(kind))


def _lengths(table: Mapping[str, Any], where: str, faults: Faults, sizes: UnitSystem) -> dict[str, Any]:
    """Return the entries of a table whose keys are lengths, with their units, noting each that is none."""
    kept = {}
    for length, value in table.items():
        try:
            parse_length(length)
        except MeasureError as error:
            faults.add(None, where, error.found, f"{error.accepted}, as what stands before the sum")
        else:
            kept[with_unit(length, sizes)] = value
    return kept


def rates_text(rates: Rates) -> str:
    """Return a commented rates file that says what the given rates say."""
    lines = [_HEAD, _FORM_HELP, f"form = {rates.form}", ""]
    if rates.sizes != "inch":
        lines += [_SIZES_HELP, f'sizes = "{rates.sizes}"', ""]
    lines += [f'currency = "{rates.currency}"']
    for name in GROUPS:
        group = getattr(rates, name)
        lines += ["", f"[{name}]", f"# {title_of(group)}", *rule_lines(group, _WORDINGS[rates.sizes], rates.sizes)]
    lines += ["", "[purchase_tax]", "# Paid on bought goods and not got back, by the tax category of the price book."]
    lines += [f"{toml_key(key)} = {rate}" for key, rate in rates.purchase_tax.items()]
    lines += [
        "",
        "[lead_days]",
        "# Working days from an order to its delivery, by the supplier's name in the price book.",
    ]
    lines += [f"{toml_key(key)} = {days}" for key, days in rates.lead_days.items()]
    lines += ["", "[charge]", *_BY_GOOD_HELP]
    lines += [f"{toml_key(good)} = {toml_value(word)}" for good, word in rates.by_good.items()]
    lines += ["", "[currencies]", *_CURRENCIES_HELP]
    lines += [f"{each.currency} = {_exchange_toml(each)}" for each in rates.currencies]
    lines += [
        "",
        "# Freight profiles. Each is [freight.NAME]; a destination names the one it uses.",
        *_profile_help(rates.sizes),
    ]
    for profile in rates.freight:
        lines += ["", f"[freight.{toml_key(profile.name)}]", *_profile_lines(profile, rates.sizes)]
    return "\n".join(lines) + "\n"


def _exchange_toml(each: Exchange) -> str:
    return f"{{ rate = {each.rate:f}, day = {each.day}, source = {toml_value(each.source)} }}"


def _profile_help(units: UnitSystem) -> Iterator[str]:
    """Yield a comment for every rule of a profile."""
    for _, told in told_in(FreightProfile, units):
        if units == "metric" and re.search(r"lb|ft", told.name):  # of tariffs that go by pounds alone
            continue
        yield f"#   {told.name}: {told.doc} {_WORDINGS[units].about(told, units)}"
    if units == "inch":
        yield "#   per_100lb: pallet: price of 100 lb by freight class, before discount and fuel."
    longer = "96 in" if units == "inch" else "2400 mm"
    yield f'#   over_length: extra by length, of the last that a piece is longer than: {{ "{longer}" = 90.00 }}.'
    yield "#   zones: by how much a zone of the carrier multiplies the freight before fuel; none charges all alike."


def _by_kilogram(profile: FreightProfile) -> bool:
    """Whether a profile bills by the kilogram: then its divisor is cm3/kg, and always written."""
    return profile.kind in ("air", "road", "sea") or (profile.kind == "parcel" and profile.per_kg > 0)


def _profile_lines(profile: FreightProfile, units: UnitSystem) -> Iterator[str]:
    """Yield the lines of a profile that differ from a rule's default, and its kind, day and divisor by cm3 always."""
    always = ("kind", "as_of", *(("divisor",) if _by_kilogram(profile) else ()))
    for facts, told in told_in(profile, units):
        value = getattr(profile, facts.name)
        if facts.name in always or value != facts.default:
            yield f"{told.name} = {rule_toml(told, told_value(facts, told, value), units)}"
    if profile.per_100lb:
        yield f"per_100lb = {toml_value(profile.per_100lb)}"
    if profile.over_length:
        yield f"over_length = {toml_value(profile.over_length)}"
    if profile.zones:
        yield f"zones = {toml_value(profile.zones)}"
