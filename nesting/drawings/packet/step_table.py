"""The table of steps: what is done, and beside it drill and stop, screw and check, with a caution right under it."""

from collections.abc import Sequence

from nesting.crates.model import Step
from nesting.drawings.packet.page import Flow
from nesting.drawings.typeface import printable, wrapped

_SIZE = 8.5
_LEAD = 10.2
_NUMBER = 20.0
_PAD = 6.0


def steps_table(flow: Flow, steps: Sequence[Step]) -> None:
    """Write the steps, numbered; columns in which nothing stands are left out."""
    rows = [
        (each.text, "; ".join(filter(None, (each.drill, each.stop and f"stop {each.stop}"))), each.screw, each.check)
        for each in steps
    ]
    titles = ("what is done", "drill & stop", "screw", "check")
    shares = (2.5, 1.1, 1.3, 1.3)
    kept = [index for index in range(4) if index == 0 or any(row[index] for row in rows)]
    whole = sum(shares[index] for index in kept)
    room = flow.width - _NUMBER
    widths = [room * shares[index] / whole for index in kept]

    def head() -> None:
        _line(flow, "", [[titles[index]] for index in kept], widths, bold=True)

    flow.need(60)
    head()
    page = len(flow.pages)
    for number, (step, row) in enumerate(zip(steps, rows, strict=True), start=1):
        cells = [wrapped(printable(row[index]), _SIZE, width - _PAD) for index, width in zip(kept, widths, strict=True)]
        caution = wrapped(printable(step.caution), _SIZE, room - _PAD, bold=True) if step.caution else []
        flow.need((max(map(len, cells)) + len(caution)) * _LEAD + 4)
        if len(flow.pages) > page:
            head()
            page = len(flow.pages)
        _line(flow, str(number), cells, widths, caution=caution)
    flow.space(6)


def _line(  # 6 arguments: a number, the cells in their widths, and what stands under them
    flow: Flow,
    number: str,
    cells: Sequence[Sequence[str]],
    widths: Sequence[float],
    *,
    caution: Sequence[str] = (),
    bold: bool = False,
) -> None:
    """Write one row and the line under it."""
    flow.put(flow.left + 14, flow.y - _LEAD + 2, number, size=_SIZE, bold=True, anchor="end")
    x = flow.left + _NUMBER
    for lines, width in zip(cells, widths, strict=True):
        for index, text in enumerate(lines, start=1):
            flow.put(x, flow.y - _LEAD * index + 2, text, size=_SIZE, bold=bold)
        x += width
    high = max(map(len, cells))
    for index, text in enumerate(caution, start=1):
        flow.put(flow.left + _NUMBER, flow.y - _LEAD * (high + index) + 2, text, size=_SIZE, bold=True)
    flow.y -= (high + len(caution)) * _LEAD + 2
    flow.rule(flow.left, flow.left + flow.width, flow.y, bold=bold)
    flow.y -= 1.5
