"""A condition report in the packet: known facts, the face to mark, lines to write on; three share a page."""

from typing import Final

from nesting.drawings.condition import COMING, CORNER, GOING, GRADES, IN, MEASURED, OUT, Report, face_size
from nesting.drawings.packet.page import Flow
from nesting.drawings.typeface import LEAST, text_width
from nesting.order import Artwork

_ROW: Final = 14.5
"""Height of a row to write in, in points: three reports share a page."""
_FACE: Final = 92.0
"""Width of the room for the face, beside the rows."""
_APART: Final = 12.0
_CLOSER: Final = 4.0
"""How much closer lines to write on stand here."""
_PHOTOGRAPHS: Final = "photographs, no."


def report_title(work: Artwork) -> str:
    """Return what stands above a work's report."""
    return f"Condition report: {work.piece}"


def write_report(flow: Flow, report: Report, *, size: str, crate: str, lender: str, accepted: str) -> None:
    """Write a report into a page's flow.

    Parameters
    ----------
    size, crate : str
        The work's, as people read them.
    lender : str
        Who owns it while it is away; empty where that is not known.
    accepted : str
        Why its crate was taken though it fails a check; empty where it passes.
    """
    made = ", ".join(fact.text for fact in report.made if fact.text)
    known = {fact.label: fact.text for fact in report.known}
    whose = f" Lent by {lender}." if lender else ""
    told = f"{report.title}{f'; {made}' if made else ''}. {size} (height × width × depth). Crate {crate}.{whose}"
    flow.paragraph(f"{told} Surface: {known['Surface']}. Shock: {known['Shock']}. {MEASURED}", after=0)
    if accepted:
        flow.paragraph(accepted, size=LEAST, bold=True, after=0)
    if lacking := [fact.label.lower() for fact in report.made if not fact.text]:
        flow.blanks(lacking)
        flow.y += _CLOSER
    _rows(flow, report)
    for time, side in ((OUT, "lender"), (IN, "borrower")):
        flow.blanks((f"{time}: date, place", "examined by", f"signature, {side}"))
        flow.y += _CLOSER


def _rows(flow: Flow, report: Report) -> None:
    """Write the rows to fill in, and the face beside them."""
    rows = ("in general", *report.aspects, _PHOTOGRAPHS)
    height = _ROW * (len(rows) + 1)
    flow.need(height)
    width = flow.width - _FACE - _APART
    middle = flow.left + width * 0.235
    second = middle + (flow.left + width - middle) / 2
    top = flow.y
    flow.put(middle + 3, top - 10.5, f"{OUT}: {GOING}", size=LEAST, bold=True)
    flow.put(second + 3, top - 10.5, f"{IN}: {COMING}", size=LEAST, bold=True)
    flow.y -= _ROW
    flow.rule(flow.left, flow.left + width, flow.y, bold=True)
    for row in rows:
        flow.put(flow.left + 2.5, flow.y - 11, row, size=8.5, bold=True)
        if row == rows[0]:
            _grades(flow, middle + 3)
            _grades(flow, second + 3)
        flow.y -= _ROW
        flow.rule(flow.left, flow.left + width, flow.y)
    for x in (middle, second):
        flow.upright(x, flow.y, top - _ROW)
    _face(flow, report.work, top, height)
    flow.space(2)


def _grades(flow: Flow, x: float) -> None:
    """Write the four grades, a box to tick before each."""
    for word in GRADES:
        flow.box(x, flow.y - 11.5, 7, 7)
        flow.put(x + 9, flow.y - 11, word, size=LEAST)
        x += text_width(word, LEAST) + 15


def _face(flow: Flow, work: Artwork, top: float, height: float) -> None:
    """Draw the face to mark, as it hangs, the corner named from which damage is measured."""
    left = flow.left + flow.width - _FACE
    wide, high = face_size(work, _FACE, height - 12)
    at, low = left + (_FACE - wide) / 2, top - 2 - (height - 12 - high) / 2 - high
    flow.box(at, low, wide, high)
    flow.put(min(at, left + _FACE - text_width(CORNER, LEAST)), low - 9, CORNER, size=LEAST)
