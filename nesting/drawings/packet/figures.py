"""The last pages: what the figures of the crates are reckoned by, each kind of check once."""

from collections.abc import Iterable

from nesting.advice.check import ADVICE, Check
from nesting.crates.model import Crate
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.side_by_side import Block, column_table
from nesting.drawings.typeface import LEAST, printable, text_width, wrapped

_LEADING = 1.17
_AFTER = 4.0
"""Between a check's name and what is told of it, in points."""
_WORTH = 60.0
"""Width that is left of a line from which text goes on in it."""
Kind = tuple[str, str]
"""What checks share that are reckoned in the same way: source and limits of use."""


def kind(check: Check) -> Kind:
    """Return how a check is reckoned."""
    return check.source, check.limits_of_use


def numbers(crates: Iterable[Crate]) -> dict[Kind, int]:
    """Return a number for each kind of check, from 1, in the order of their first appearance."""
    found: dict[Kind, int] = {}
    for crate in crates:
        for check in crate.checks:
            found.setdefault(kind(check), len(found) + 1)
    return found


def _names(crates: Iterable[Crate]) -> dict[Kind, list[str]]:
    """Return what is reckoned in each way, without the piece that it is reckoned for."""
    found: dict[Kind, dict[str, None]] = {}
    for crate in crates:
        for check in crate.checks:
            name = next((check.name[: -len(f", {p}")] for p in crate.pieces if check.name.endswith(f", {p}")), "")
            found.setdefault(kind(check), {})[name or check.name] = None
    return {each: list(names) for each, names in found.items()}


def write_figures(flow: Flow, printing: Printing) -> None:
    """Write of each kind of check what it is reckoned by, and how far that goes."""
    flow.paragraph(ADVICE, size=LEAST, bold=True, after=1)
    named = _names(printing.build.crates)
    wide = (flow.width - flow.gutter) / 2
    blocks = [_block("; ".join(named[each]), _told(each), wide) for each in numbers(printing.build.crates)]
    column_table(flow, 2, [Column("", 1.0)], [], blocks)


def _told(each: Kind) -> str:
    """Write formula and source of a kind of check, then how far they go."""
    source, limits = (text.rstrip(".") for text in each)
    return f"{source}. Limits: {limits}." if limits else f"{source}."


def _block(name: str, told: str, wide: float) -> Block:
    """Return what is told of one kind of check: its name heavy, the rest going on in the same line."""
    heavy = wrapped(printable(f"{name}:"), LEAST, wide, bold=True)
    used = text_width(heavy[-1], LEAST, bold=True) + _AFTER
    first = wrapped(printable(told), LEAST, wide - used)[0] if wide - used > _WORTH else ""
    rest = printable(told)[len(first) :].strip()
    lines = wrapped(rest, LEAST, wide) if rest else []
    high = (len(heavy) + len(lines)) * LEAST * _LEADING

    def write(flow: Flow) -> None:
        y = flow.y
        for text in heavy:
            y -= LEAST * _LEADING
            flow.put(flow.left, y + 2, text, size=LEAST, bold=True)
        flow.put(flow.left + used, y + 2, first, size=LEAST)
        for text in lines:
            y -= LEAST * _LEADING
            flow.put(flow.left, y + 2, text, size=LEAST)

    return Block(high + 2, write)
