"""Pages of a crate: taken apart with its parts, its faces drawn, its steps and its figures."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import floor

from nesting.crates.designs import design_lines
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.drawings.crate import CrateDrawing, crate_drawing, names_of
from nesting.drawings.elevation import Elevation
from nesting.drawings.faces import Face, faces, told_parts
from nesting.drawings.packet.alike import accepted_in, alike, days_apart, without_days
from nesting.drawings.packet.drawn import DrawnFaces, bore_lines, faces_drawn
from nesting.drawings.packet.figure_notes import figure_notes
from nesting.drawings.packet.page import LEADING, Draft, Flow
from nesting.drawings.packet.part_lists import fixings_table, part_size, parts_table
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.places import places_table
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.step_table import steps_table
from nesting.drawings.scene import POINT

__all__ = ["alike", "bore_lines", "crate_pages", "crate_title", "part_size"]

_LEAST_VIEWS = (190.0, 150.0, 120.0)
_MOST_VIEW = 360.0
"""Height of a crate taken apart, in points: what its lists leave of the page, between these."""
_LONGEST = (280.0, 190.0, 155.0, 120.0, 100.0)
"""How long the longest side of its faces is drawn, in points, whatever saves a page."""
_BELOW = 26.0
"""What its caption takes, in points."""
_CARTON_VIEW = 230.0
"""The most for what has no frame and is no case: its drawn faces share the page."""
_LISTED = 0.6
"""Part of the width that the list of parts takes where the view stands beside it."""
_COARSEST = 60
"""Scale over which parts are too small to be seen beside their list."""
_ASIDE = 12.0
_LEAST_ASIDE = 110.0
"""Between list and view, and how high a list must be to have the view beside it, in points."""


def crate_title(printing: Printing, crate: Crate) -> str:
    """Return a crate's name, method and outside, for a heading."""
    size = printing.size(crate.outside.width, crate.outside.height, crate.outside.depth, mark=True)
    return f"{crate.crate}: {method_of(crate).one}, {size}"


def crate_pages(
    printing: Printing, crate: Crate, others: Sequence[Crate] = (), after: Callable[[Flow], None] | None = None
) -> Iterator[Draft]:
    """Yield the pages of one crate, from which ``others`` are made too; ``after`` writes what follows on the last one.

    Its drawings are as large as the least number of pages lets them be, of all and then of its own: no last step of
    it stands on the page of those who pack.
    """
    looks = _Looks(found=faces(crate), views={})
    best: list[Draft] = []
    fewest: tuple[int, int] | None = None
    for least in (*_LEAST_VIEWS, None):
        for longest in _LONGEST:
            flow = _written(printing, crate, others, replace(looks, least=least, longest=longest))
            own = len(flow.pages)
            if after is not None:
                after(flow)
            count = len(flow.pages), own
            if fewest is None or count < fewest:
                best, fewest = flow.pages, count
    yield from best


@dataclass(frozen=True, slots=True)
class _Looks:
    """What is drawn of a crate, and how large: its view at the least, its faces at the most; views drawn already.

    Where the view has no least height it stands beside the list of parts.
    """

    found: tuple[Face, ...]
    views: dict[tuple[float, float], CrateDrawing | None]
    elevations: dict[tuple[str, float], Elevation] = field(default_factory=dict)
    least: float | None = 0.0
    longest: float = 0.0

    def view(self, crate: Crate, width: float, height: float) -> CrateDrawing | None:
        """Draw the view; drawings of the same room are the same."""
        room = width, floor(height / 10) * 10.0
        if room not in self.views:
            self.views[room] = crate_drawing(crate, *room)
        return self.views[room]


def _written(printing: Printing, crate: Crate, others: Sequence[Crate], looks: _Looks) -> Flow:
    """Write the pages of a crate."""
    warning = accepted_in((crate, *others), printing.build.crates)
    flow = Flow(printing.paper, f"Crate {crate.crate}", crate_title(printing, crate), warning=warning)
    flow.paragraph(_facts(printing, crate), size=8.5)
    apart = days_apart((crate, *others))
    if others:
        told = ", ".join(f"{each.crate} for {', '.join(each.pieces)}" for each in others)
        kind = method_of(crate).one
        flow.paragraph(
            f"{len(others) + 1} are made alike, from these pages: {crate.crate}, and {told}. The parts of each bear "
            f"the name of their own {kind} instead of {crate.crate}; each has its own boxes to check it by.",
            bold=True,
        )
    if crate.warnings:
        warnings = "; ".join(without_days(text) if apart else text for text in crate.warnings)
        flow.paragraph(f"Know before you build: {warnings}.", size=8.5)
    numbers = _view(flow, printing, crate, looks)
    faces_drawn(flow, printing, crate, DrawnFaces(looks.found, numbers, looks.longest, looks.elevations))
    if not method_of(crate).hangs:
        alone = crate.pieces if looks.found and not crate.rides and len(crate.pieces) == 1 else ()
        places_table(flow, printing, crate, numbers, but={*told_parts(looks.found), *alone})
    flow.heading("Step by step", keep=90)
    flow.paragraph(said("caution", "bench"), size=8.5, bold=True)
    steps = [replace(step, text=without_days(step.text)) for step in crate.steps] if apart else crate.steps
    steps_table(flow, steps)
    figure_notes(flow, crate.checks)
    return flow


def _facts(printing: Printing, crate: Crate) -> str:
    """Return what a crate is for, its inside and its weight, and why it was chosen, in one paragraph."""
    called = printing.build.order.called()
    told = [f"For {', '.join(called.get(piece, piece) for piece in crate.pieces)}."]
    if crate.destination:
        told.append(f"To {crate.destination}.")
    if crate.inside_of:
        told.append(f"Rides inside {crate.inside_of}.")
    inside = printing.size(crate.inside.width, crate.inside.height, crate.inside.depth, mark=True)
    spread = f" ± {printing.weight(crate.spread_kg)}" if crate.spread_kg else ""
    net, tare, gross = (printing.weight(kg) for kg in (crate.net_kg, crate.tare_kg, crate.gross_kg))
    told.append(f"Inside {inside} (width × height × depth). Net {net}, tare {tare}, gross {gross}{spread}.")
    told.append(f"Why this way: {crate.reason.rstrip('.')}.")
    return " ".join((*told, *design_lines(crate, printing.units)))


def _view(flow: Flow, printing: Printing, crate: Crate, looks: _Looks) -> dict[str, int]:
    """Set the view in with the lists, and return what its numbers stand for.

    It is as high as the lists below it leave room for; where that is little, screws and fixings go to the next page.
    """
    kind = method_of(crate)
    numbers = {name: index for index, name in enumerate(names_of(crate), start=1)}
    if numbers and looks.least is None and _aside(flow, printing, crate, looks, numbers):
        fixings_table(flow, printing, crate)
        return numbers
    least = looks.least or _LEAST_VIEWS[-1]
    most = _MOST_VIEW if kind.hangs or kind.is_case else _CARTON_VIEW
    parts, both = (_height(printing, crate, numbers, depths=kind.hangs, fixings=each) for each in (False, True))
    if numbers:
        lists = both if flow.room - both - _BELOW >= least else parts
        room = min(most, max(least, flow.room - lists - _BELOW - 10))
        drawing = looks.view(crate, flow.width, room)
        if drawing is not None:
            flow.drawing(drawing.scene, after=2)
            flow.paragraph(_taken_apart(drawing), size=8)
    parts_table(flow, printing, crate, numbers, depths=kind.hangs)
    flow.need(min(both - parts, _MOST_VIEW))
    fixings_table(flow, printing, crate)
    return numbers


def _taken_apart(drawing: CrateDrawing) -> str:
    told = (
        f"Taken apart, drawn 1:{drawing.scene.scale:g} across the line of sight. Back at the rear, front towards you; "
        "every part is moved straight out of its place."
    )
    return f"{told} A dashed line leads behind other parts." if drawing.behind else told


# 5 arguments: the page, what is printed, and the crate with its drawings and numbers
def _aside(flow: Flow, printing: Printing, crate: Crate, looks: _Looks, numbers: dict[str, int]) -> bool:
    """Write the list of parts with the view at its right; return False where the page has no room for that."""
    depths = method_of(crate).hangs
    whole = flow.region
    trial = Flow(printing.paper, "", "")
    trial.regions[0] = replace(whole, width=whole.width * _LISTED)
    start = trial.y
    parts_table(trial, printing, crate, numbers, depths=depths)
    high = start - trial.y
    if len(trial.pages) > 1 or high > flow.room or high < _LEAST_ASIDE:
        return False
    listed = whole.width * _LISTED
    beside = replace(whole, left=whole.left + listed + _ASIDE, width=whole.width - listed - _ASIDE)
    told = 5 * 8 * LEADING  # as many lines as the text under the view may take
    drawing = looks.view(crate, beside.width, max(high, _LEAST_ASIDE + told) - told)
    if drawing is None or drawing.scene.paper[0] / POINT > beside.width + 0.5 or drawing.scene.scale > _COARSEST:
        return False
    top = flow.y
    flow.regions[0] = replace(whole, width=listed)
    parts_table(flow, printing, crate, numbers, depths=depths)
    below, flow.y = flow.y, top
    flow.regions[0] = beside
    flow.drawing(drawing.scene, after=2)
    flow.paragraph(_taken_apart(drawing), size=8)
    flow.regions[0] = whole
    flow.y = min(below, flow.y)
    return True


def _height(printing: Printing, crate: Crate, numbers: dict[str, int], *, depths: bool, fixings: bool) -> float:
    """Return how much of a page the lists take, or more than it has where they take more."""
    trial = Flow(printing.paper, "", "")
    top = trial.y
    parts_table(trial, printing, crate, numbers, depths=depths)
    if fixings:
        fixings_table(trial, printing, crate)
    return top - trial.y + (len(trial.pages) - 1) * top
