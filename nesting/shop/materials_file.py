"""Materials as the shop file holds them, ``[[material]]``: read with every fault told, and written.

A table of a name that is built in states what it holds in place of what is built in; the rest stays. A figure is a
number, whose source is the table's ``source``, or ``{ value = 815.0, source = "..." }`` with a source of its own.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, Final

from nesting.base.faults import Fault
from nesting.base.measure import UnitSystem, given, shorten
from nesting.base.toml_text import toml_value
from nesting.shop.materials import Figure, Material, PropertyFacts, properties
from nesting.shop.materials_built_in import BUILT_IN, built_in, overlaid
from nesting.shop.toml_text import fault_in

_FACTS: Final = {facts.name: facts for facts in properties()}
_KEYS: Final = (*(each.name for each in fields(Material)), "source")
_N_MM2: Final = 4.4482216152605 / 645.16
"""One psi in N/mm2, exact but for its digits (pound-force and inch of NIST SP 811)."""
_SI: Final = {
    facts.name.removesuffix("_psi") + end: (facts, replace(facts, name=facts.name.removesuffix("_psi") + end, unit=unit,
        low=float(f"{facts.low * each:.3g}"), high=float(f"{facts.high * each:.3g}")), each)
    for facts in properties() if facts.name.endswith("_psi")
    for end, unit, each in (("_n_mm2", "N/mm2", _N_MM2), ("_kpa", "kPa", 1000 * _N_MM2))
    if end == ("_kpa" if facts.name.startswith(("cushion", "curve")) else "_n_mm2")
}  # fmt: skip
"""Properties in psi as they are stated in SI: the property, how it is told there, and how much of that is one psi."""
_TEXTS: Final = ("title", "back_as")
_MOST: Final = 1e9
_MARKS: Final = ("hard", "stretched")


def read_materials(document: Mapping[str, Any], file: str, faults: list[Fault]) -> tuple[Material, ...]:
    """Read every ``[[material]]`` of a document; return all materials of the shop, the built-in ones among them."""
    raw = document.get("material", [])
    if not isinstance(raw, list) or any(not isinstance(entry, Mapping) for entry in raw):
        faults.append(fault_in(file, "material", given(raw, 60), "an array of tables [[material]]"))
        return BUILT_IN
    own: dict[str, Material] = {}
    for number, entry in enumerate(raw, start=1):
        name = entry.get("material")
        if not isinstance(name, str) or not name.strip():
            found = f"no name: {shorten(repr(name))}" if "material" in entry else "no name"
            faults.append(fault_in(file, f"material {number}", found, "material, the name that goods bear"))
            continue
        if name in own:
            faults.append(fault_in(file, f"material {name}", "the same material twice", "each material once"))
        own[name] = _material(name, entry, file, faults)
    made = overlaid(tuple(own.values()))
    names = {material.material for material in made}
    for material in own.values():
        if material.back_as and material.back_as not in names:
            where = f"material {material.material}, back_as"
            faults.append(fault_in(file, where, material.back_as, "the name of a material"))
    return made


def _material(name: str, entry: Mapping[str, Any], file: str, faults: list[Fault]) -> Material:
    """Read one material, over what is built in."""
    made = built_in(name) or Material(name, words=(name,))
    source = entry.get("source", "")
    if not isinstance(source, str):
        faults.append(fault_in(file, f"material {name}, source", given(source), "text in quotes"))
        source = ""
    values: dict[str, Any] = {}
    for key, raw in entry.items():
        where = f"material {name}, {key}"
        if key in ("material", "source"):
            continue
        if key in _SI:
            facts, told, each = _SI[key]
            if facts.name in entry:
                faults.append(fault_in(file, where, f"{facts.name} too", "one of the two"))
            figure = _figure(told, raw, source, file, where, faults)
            own = figure and replace(figure, value=figure.value / each)
            if own is not None and _fits(Material(name), {facts.name: own}, file, where, faults):
                values[facts.name] = own
            continue
        if key not in _KEYS:
            found = f"the unknown key {shorten(repr(key))}"
            faults.append(fault_in(file, where, found, f"one of {', '.join(_KEYS)}"))
            continue
        before = len(faults)
        value = _value(key, raw, source, file, where, faults)
        # Each by itself first, so that one wrong value does not hide the next.
        if len(faults) == before and _fits(Material(name), {key: value}, file, where, faults):
            values[key] = value
    return replace(made, **values) if _fits(made, values, file, f"material {name}", faults) else made


def _fits(made: Material, values: Mapping[str, Any], file: str, where: str, faults: list[Fault]) -> bool:
    """Whether a material takes these values; a fault is added where it does not."""
    try:
        replace(made, **values)
    except ValueError as error:
        _, _, told = str(error).partition(": found ")
        found, _, accepted = told.rpartition("; accepted: ")
        faults.append(fault_in(file, where, found, accepted))
        return False
    return True


def _value(key: str, raw: Any, source: str, file: str, where: str, faults: list[Fault]) -> Any:
    """Turn a TOML value into a property's own kind, or add a fault."""
    facts = _FACTS.get(key)
    if facts is not None and not facts.words:
        return _figure(facts, raw, source, file, where, faults)
    if key in _MARKS:
        fits, accepted = isinstance(raw, bool), "true or false"
    elif key == "words":
        fits, accepted = _are_words(raw), 'a list of words in quotes, such as ["poplar"]'
    else:
        fits, accepted = isinstance(raw, str), f"one of {', '.join(facts.words)}" if facts else "text in quotes"
    if not fits:
        faults.append(fault_in(file, where, given(raw, text=key not in _MARKS), accepted))
        return None
    return tuple(raw) if key == "words" else raw


def _are_words(raw: Any) -> bool:
    """Whether a value is a list of words that are not empty."""
    return isinstance(raw, list) and all(isinstance(each, str) and each.strip() for each in raw)


def _figure(facts: PropertyFacts, raw: Any, source: str, file: str, where: str, faults: list[Fault]) -> Figure | None:
    """Read a figure, its source its own or its table's."""
    number, own = raw, source
    if isinstance(raw, Mapping):
        number, own = raw.get("value"), raw.get("source", source)
    extra = set(raw) - {"value", "source"} if isinstance(raw, Mapping) else set()
    plain = isinstance(number, int | float) and not isinstance(number, bool) and -_MOST <= number <= _MOST
    if not plain or not isinstance(own, str) or extra:
        unit = f" in {facts.unit}" if facts.unit else ""
        accepted = f'a number{unit}, or {{ value = a number, source = "where it comes from" }}'
        faults.append(fault_in(file, where, given(raw, text=False), accepted))
        return None
    return Figure(float(number), own)


_HEAD: Final = """
# Materials: what goods are made of. A good is refused where something is asked of its material that nobody stated, and
# of a new material nothing is known. So state what you know, each figure with where it comes from:
#
#     [[material]]
#     material = "poplar plywood"
#     source = "the maker's data sheet of 2026 (invented)"
"""


def _told(facts: PropertyFacts) -> str:
    """Return a line of the example: a property, its unit, range and meaning."""
    if facts.words:
        return f'#     {facts.name} = "..."  # {facts.told}: {", ".join(facts.words)}'
    span = f"{facts.low:.10g} to {facts.high:.10g} {facts.unit}".strip()
    return f"#     {facts.name} = ...  # {facts.told}; {span}"


def materials_lines(materials: Sequence[Material], units: UnitSystem = "inch") -> Iterator[str]:
    """Yield the lines of a shop file that say what may be stated, and what this shop states beside the built-in."""
    in_si = {facts.name: (told, each) for facts, told, each in _SI.values()} if units == "metric" else {}
    yield from _HEAD.splitlines()
    yield from (_told(in_si[facts.name][0] if facts.name in in_si else facts) for facts in properties())
    for entry in own_materials(materials):
        yield from ("", "[[material]]")
        for key, value in entry.items():
            told, each = in_si.get(key, (None, 1.0))
            stated = value if told is None else value | {"value": float(f"{value['value'] * each:.6g}")}
            yield f"{told.name if told else key} = {toml_value(stated)}"


def own_materials(materials: Sequence[Material]) -> list[dict[str, Any]]:
    """Return the tables of a shop file that state what these materials state beside the built-in ones."""
    return [_entry(material) for material in materials if built_in(material.material) != material]


def _entry(material: Material) -> dict[str, Any]:
    entry: dict[str, Any] = {}
    plain = built_in(material.material) or Material(material.material, words=(material.material,))
    for each in fields(material):
        value, standing = getattr(material, each.name), getattr(plain, each.name)
        if isinstance(value, Figure):
            entry[each.name] = {"value": value.value, "source": value.source}
        elif each.name == "material" or value != standing:
            entry[each.name] = list(value) if isinstance(value, tuple) else value
    return entry
