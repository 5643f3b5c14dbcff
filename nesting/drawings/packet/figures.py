"""The last pages: the figures of the crates, found of allowed, and what each kind of check is reckoned by, once."""

from collections.abc import Iterable, Mapping, Sequence

from nesting.advice.check import ADVICE, Check
from nesting.crates.model import Crate
from nesting.drawings.packet.alike import alike
from nesting.drawings.packet.figure_notes import found_of
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
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


def found(groups: Iterable[Sequence[Crate]]) -> dict[Kind, dict[str, list[str]]]:
    """Return what was found of what is allowed: by kind and name of the check, a text for each group of crates.

    A check of each piece in a crate stands under one name with those of the others. The unit stands with the name.
    """
    told: dict[Kind, dict[str, list[str]]] = {}
    for crates in groups:
        own: dict[tuple[Kind, str], list[str]] = {}
        for check in crates[0].checks:
            piece = next((each for each in crates[0].pieces if check.name.endswith(f", {each}")), "")
            name = check.name.removesuffix(f", {piece}") if piece else check.name
            name = f"{name}, {check.unit}" if check.unit and check.demand is not None else name
            told.setdefault(kind(check), {}).setdefault(name, [])
            if check.demand is not None:
                verdict = "" if check.verdict == "ok" else f" ({check.verdict})"
                own.setdefault((kind(check), name), []).append(f"{found_of(check, mark=False)}{verdict}")
        names = ", ".join(crate.crate for crate in crates)
        for (which, name), figures in own.items():
            told[which][name].append(f"{names} {', '.join(dict.fromkeys(figures))}")
    return told


def write_figures(flow: Flow, printing: Printing) -> None:
    """Write of each kind of check what was found, crate by crate, what it is reckoned by, and how far that goes."""
    flow.paragraph(f"{ADVICE} {said('figures', 'read')}", size=LEAST, bold=True, after=1)
    told = found(alike(printing.build.crates))
    wide = (flow.width - flow.gutter) / 2
    blocks = [_block(told[each], _told(each), wide) for each in numbers(printing.build.crates)]
    column_table(flow, 2, [Column("", 1.0)], [], blocks)


def _told(each: Kind) -> str:
    """Write formula and source of a kind of check, then how far they go."""
    source, limits = (text.rstrip(".") for text in each)
    return f"{source}. Limits: {limits}." if limits else f"{source}."


def _block(found: Mapping[str, Sequence[str]], told: str, wide: float) -> Block:
    """Return what is told of one kind of check: each name heavy, its figures going on in its line; then sources."""
    lines: list[tuple[float, str, bool, bool]] = []
    for name, figures in found.items():
        heavy = wrapped(printable(f"{name}:"), LEAST, wide, bold=True)
        lines += [(0.0, text, True, True) for text in heavy]
        used = text_width(heavy[-1], LEAST, bold=True) + _AFTER
        rest = printable("; ".join(figures))
        if rest and wide - used > _WORTH:
            first = wrapped(rest, LEAST, wide - used)[0]
            lines.append((used, first, False, False))
            rest = rest[len(first) :].strip()
        lines += [(0.0, text, False, True) for text in wrapped(rest, LEAST, wide)] if rest else []
    lines += [(0.0, text, False, True) for text in wrapped(printable(told), LEAST, wide)]
    high = sum(new for *_, new in lines) * LEAST * _LEADING

    def write(flow: Flow) -> None:
        y = flow.y
        for x, text, bold, new in lines:
            y -= LEAST * _LEADING if new else 0.0
            flow.put(flow.left + x, y + 2, text, size=LEAST, bold=bold)

    return Block(high + 3, write)
