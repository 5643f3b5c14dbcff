"""The table of steps: what is done, beside it drill and stop, screw and check, and a caution right under it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from nesting.crates.model import Step
from nesting.drawings.packet.page import Flow
from nesting.drawings.typeface import printable, text_width, wrapped

_SIZE = 8.0
_LEAD = 9.4
_NUMBER = 18.0
_SPLITS = (0.5, 0.46, 0.54, 0.42, 0.58)
"""What stands beside a step takes this part of the width: the first at which the table is lowest."""
_GAP = 10.0
_APART = 5.0
"""Before the word of a field that follows another on its line, in points."""

Words = list[tuple[float, str, bool]]
"""A line: each word with how far from its start it stands, and whether it is bold."""


def steps_table(flow: Flow, steps: Sequence[Step]) -> None:
    """Write the steps, numbered, none of them divided; where nothing stands beside a step it takes the width."""
    tried = (_tried(steps, flow.width - _NUMBER, split) for split in _SPLITS)
    wide, rows = min(tried, key=lambda each: sum(row.high for row in each[1]))
    flow.need(40)
    flow.rule(flow.left, flow.left + flow.width, flow.y, bold=True)
    flow.y -= 2
    left = flow.left + _NUMBER
    for number, row in enumerate(rows, start=1):
        flow.need(row.high + 3)
        flow.put(left - 5, flow.y - _LEAD + 1.8, str(number), size=_SIZE, bold=True, anchor="end")
        for start, written in ((left, row.done), (left + wide + _GAP, row.beside)):
            for index, line in enumerate(written, start=1):
                for x, text, bold in line:
                    flow.put(start + x, flow.y - _LEAD * index + 1.8, text, size=_SIZE, bold=bold)
        flow.y -= row.high + 1.4
        flow.rule(flow.left, flow.left + flow.width, flow.y)
        flow.y -= 0.4
    flow.space(5)


@dataclass(frozen=True, slots=True)
class _Row:
    """A step in lines: what is done at the left, what stands beside it."""

    done: list[Words]
    beside: list[Words]

    @property
    def high(self) -> float:
        return max(len(self.done), len(self.beside)) * _LEAD


def _tried(steps: Sequence[Step], room: float, split: float) -> tuple[float, list[_Row]]:
    """Break the steps into lines, what stands beside them taking that part of the width; return the rest of it too."""
    beside = room * split
    wide = room - beside - _GAP
    return wide, [_row(step, room, wide, beside) for step in steps]


@lru_cache(maxsize=4096)  # as wide as they were the last time that the pages of a crate were tried
def _row(step: Step, room: float, wide: float, beside: float) -> _Row:
    """Set a step out, its caution under what is done or under what stands beside it: where it takes fewer lines."""
    fields = _run(_fields(step), beside)
    if not (fields or step.caution):
        return _Row(_plain(step.text, room), [])
    done = _plain(step.text, wide)
    if not step.caution:
        return _Row(done, fields)
    under = _Row([*done, *_plain(step.caution, wide, bold=True)], fields)
    aside = _Row(done, [*fields, *_plain(step.caution, beside, bold=True)])
    return min(under, aside, key=lambda each: each.high)


def _plain(text: str, room: float, *, bold: bool = False) -> list[Words]:
    return [[(0.0, line, bold)] for line in wrapped(printable(text), _SIZE, room, bold=bold)]


def _fields(step: Step) -> tuple[tuple[str, str], ...]:
    """Return what stands beside a step, each with its word; the stop is on the drill."""
    stop = f"stop {step.stop}" if step.stop else ""
    drill = ", ".join(filter(None, (step.drill, stop)))
    return ("drill", drill), ("screw", step.screw), ("check", step.check)


def _run(fields: Sequence[tuple[str, str]], room: float) -> list[Words]:
    """Break fields into lines, one after the other, each begun with its word in bold."""
    made: list[Words] = []
    x = room
    space = text_width(" ", _SIZE)
    for name, told in fields:
        words = printable(told).split()
        for index, word in enumerate([name, *words] if words else []):
            bold = index == 0
            wide = text_width(word, _SIZE, bold=bold)
            # The word of a field never ends a line: what it names begins beside it.
            wanted = wide + (space + text_width(words[0], _SIZE) if bold else 0.0)
            start = x + (_APART if bold else space)
            if start + wanted > room or not made:
                made.append([])
                start = 0.0
            line = made[-1]
            if line and not bold and not line[-1][2]:
                line[-1] = (line[-1][0], f"{line[-1][1]} {word}", False)
            else:
                line.append((start, word, bold))
            x = start + wide
    return made
