"""The shop file: a TOML text with the studio's name, its rules and its goods, read with every fault told at once.

What the file does not say stays as built in, so an empty file is a valid shop. The writer puts unit, range, meaning and
source beside each rule, taken from the rule itself (see :mod:`nesting.base.rules`), so file and code cannot disagree.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, get_type_hints

from nesting.base.faults import Fault, Faults, FaultsFound
from nesting.base.measure import MeasureError, parse_length, shorten
from nesting.base.rule_files import RefusedError, Wording, read_group, rule_lines, title_of
from nesting.base.rules import RuleFacts, rules_of
from nesting.base.toml_text import read_text, tables_of
from nesting.shop.goods import Good, StockSize
from nesting.shop.shop import Shop

_MOST = 100_000
_GOOD_NUMBERS = ("density", "each_g", "diameter_in", "weight_spread")
_GOOD_LENGTHS = ("thickness", "least", "greatest", "breadth")


class _ShopWording(Wording):
    """How a shop file speaks of its rules."""

    start, untold = "", ("length",)

    def unknown(self, key: str) -> str:
        return f"the unknown rule {shorten(repr(key))}"

    def refused(self, error: RefusedError) -> tuple[str, str]:
        if error.why == "length":
            return shorten(str(error.raw)), error.said
        within = f"a value like {error.facts.default!r}" if error.why == "kind" else "a value in"
        return shorten(repr(error.raw)), (error.why == "rule" and error.said) or f"{within} {self.about(error.facts)}"

    def at_odds(self, error: Exception) -> tuple[str, str]:
        return str(error), "rules that agree with each other"


class _StudioWording(Wording):
    """How it speaks of what it knows of the studio."""

    def unknown(self, key: str) -> str:
        return f"the unknown key {shorten(repr(key))}"

    def refused(self, error: RefusedError) -> tuple[str, str]:
        if error.why == "kind":
            return shorten(repr(error.raw)), "text in quotes"
        return shorten(str(error.raw)), error.said

    def about(self, _facts: RuleFacts) -> str:
        return ""


_WORDING, _STUDIO = _ShopWording(), _StudioWording()


@cache
def default_goods() -> tuple[Good, ...]:
    """Return the built-in goods (``nesting/shop/goods.toml``)."""
    text = (files("nesting.shop") / "goods.toml").read_text(encoding="utf-8")
    faults: list[Fault] = []
    goods = _goods(tomllib.loads(text), "goods.toml", faults)
    if faults:  # pragma: no cover - the packaged table is pinned by a test
        raise FaultsFound(faults)
    return goods


@cache
def default_shop() -> Shop:
    """Return the built-in shop: default goods and rules."""
    return Shop(goods=default_goods())


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
    return shop_from(tables_of(read_text(path), path.name, "a TOML text in UTF-8"), path.name)


def shop_from(document: Mapping[str, Any], file: str, built_in: Shop | None = None) -> Shop:
    """Make a shop of a parsed TOML document, over the built-in one or another; see :func:`read_shop`."""
    built_in = built_in or default_shop()
    groups = [name for name, _ in rule_groups()]
    accepted = f"one of {', '.join(('studio', *groups, 'good'))}"
    faults = [_fault(file, key, f"[{key}]", accepted) for key in document if key not in (*groups, "studio", "good")]
    told = Faults(file, row_word="table")
    changes: dict[str, Any] = {
        name: read_group(getattr(built_in, name), table, name, told, _STUDIO if name == "studio" else _WORDING)
        for name in (*groups, "studio")
        if (table := document.get(name)) is not None
    }
    faults += told
    own = {good.good: good for good in _goods(document, file, faults)}
    gone = {
        entry.get("good")
        for entry in _tables(document.get("good", []))
        if entry.get("stocked") is False and isinstance(entry.get("good"), str)
    }
    goods = [own.pop(good.good, good) for good in built_in.goods if good.good not in gone]
    goods += [good for name, good in own.items() if name not in gone]
    shop = replace(built_in, goods=tuple(goods), **changes)
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
            kind = _kind(built_in[meant[0]])
            fitting = [good.good for good in shop.goods if _kind(good) == kind]
            value = getattr(getattr(shop, name), facts.name)
            for each in value if isinstance(value, tuple) else (value,):
                good = shop.by_name.get(each)
                own = isinstance(told, Mapping) and facts.name in told
                if (good is None and own) or (good is not None and _kind(good) != kind):
                    found = f"no good named {each}" if good is None else f"{each}, a {_kind(good)}"
                    accepted = f"a {kind}: {', '.join(fitting) or 'none is stocked'}"
                    yield _fault(file, f"{name}.{facts.name}", found, accepted)


def _trimmed_away(shop: Shop, file: str) -> Iterator[Fault]:
    """Yield a fault for every sheet of which the saw's trim leaves nothing."""
    saw = shop.saw
    along, across = saw.trim_left + saw.trim_right, saw.trim_bottom + saw.trim_top
    for good in shop.goods:
        for size in good.sizes if good.form == "sheet" else ():
            if size.length <= along or size.width <= across:
                yield _fault(
                    file, f"good {good.good}, sizes", size.stock, "a sheet of which the saw's trim leaves some"
                )


def _named_twice(shop: Shop, file: str) -> Iterator[Fault]:
    """Yield a fault for every stock size whose name another one has: prices and layouts go by it."""
    seen: set[str] = set()
    for good in shop.goods:
        for size in good.sizes:
            if size.stock in seen:
                yield _fault(file, f"good {good.good}, sizes", f"{size.stock} twice", "a name for each stock size")
            seen.add(size.stock)


def _kind(good: Good) -> str:
    """Return what a good is as far as rules ask for one: a form, or the material of a thing bought each."""
    return good.material if good.form == "each" else good.form


def rule_groups() -> Iterator[tuple[str, type[Any]]]:
    """Yield the name and class of every group of rules in a shop."""
    hints = get_type_hints(Shop)
    for each in fields(Shop):
        if each.name not in ("goods", "studio"):
            yield each.name, hints[each.name]


def shop_text(shop: Shop | None = None) -> str:
    """Return a commented shop file that says what the given shop (or the built-in one) says."""
    shop = shop or default_shop()
    lines = [
        "# The shop's facts. Delete what you do not want to change: what is missing stays as built in.",
        '# Lengths are text with a unit: "1/8 in", "2 1/4 in", "18 mm".',
        "",
        "[studio]",
        *rule_lines(shop.studio, _STUDIO),
    ]
    for name, cls in rule_groups():
        lines += ["", f"[{name}]", f"# {title_of(cls)}", *rule_lines(getattr(shop, name), _WORDING)]
    goods = (files("nesting.shop") / "goods.toml").read_text(encoding="utf-8")
    return "\n".join(lines) + "\n\n" + goods


def _fault(file: str, where: str, found: str, accepted: str) -> Fault:
    """Make a fault of this file; ``where`` names the table and key."""
    return Fault(file, None, where or None, found, accepted, row_word="table")


def _tables(value: Any) -> list[Mapping[str, Any]]:
    """Return the tables of an array of tables, passing over anything else."""
    return [each for each in value if isinstance(each, Mapping)] if isinstance(value, list) else []


def _length(raw: Any, file: str, where: str, faults: list[Fault]) -> int:
    """Read a length given as text with a unit (a bare number is inches)."""
    try:
        return parse_length(str(raw), "inch")
    except MeasureError as error:
        faults.append(_fault(file, where, error.found, error.accepted))
        return 0


def _goods(document: Mapping[str, Any], file: str, faults: list[Fault]) -> tuple[Good, ...]:
    """Read every ``[[good]]`` of a document."""
    raw = document.get("good", [])
    if not isinstance(raw, list) or any(not isinstance(entry, Mapping) for entry in raw):
        faults.append(_fault(file, "good", shorten(repr(raw), 60), "an array of tables [[good]]"))
        return ()
    goods = []
    for number, entry in enumerate(raw, start=1):
        if entry.get("stocked") is False:
            continue
        where = f"good {entry.get('good', number)}"
        before = len(faults)
        made = _good(entry, file, where, faults)
        if made and len(faults) == before:
            goods.append(made)
    seen: set[str] = set()
    for good in goods:
        if good.good in seen:
            faults.append(_fault(file, f"good {good.good}", "the same good twice", "each good once"))
        seen.add(good.good)
    return tuple(goods)


def _good(entry: Mapping[str, Any], file: str, where: str, faults: list[Fault]) -> Good | None:
    """Read one good."""
    known = {each.name for each in fields(Good)}
    values: dict[str, Any] = {}
    for key, raw in entry.items():
        if key == "stocked":
            continue
        if key not in known:
            faults.append(
                _fault(
                    file,
                    f"{where}, {key}",
                    f"the unknown key {shorten(repr(key))}",
                    f"one of {', '.join(sorted(known))}",
                )
            )
        elif key in _GOOD_LENGTHS:
            values[key] = _length(raw, file, f"{where}, {key}", faults)
        elif key == "inside":
            sides = raw if isinstance(raw, list) else [raw]
            values[key] = tuple(_length(each, file, f"{where}, inside", faults) for each in sides)
        elif key == "sizes":
            values[key] = _sizes(raw, file, where, faults)
        elif key in _GOOD_NUMBERS:
            values[key] = _number(raw, file, f"{where}, {key}", faults)
        else:
            values[key] = raw
    missing = {"good", "title", "form", "material", "sizes"} - values.keys()
    if missing:
        faults.append(_fault(file, where, f"no {', '.join(sorted(missing))}", "good, title, form, material and sizes"))
        return None
    try:
        return Good(**values)
    except (ValueError, TypeError) as error:
        faults.append(_fault(file, where, str(error), "a good as the built-in ones are written"))
        return None


def _number(raw: Any, file: str, where: str, faults: list[Fault]) -> float:
    """Read a plain number, zero or more."""
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw < _MOST:
        faults.append(_fault(file, where, shorten(repr(raw)), f"a number from 0 to {_MOST}"))
        return 0.0
    return float(raw)


def _sizes(raw: Any, file: str, where: str, faults: list[Fault]) -> tuple[StockSize, ...]:
    """Read the stock sizes of a good."""
    sizes = []
    for entry in _tables(raw):
        extra = set(entry) - {"stock", "length", "width", "holds"}
        holds = entry.get("holds", 1)
        if (
            extra
            or not isinstance(entry.get("stock"), str)
            or isinstance(holds, bool)
            or not isinstance(holds, int)
            or holds < 1
        ):
            faults.append(
                _fault(
                    file,
                    f"{where}, sizes",
                    repr(dict(entry)),
                    'such as { stock = "ply-3/8 4x8", length = "96 in", width = "48 in" }',
                )
            )
            continue
        length = _length(entry["length"], file, f"{where}, sizes", faults) if "length" in entry else 0
        width = _length(entry["width"], file, f"{where}, sizes", faults) if "width" in entry else 0
        sizes.append(StockSize(entry["stock"], length, width, holds))
    if not sizes:
        faults.append(_fault(file, f"{where}, sizes", shorten(repr(raw), 60), "at least one stock size"))
    return tuple(sizes)
