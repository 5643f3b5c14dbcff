"""An independent check of layouts: it replays the cuts and adds up the money with no code of the optimiser.

Only the plain attributes of the values are read; nothing is called that the optimiser wrote.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Any


class LayoutError(AssertionError):
    """What is wrong with a layout."""


def _refuse(condition: object, message: str) -> None:
    if condition:
        raise LayoutError(message)


def replay(
    node: Any, length: int, width: int, kerf: int, cut: list[tuple[str, bool, int, int]], free: list[int]
) -> None:
    """Cut a piece of length x width as told; collect the parts' sizes and the areas left over."""
    kind = type(node).__name__
    if kind == "Cut":
        _refuse(node.direction not in ("rip", "cross"), f"unknown cut {node.direction}")
        whole = width if node.direction == "rip" else length
        _refuse(not 0 < node.at <= whole, f"cut at {node.at} in a piece of {whole}")
        rest = whole - node.at - kerf
        if rest <= 0:
            _refuse(type(node.rest).__name__ != "Waste", "nothing remains, so the rest must be waste")
        if node.direction == "rip":
            replay(node.first, length, node.at, kerf, cut, free)
            if rest > 0:
                replay(node.rest, length, rest, kerf, cut, free)
        else:
            replay(node.first, node.at, width, kerf, cut, free)
            if rest > 0:
                replay(node.rest, rest, width, kerf, cut, free)
    elif kind == "PartLeaf":
        cut.append((node.part, node.turned, length, width))
    else:
        _refuse(kind not in ("Offcut", "Waste"), f"unknown leaf {kind}")
        if kind == "Offcut":
            free.append(length * width)


def price(sheet: Any, count: int) -> int:
    """Add up what `count` of a sheet cost: the break reached applies to all of them."""
    unit = sheet.cost
    for start, each in sheet.breaks:
        if count >= start:
            unit = each
    return int(unit * count)


def verify(layout: Any, parts: Sequence[Any], sheets: Sequence[Any], kerf: int) -> None:
    """Raise :class:`LayoutError` unless a layout cuts exactly the parts from the sheets and its figures are right."""
    known = {part.name: part for part in parts}
    stock = {sheet.name: sheet for sheet in sheets}
    made: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    largest = 0
    for each in layout.sheets:
        _refuse(each.repeat < 1, "a layout repeated less than once")
        _refuse(stock.get(each.sheet.name) != each.sheet, f"sheet {each.sheet.name} is not among those given")
        taken[each.sheet.name] += each.repeat
        trim = each.sheet.trim
        length = each.sheet.length - (trim.left + trim.right if trim else 0)
        width = each.sheet.width - (trim.bottom + trim.top if trim else 0)
        cut: list[tuple[str, bool, int, int]] = []
        free: list[int] = []
        replay(each.cuts, length, width, kerf, cut, free)
        largest = max(largest, *free, 0)
        for name, turned, along, across in cut:
            _refuse(name not in known, f"unknown part {name}")
            part = known[name]
            want = (part.width, part.length) if turned else (part.length, part.width)
            _refuse((along, across) != want, f"part {name} comes out {along} x {across}, not {want}")
            _refuse(turned and part.grain == "length", f"part {name} is turned against its grain")
            made[name] += each.repeat
    _refuse(made != Counter({part.name: part.count for part in parts}), f"cut {dict(made)}")
    for name, count in taken.items():
        _refuse(
            stock[name].count is not None and count > stock[name].count,
            f"only {stock[name].count} of {name}, used {count}",
        )
    cost = sum(price(stock[name], count) for name, count in taken.items())
    spend = sum(price(stock[name], count) for name, count in taken.items() if stock[name].source == "buy")
    _refuse(layout.cost != cost, f"cost told {layout.cost}, is {cost}")
    _refuse(layout.spend != spend, f"spend told {layout.spend}, is {spend}")
    _refuse(layout.bound > layout.cost, f"bound {layout.bound} above cost {layout.cost}")
    _refuse(layout.proven != (layout.bound == layout.cost - layout.over), "proven: bound equals the least cost")
    _refuse(layout.sheet_count != sum(taken.values()), "wrong number of sheets")
    _refuse(layout.offcut_area != largest, f"largest offcut told {layout.offcut_area}, is {largest}")
