"""The shop file: a TOML text with the studio's name, its rules and its goods, read with every fault told at once.

What the file does not say stays as built in, so an empty file is a valid shop. The writer puts unit, range, meaning and
source beside each rule, taken from the rule itself (see :mod:`nesting.base.rules`), so file and code cannot disagree.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, get_type_hints

from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import INCH, MM, format_length, shorten
from nesting.base.rules import RuleFacts, rules_of
from nesting.shop.goods import Good
from nesting.shop.goods_file import goods_lines, read_goods
from nesting.shop.materials_built_in import BUILT_IN
from nesting.shop.materials_file import materials_lines, read_materials
from nesting.shop.shop import Shop, Studio
from nesting.shop.toml_text import fault_in, literal, read_length, tables


@cache
def default_goods() -> tuple[Good, ...]:
    """Return the built-in goods (``nesting/shop/goods.toml``)."""
    faults: list[Fault] = []
    goods = read_goods(tomllib.loads(_goods_text()), "goods.toml", BUILT_IN, faults)
    if faults:  # pragma: no cover - the packaged table is pinned by a test
        raise FaultsFound(faults)
    return goods


@cache
def default_shop() -> Shop:
    """Return the built-in shop: default goods and rules."""
    return Shop(goods=default_goods())


def _goods_text() -> str:
    """Return the built-in goods as they are written."""
    return (files("nesting.shop") / "goods.toml").read_text(encoding="utf-8")


def read_shop(path: Path) -> Shop:
    """Read a shop file.

    Parameters
    ----------
    path : Path
        A TOML file; tables it leaves out keep their built-in values. A ``[[good]]`` replaces the built-in good of
        the same name or is added; ``stocked = false`` takes one away.

    Returns
    -------
    Shop

    Raises
    ------
    FaultsFound
        Every fault in the file, each with its table and key.
    """
    try:
        document = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FaultsFound([fault_in(path.name, "", error.strerror or str(error), "a file that can be read")]) from error
    except (ValueError, RecursionError) as error:
        # Not TOML, not UTF-8, a number of thousands of digits, or lists nested without end.
        raise FaultsFound([fault_in(path.name, "", f"not TOML: {error}", "a TOML text in UTF-8")]) from error
    return shop_from(document, path.name)


def shop_from(document: Mapping[str, Any], file: str) -> Shop:
    """Make a shop of a parsed TOML document; see :func:`read_shop`."""
    faults: list[Fault] = []
    groups = dict(rule_groups())
    known = ("studio", *groups, "material", "good")
    accepted = f"one of {', '.join(known)}"
    faults += [fault_in(file, key, f"[{key}]", accepted) for key in document if key not in known]
    changes: dict[str, Any] = {
        name: _group(cls, table, file, name, faults)
        for name, cls in groups.items()
        if (table := document.get(name)) is not None
    }
    if (table := document.get("studio")) is not None:
        changes["studio"] = _studio(table, file, faults)
    materials = read_materials(document, file, faults)
    own = {good.good: good for good in read_goods(document, file, materials, faults)}
    gone = {
        entry.get("good")
        for entry in tables(document.get("good", []))
        if entry.get("stocked") is False and isinstance(entry.get("good"), str)
    }
    goods = [own.pop(good.good, good) for good in default_goods() if good.good not in gone]
    goods += [good for name, good in own.items() if name not in gone]
    shop = replace(default_shop(), goods=tuple(goods), materials=materials, **changes)
    faults += _unfit_goods(shop, document, file)
    faults += [*_trimmed_away(shop, file), *_named_twice(shop, file)]
    if faults:
        raise FaultsFound(faults)
    return shop


def _unfit_goods(shop: Shop, document: Mapping[str, Any], file: str) -> Iterator[Fault]:
    """Yield a fault for every rule of the file that names a good which is not there or is of another kind.

    A rule that the file doesn't touch may name a good that it takes away: that is told when a crate needs the good.
    """
    built_in = {good.good: good for good in default_goods()}
    for name, cls in rule_groups():
        told = document.get(name)
        for facts in rules_of(cls):
            meant = facts.default if isinstance(facts.default, tuple) else (facts.default,)
            if not meant or any(not isinstance(each, str) or each not in built_in for each in meant):
                continue
            kind = _kind(built_in[meant[0]], shop)
            fitting = [good.good for good in shop.goods if _kind(good, shop) == kind]
            value = getattr(getattr(shop, name), facts.name)
            for each in value if isinstance(value, tuple) else (value,):
                good = shop.by_name.get(each)
                own = isinstance(told, Mapping) and facts.name in told
                if (good is None and own) or (good is not None and _kind(good, shop) != kind):
                    found = f"no good named {each}" if good is None else f"{each}, a {_kind(good, shop)}"
                    accepted = f"a {kind}: {', '.join(fitting) or 'none is stocked'}"
                    yield fault_in(file, f"{name}.{facts.name}", found, accepted)


def _trimmed_away(shop: Shop, file: str) -> Iterator[Fault]:
    """Yield a fault for every sheet of which the saw's trim leaves nothing."""
    saw = shop.saw
    along, across = saw.trim_left + saw.trim_right, saw.trim_bottom + saw.trim_top
    for good in shop.goods:
        for size in good.sizes if good.form == "sheet" else ():
            if size.length <= along or size.width <= across:
                yield fault_in(
                    file, f"good {good.good}, sizes", size.stock, "a sheet of which the saw's trim leaves some"
                )


def _named_twice(shop: Shop, file: str) -> Iterator[Fault]:
    """Yield a fault for every stock size whose name another one has: prices and layouts go by it."""
    seen: set[str] = set()
    for good in shop.goods:
        for size in good.sizes:
            if size.stock in seen:
                yield fault_in(file, f"good {good.good}, sizes", f"{size.stock} twice", "a name for each stock size")
            seen.add(size.stock)


def _kind(good: Good, shop: Shop) -> str:
    """Return what a good is as far as rules ask for one: a form, or what a thing bought each serves as or is of."""
    return good.form if good.form != "each" else shop.material(good.material).serves or good.material


def rule_groups() -> Iterator[tuple[str, type[Any]]]:
    """Yield the name and class of every group of rules in a shop."""
    hints = get_type_hints(Shop)
    for each in fields(Shop):
        if each.name not in ("goods", "materials", "studio"):
            yield each.name, hints[each.name]


def shop_text(shop: Shop | None = None) -> str:
    """Return a commented shop file that says what the given shop (or the built-in one) says."""
    shop = shop or default_shop()
    lines = [
        "# The shop's facts. Delete what you do not want to change: what is missing stays as built in.",
        '# Lengths are text with a unit: "1/8 in", "2 1/4 in", "18 mm".',
        "",
        "[studio]",
        *(
            line
            for each in fields(Studio)
            for line in (f"# {each.metadata['told']}", f"{each.name} = {literal(getattr(shop.studio, each.name))}")
        ),
    ]
    for name, cls in rule_groups():
        lines += ["", f"[{name}]"]
        doc = (cls.__doc__ or "").strip().splitlines()
        lines += [f"# {doc[0]}"] if doc else []
        for facts in rules_of(cls):
            lines += [
                f"# {facts.doc} {_range_text(facts)}",
                f"{facts.name} = {literal(_shown(facts, getattr(getattr(shop, name), facts.name)))}",
            ]
    lines += materials_lines(shop.materials)
    if shop.goods != default_goods():
        return "\n".join([*lines, *goods_lines(shop.goods, default_goods())]) + "\n"
    return "\n".join(lines) + "\n\n" + _goods_text()


def _range_text(facts: RuleFacts) -> str:
    """Return unit, range and source for a comment."""
    if isinstance(facts.low, tuple):
        span = "one of " + ", ".join(map(str, facts.low))
    elif facts.low is not None and facts.high is not None:
        span = f"{_shown(facts, facts.low)} to {_shown(facts, facts.high)}"
    else:
        span = ""
    unit = "" if facts.unit == "length" else facts.unit
    return f"({'; '.join(text for text in (unit, span, facts.source) if text)})"


def _shown(facts: RuleFacts, value: Any) -> Any:
    """Return a rule's value as the file holds it: lengths as text."""
    if facts.unit == "length" and isinstance(value, int):
        return _exact_length(value)
    return list(value) if isinstance(value, tuple) else value


def _exact_length(value: int) -> str:
    """Return a length as text that reads back to the same integer: in 64ths of an inch, else in millimetres."""
    if value * 64 % INCH == 0:
        return format_length(value, "inch", denominator=64, mark=True)
    return f"{Decimal(value) / MM} mm"


def _group(cls: type[Any], table: Any, file: str, name: str, faults: list[Fault]) -> Any:
    """Read one group of rules."""
    if not isinstance(table, Mapping):
        faults.append(fault_in(file, name, shorten(repr(table)), f"a table [{name}]"))
        return cls()
    known = {facts.name: facts for facts in rules_of(cls)}
    values: dict[str, Any] = {}
    for key, raw in table.items():
        where = f"{name}.{key}"
        facts = known.get(key)
        if facts is None:
            faults.append(fault_in(file, where, f"the unknown rule {shorten(repr(key))}", f"one of {', '.join(known)}"))
            continue
        before = len(faults)
        value = _value(facts, raw, file, where, faults)
        if len(faults) > before:
            continue
        try:
            cls(**{key: value})
        except (ValueError, TypeError) as error:
            accepted = str(error).rpartition("accepted: ")[2] if _in_range(facts, value) else ""
            faults.append(fault_in(file, where, shorten(repr(raw)), accepted or f"a value in {_range_text(facts)}"))
            continue
        values[key] = value
    try:
        return cls(**values)
    except (ValueError, TypeError) as error:
        faults.append(fault_in(file, name, str(error), "rules that agree with each other"))
        return cls()


def _in_range(facts: RuleFacts, value: Any) -> bool:
    """Whether a value that was refused lies within its own range: then something else is wrong with it."""
    if isinstance(facts.low, tuple):
        return value in facts.low
    return (facts.low is None or value >= facts.low) and (facts.high is None or value <= facts.high)


def _value(facts: RuleFacts, raw: Any, file: str, where: str, faults: list[Fault]) -> Any:
    """Turn a TOML value into the rule's own type, or add a fault."""
    if facts.unit == "length":
        return read_length(raw, file, where, faults)
    kind = type(facts.default)
    if kind is tuple and isinstance(raw, list):
        return tuple(raw)
    if kind is float and isinstance(raw, int) and not isinstance(raw, bool):
        return float(raw)
    if isinstance(raw, kind) and isinstance(raw, bool) == (kind is bool) and raw == raw:  # noqa: PLR0124 - NaN is no value
        return raw
    faults.append(fault_in(file, where, shorten(repr(raw)), f"a value like {facts.default!r} {_range_text(facts)}"))
    return None


def _studio(table: Any, file: str, faults: list[Fault]) -> Studio:
    """Read who the studio is."""
    known = [each.name for each in fields(Studio)]
    if not isinstance(table, Mapping):
        faults.append(fault_in(file, "studio", shorten(repr(table)), "a table [studio]"))
        return Studio()
    values = {}
    for key, raw in table.items():
        if key not in known:
            faults.append(
                fault_in(file, f"studio.{key}", f"the unknown key {shorten(repr(key))}", f"one of {', '.join(known)}")
            )
        elif not isinstance(raw, str):
            faults.append(fault_in(file, f"studio.{key}", shorten(repr(raw)), "text in quotes"))
        else:
            try:
                Studio(**{key: raw})
            except ValueError as error:
                faults.append(fault_in(file, f"studio.{key}", shorten(raw), str(error).rpartition("accepted: ")[2]))
            else:
                values[key] = raw
    return Studio(**values)
