"""Goods as the shop file holds them, ``[[good]]``: read with every fault told, and written."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, Final

from nesting.base.faults import Fault
from nesting.base.measure import LB_KG, UnitSystem, format_length_exact, given, shorten
from nesting.base.toml_text import toml_value
from nesting.shop.goods import Good, StockSize
from nesting.shop.materials import Material
from nesting.shop.toml_text import fault_in, read_length, tables

_MOST = 100_000
_GOOD_NUMBERS = ("density", "each_g", "diameter_in", "rated_lb", "weight_spread")
_IN_METRIC: Final = {"diameter_in": ("diameter_mm", 25.4), "rated_lb": ("rated_kg", float(LB_KG))}
"""Numbers of a good that may be stated in another unit: the key there, and how many of it are one of its own."""
_FROM_METRIC: Final = {key: (name, one) for name, (key, one) in _IN_METRIC.items()}
_GOOD_LENGTHS = ("thickness", "least", "greatest", "breadth", "under")
_GOOD_SIDES = ("inside", "deck", "opens_to")


def read_goods(
    document: Mapping[str, Any],
    file: str,
    materials: Sequence[Material],
    faults: list[Fault],
    units: UnitSystem = "inch",
) -> tuple[Good, ...]:
    """Read every ``[[good]]`` of a document.

    Parameters
    ----------
    materials : sequence of Material
        Those of the shop: a good that does not say what it weighs, or whether it is raw wood, is as its material is.
    units : {"inch", "metric"}
        What lengths without a unit are in.
    """
    known = {material.material: material for material in materials}
    raw = document.get("good", [])
    if not isinstance(raw, list) or any(not isinstance(entry, Mapping) for entry in raw):
        faults.append(fault_in(file, "good", given(raw, 60), "an array of tables [[good]]"))
        return ()
    goods = []
    for number, entry in enumerate(raw, start=1):
        if entry.get("stocked") is False:
            continue
        where = f"good {entry.get('good', number)}"
        before = len(faults)
        made = _good(entry, file, where, faults, units)
        if made and len(faults) == before:
            goods.append(_as_its_material(made, known.get(made.material), entry, file, faults))
    seen: set[str] = set()
    for good in goods:
        if good.good in seen:
            faults.append(fault_in(file, f"good {good.good}", "the same good twice", "each good once"))
        seen.add(good.good)
    return tuple(goods)


def _as_its_material(
    good: Good, material: Material | None, entry: Mapping[str, Any], file: str, faults: list[Fault]
) -> Good:
    """Return the good with what it leaves to its material; an unknown material leaves it as it is."""
    if material is None:
        return good
    if lack := good.lacks(material):
        faults.append(fault_in(file, f"good {good.good}", lack, "a good as the built-in ones are written"))
    if "raw_wood" not in entry and material.is_raw:
        good = replace(good, raw_wood=True)
    if good.form != "each" and not good.density and material.density:
        good = replace(good, density=material.density.value)
    return good


def _good(entry: Mapping[str, Any], file: str, where: str, faults: list[Fault], units: UnitSystem) -> Good | None:
    """Read one good."""
    known = {each.name for each in fields(Good)} | _FROM_METRIC.keys()
    values = _in_own_units(entry, file, where, faults)
    for key, raw in entry.items():
        if key == "stocked" or key in _FROM_METRIC:
            continue
        if key not in known:
            faults.append(
                fault_in(
                    file,
                    f"{where}, {key}",
                    f"the unknown key {shorten(repr(key))}",
                    f"one of {', '.join(sorted(known))}",
                )
            )
        elif key in _GOOD_LENGTHS:
            values[key] = read_length(raw, file, f"{where}, {key}", faults, units)
        elif key in _GOOD_SIDES:
            sides = raw if isinstance(raw, list) else [raw]
            values[key] = tuple(read_length(each, file, f"{where}, {key}", faults, units) for each in sides)
        elif key == "sizes":
            values[key] = _sizes(raw, file, where, faults, units)
        elif key in _GOOD_NUMBERS:
            values[key] = _number(raw, file, f"{where}, {key}", faults)
        else:
            values[key] = raw
    missing = {"good", "title", "form", "material", "sizes"} - values.keys()
    missing |= {"material"} if values.get("material") == "" else set()
    if missing:
        faults.append(
            fault_in(file, where, f"no {', '.join(sorted(missing))}", "good, title, form, material and sizes")
        )
        return None
    try:
        return Good(**values)
    except (ValueError, TypeError) as error:
        faults.append(fault_in(file, where, str(error), "a good as the built-in ones are written"))
        return None


def _in_own_units(entry: Mapping[str, Any], file: str, where: str, faults: list[Fault]) -> dict[str, Any]:
    """Read the numbers that are stated in another unit."""
    values: dict[str, Any] = {}
    for key in _FROM_METRIC.keys() & entry.keys():
        name, one = _FROM_METRIC[key]
        if name in entry:
            faults.append(fault_in(file, f"{where}, {key}", f"{name} too", "one of the two"))
        values[name] = _number(entry[key], file, f"{where}, {key}", faults) / one
    return values


def _number(raw: Any, file: str, where: str, faults: list[Fault]) -> float:
    """Read a plain number, zero or more."""
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw < _MOST:
        faults.append(fault_in(file, where, given(raw, text=False), f"a number from 0 to {_MOST}"))
        return 0.0
    return float(raw)


_SUCH_A_SIZE: Final[Mapping[UnitSystem, str]] = {
    "inch": 'such as { stock = "ply-3/8 4x8", length = "96 in", width = "48 in" }',
    "metric": 'such as { stock = "ply-9 1220x2440", length = "2440 mm", width = "1220 mm" }',
}


def _sizes(raw: Any, file: str, where: str, faults: list[Fault], units: UnitSystem) -> tuple[StockSize, ...]:
    """Read the stock sizes of a good."""
    sizes = []
    for entry in tables(raw):
        extra = set(entry) - {"stock", "length", "width", "holds"}
        holds = entry.get("holds", 1)
        if (
            extra
            or not isinstance(entry.get("stock"), str)
            or isinstance(holds, bool)
            or not isinstance(holds, int)
            or holds < 1
        ):
            faults.append(fault_in(file, f"{where}, sizes", repr(dict(entry)), _SUCH_A_SIZE[units]))
            continue
        length, width = (
            read_length(entry[side], file, f"{where}, sizes", faults, units) if side in entry else 0
            for side in ("length", "width")
        )
        sizes.append(StockSize(entry["stock"], length, width, holds))
    if not sizes:
        faults.append(fault_in(file, f"{where}, sizes", given(raw, 60), "at least one stock size"))
    return tuple(sizes)


def good_entry(good: Good, units: UnitSystem = "inch") -> dict[str, Any]:
    """Return a good as the shop file has it."""
    entry: dict[str, Any] = {}

    def exact(value: int) -> str:
        return format_length_exact(value, units, mark=True)

    for each in fields(good):
        value = getattr(good, each.name)
        if each.name == "sizes":
            entry["sizes"] = [
                {"stock": size.stock, "holds": size.holds}
                | ({"length": exact(size.length)} if size.length else {})
                | ({"width": exact(size.width)} if size.width else {})
                for size in value
            ]
        elif each.name in _GOOD_SIDES:
            if value:
                entry[each.name] = [exact(side) for side in value]
        elif each.name in _GOOD_LENGTHS:
            if value:
                entry[each.name] = exact(value)
        elif units == "metric" and each.name in _IN_METRIC:
            if value:
                name, one = _IN_METRIC[each.name]
                entry[name] = float(f"{value * one:.6g}")
        else:
            entry[each.name] = value
    return entry


def goods_lines(goods: Sequence[Good], built_in: Sequence[Good], units: UnitSystem = "inch") -> Iterator[str]:
    """Yield the lines of a shop file that make the built-in goods these: own ones, and those no longer stocked."""
    known = {good.good: good for good in built_in}
    own = {good.good for good in goods}
    for good in goods:
        if known.get(good.good) != good:
            yield from (
                "",
                "[[good]]",
                *(f"{key} = {toml_value(value)}" for key, value in good_entry(good, units).items()),
            )
    for name in known:
        if name not in own:
            yield from ("", "[[good]]", f"good = {toml_value(name)}", "stocked = false")
