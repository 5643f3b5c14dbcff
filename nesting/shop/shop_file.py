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
from typing import Any, Final, get_type_hints

from nesting.base.faults import Fault, Faults, FaultsFound
from nesting.base.measure import UnitSystem, given, shorten
from nesting.base.rule_files import RefusedError, Wording, read_group, rule_lines, rule_toml, title_of
from nesting.base.rules import RuleFacts, rules_of
from nesting.base.toml_text import read_text, tables_of
from nesting.shop.backs import said_with_units
from nesting.shop.before import as_before, cushioned_as_before
from nesting.shop.goods import Good
from nesting.shop.goods_file import goods_lines, read_goods
from nesting.shop.materials_built_in import BUILT_IN
from nesting.shop.materials_file import materials_lines, read_materials
from nesting.shop.shop import Shop, Studio
from nesting.shop.toml_text import fault_in, tables


class _ShopWording(Wording):
    """How a shop file speaks of its rules."""

    start, untold = "", ("length",)

    def unknown(self, key: str) -> str:
        return f"the unknown rule {shorten(repr(key))}"

    def refused(self, error: RefusedError) -> tuple[str, str]:
        if error.why == "length":
            return shorten(str(error.raw)), error.said
        within = f"a value like {rule_toml(error.facts, error.facts.default)}" if error.why == "kind" else "a value in"
        return given(error.raw, text=error.why != "kind"), (
            error.why == "rule" and error.said
        ) or f"{within} {self.about(error.facts, self.units)}"

    def at_odds(self, error: Exception, where: str) -> tuple[str, str, str]:
        return where, str(error), "rules that agree with each other"


class _StudioWording(Wording):
    """How it speaks of what it knows of the studio."""

    def unknown(self, key: str) -> str:
        return f"the unknown key {shorten(repr(key))}"

    def refused(self, error: RefusedError) -> tuple[str, str]:
        if error.why == "kind":
            return given(error.raw), "text in quotes"
        return shorten(str(error.raw)), error.said

    def about(self, _facts: RuleFacts, _units: UnitSystem = "inch") -> str:
        return ""


_LENGTHS: Final[Mapping[UnitSystem, str]] = {
    "inch": '"1/8 in", "2 1/4 in", "18 mm"', "metric": '"150 mm", "1.5 m"; a number without one is millimetres'
}  # fmt: skip

_WORDINGS: Final[Mapping[UnitSystem, Wording]] = {"inch": _ShopWording(), "metric": _ShopWording("metric")}
_STUDIO: Final = _StudioWording()

_IF_ANY: Final = {("battens", "good"): "ply-3/8", ("battens", "staple"): "staple"}
"""Rules that name no good as built in, each with one of the kind that it may name."""


_GOODS: Final[Mapping[UnitSystem, str]] = {"inch": "goods.toml", "metric": "goods_metric.toml"}
_METRIC: Final = "rules_metric.toml"
_HOME: Final = ("DE", "Europe/Berlin")
"""Where a studio by millimetres is that says nothing of it: its built-in prices and taxes are of there, invented."""


@cache
def default_goods(sizes: UnitSystem = "inch") -> tuple[Good, ...]:
    """Return the built-in goods of a shop by inches (``nesting/shop/goods.toml``) or by millimetres."""
    faults: list[Fault] = []
    goods = read_goods(tomllib.loads(_goods_text(sizes)), _GOODS[sizes], BUILT_IN, faults, sizes)
    if faults:  # pragma: no cover - the packaged table is pinned by a test
        raise FaultsFound(faults)
    return goods


@cache
def default_shop(sizes: UnitSystem = "inch") -> Shop:
    """Return the built-in shop: default goods and rules.

    One by millimetres has the same rules with defaults of its own (``nesting/shop/rules_metric.toml``): each is laid
    over the built-in one, so that a rule of which it says nothing is the same in both.
    """
    if sizes == "inch":
        return Shop(goods=default_goods())
    plain = Shop(goods=default_goods(sizes), studio=Studio(sizes=sizes, country=_HOME[0], time_zone=_HOME[1]))
    return shop_from(tomllib.loads(_packaged(_METRIC)), _METRIC, plain)


def _goods_text(sizes: UnitSystem) -> str:
    """Return the built-in goods as they are written."""
    return _packaged(_GOODS[sizes])


def _packaged(name: str) -> str:
    return (files("nesting.shop") / name).read_text(encoding="utf-8")


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
    # What is laid over another shop is no file of before, and leaves alone what it says nothing of. But how thick foam
    # is means nothing where its thickness is found: there it says both, as it always did.
    new = built_in is not None or _sizes(document) == "metric"
    as_meant = cushioned_as_before if new else as_before
    built_in = built_in or default_shop(_sizes(document))
    units = built_in.units
    groups = [name for name, _ in rule_groups()]
    known = ("studio", *groups, "material", "good")
    faults = [fault_in(file, key, f"[{key}]", f"one of {', '.join(known)}") for key in document if key not in known]
    told = Faults(file, row_word="table")
    changes: dict[str, Any] = {
        name: read_group(getattr(built_in, name), table, name, told, _STUDIO if name == "studio" else _WORDINGS[units])
        for name in (*groups, "studio")
        if (table := _with_units(document.get(name), units)) is not None
    }
    faults += told
    materials = read_materials(document, file, faults) if "material" in document else built_in.materials
    own = {good.good: good for good in read_goods(document, file, materials, faults, units)}
    gone = {
        entry.get("good")
        for entry in tables(document.get("good", []))
        if entry.get("stocked") is False and isinstance(entry.get("good"), str)
    }
    goods = [own.pop(good.good, good) for good in built_in.goods if good.good not in gone]
    goods += [good for name, good in own.items() if name not in gone]
    shop = as_meant(replace(built_in, goods=tuple(goods), materials=materials, **changes), document)
    faults += _unfit_goods(shop, document, file)
    faults += [*_trimmed_away(shop, file), *_named_twice(shop, file)]
    if faults:
        raise FaultsFound(faults)
    return shop


def _sizes(document: Mapping[str, Any]) -> UnitSystem:
    """Return by which sizes a shop file goes; what is neither is told as a fault of its table."""
    studio = document.get("studio")
    return "metric" if isinstance(studio, Mapping) and studio.get("sizes") == "metric" else "inch"


def _with_units(table: Any, units: UnitSystem) -> Any:
    """Return a table whose rule for words of a hollow build says its units; all else is read in those of the file."""
    if units == "inch" or not isinstance(table, Mapping) or not isinstance(told := table.get("hollow_backs"), list):
        return table
    return {**table, "hollow_backs": [said_with_units(x, units) if isinstance(x, str) else x for x in told]}


def _unfit_goods(shop: Shop, document: Mapping[str, Any], file: str) -> Iterator[Fault]:
    """Yield a fault for every rule of the file that names a good which is not there or is of another kind.

    A rule that the file doesn't touch may name a good that it takes away: that is told when a crate needs the good.
    """
    plain = default_shop()
    built_in = plain.by_name
    for name, cls in rule_groups():
        told = document.get(name)
        for facts in rules_of(cls):
            default = _IF_ANY.get((name, facts.name), facts.default)
            meant = default if isinstance(default, tuple) else (default,)
            if not meant or any(not isinstance(each, str) or each not in built_in for each in meant):
                continue
            kind = _kind(built_in[meant[0]], plain)
            fitting = [good.good for good in shop.goods if _kind(good, shop) == kind]
            value = getattr(getattr(shop, name), facts.name)
            for each in value if isinstance(value, tuple) else (value,):
                if not each and not facts.default:
                    continue
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
    units, built_in = shop.units, default_goods(shop.units)
    lines = [
        "# The shop's facts. Delete what you do not want to change: what is missing stays as built in.",
        f"# Lengths are text with a unit: {_LENGTHS[units]}.",
        "",
        "[studio]",
        *rule_lines(shop.studio, _STUDIO),
    ]
    for name, cls in rule_groups():
        lines += ["", f"[{name}]", f"# {title_of(cls)}", *rule_lines(getattr(shop, name), _WORDINGS[units], units)]
    lines += materials_lines(shop.materials, units)
    if shop.goods != built_in:
        return "\n".join([*lines, *goods_lines(shop.goods, built_in, units)]) + "\n"
    return "\n".join(lines) + "\n\n" + _goods_text(units)
