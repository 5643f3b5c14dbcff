"""The table of steps: what is done, beside it drill and stop, screw and check, and a caution right under it."""

from collections.abc import Sequence

from nesting.crates.model import Step
from nesting.drawings.packet.page import Flow
from nesting.drawings.typeface import printable, text_width, wrapped

_SIZE = 8.5
_LEAD = 10.2
_NUMBER = 20.0
_BESIDE = 0.4
"""What stands beside a step takes this part of the width."""
_GAP = 10.0
_WORDS = ("drill", "stop", "screw", "check")
_WORD = max(text_width(word, _SIZE, bold=True) for word in _WORDS) + 5.0


def steps_table(flow: Flow, steps: Sequence[Step]) -> None:
    """Write the steps, numbered, none of them divided; where nothing stands beside any of them they take the width."""
    room = flow.width - _NUMBER
    beside = room * _BESIDE if any(any(_fields(step)) for step in steps) else 0.0
    wide = room - beside - (_GAP if beside else 0.0)
    flow.need(40)
    flow.rule(flow.left, flow.left + flow.width, flow.y, bold=True)
    flow.y -= 2
    for number, step in enumerate(steps, start=1):
        done = wrapped(printable(step.text), _SIZE, wide)
        fields = [
            (word, wrapped(printable(told), _SIZE, beside - _WORD))
            for word, told in zip(_WORDS, _fields(step), strict=True)
            if told
        ]
        caution = wrapped(printable(step.caution), _SIZE, room, bold=True) if step.caution else []
        high = max(len(done), sum(len(lines) for _, lines in fields))
        flow.need((high + len(caution)) * _LEAD + 5)
        flow.put(flow.left + 14, flow.y - _LEAD + 2, str(number), size=_SIZE, bold=True, anchor="end")
        _lines(flow, flow.left + _NUMBER, flow.y, done)
        x, y = flow.left + _NUMBER + wide + _GAP, flow.y
        for word, lines in fields:
            _lines(flow, x, y, [word], bold=True)
            y = _lines(flow, x + _WORD, y, lines)
        flow.y = _lines(flow, flow.left + _NUMBER, flow.y - high * _LEAD, caution, bold=True) - 2.5
        flow.rule(flow.left, flow.left + flow.width, flow.y)
        flow.y -= 1.5
    flow.space(6)


def _fields(step: Step) -> tuple[str, str, str, str]:
    return step.drill, step.stop, step.screw, step.check


def _lines(flow: Flow, x: float, y: float, lines: Sequence[str], *, bold: bool = False) -> float:
    """Write lines from a height down, and return where they end."""
    for line in lines:
        y -= _LEAD
        flow.put(x, y + 2, line, size=_SIZE, bold=bold)
    return y
