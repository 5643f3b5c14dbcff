"""The table of steps: what is done, beside it drill and stop, screw and check, and a caution right under it."""

from collections.abc import Sequence

from nesting.crates.model import Step
from nesting.drawings.packet.page import Flow
from nesting.drawings.typeface import printable, text_width, wrapped

_SIZE = 8.3
_LEAD = 9.6
_NUMBER = 18.0
_BESIDE = 0.5
"""What stands beside a step takes this part of the width."""
_GAP = 10.0
_APART = 5.0
"""Before the word of a field that follows another on its line, in points."""

Words = list[tuple[float, str, bool]]
"""A line: each word with how far from its start it stands, and whether it is bold."""


def steps_table(flow: Flow, steps: Sequence[Step]) -> None:
    """Write the steps, numbered, none of them divided; where nothing stands beside any of them they take the width."""
    room = flow.width - _NUMBER
    beside = room * _BESIDE if any(any(told for _, told in _fields(step)) for step in steps) else 0.0
    wide = room - beside - (_GAP if beside else 0.0)
    flow.need(40)
    flow.rule(flow.left, flow.left + flow.width, flow.y, bold=True)
    flow.y -= 2
    for number, step in enumerate(steps, start=1):
        done = wrapped(printable(step.text), _SIZE, wide)
        caution = wrapped(printable(step.caution), _SIZE, wide, bold=True) if step.caution else []
        fields = _run(_fields(step), beside)
        high = max(len(done) + len(caution), len(fields)) * _LEAD
        flow.need(high + 3)
        flow.put(flow.left + 13, flow.y - _LEAD + 1.8, str(number), size=_SIZE, bold=True, anchor="end")
        left = flow.left + _NUMBER
        for index, text in enumerate([*done, *caution], start=1):
            flow.put(left, flow.y - _LEAD * index + 1.8, text, size=_SIZE, bold=index > len(done))
        for index, line in enumerate(fields, start=1):
            for x, text, bold in line:
                flow.put(left + wide + _GAP + x, flow.y - _LEAD * index + 1.8, text, size=_SIZE, bold=bold)
        flow.y -= high + 1.4
        flow.rule(flow.left, flow.left + flow.width, flow.y)
        flow.y -= 0.4
    flow.space(5)


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
