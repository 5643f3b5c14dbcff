"""Fractions of a millimetre in crates of a shop that goes by millimetres: every size and place that is printed.

A reading of crates alone: it knows their fields, and nothing of how they come about. What may be a fraction: what
stocked goods measure (the thickness of paper, foam wrap and panels), the work itself, the drill for a screw, the least
distance of a tip, which rests on the least thickness of panels, and the kerf.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from fractions import Fraction

from nesting.crates.model import Box, Crate
from nesting.cutting.parts import Part, RollPart
from nesting.cutting.sawing.model import Setting
from tests.generated_orders import COLUMNS, GeneratedOrder, Row

MM = 8_000
_LENGTHS = ("width", "height", "depth", "pour_depth")
_INCHES = re.compile(r"(\d+) (\d+)/(\d+)|(\d+)/(\d+)|(\d+(?:\.\d+)?)")
AXES = ("x", "y", "z", "dx", "dy", "dz")
_ODD = re.compile(r"(\d+\.\d+)(?: x [\d.]+)* mm")


def _read(match: re.Match[str]) -> Fraction:
    whole, over, under, part, of, plain = match.groups()
    if plain:
        return Fraction(plain)
    return int(whole or 0) + (Fraction(int(over), int(under)) if over else Fraction(int(part), int(of)))


def in_mm(text: str) -> str:
    """Return lengths written in inches as the nearest whole millimetres, whatever stands between them."""
    return _INCHES.sub(lambda match: str(round(_read(match) * Fraction(254, 10))), text)


def metric_row(row: Row) -> Row:
    """Return a row of an order by inches and pounds as somebody would write it who measures in millimetres."""
    made = dict(row)
    for name in (*_LENGTHS, "back"):
        if made.get(name):
            made[name] = in_mm(made[name])
    if made.get("weight"):
        pounds = Decimal(made["weight"].removesuffix(" lb"))
        made["weight"] = f"{pounds * Decimal('0.45359237'):.1f} kg"
    return made


def metric_text(order: GeneratedOrder) -> str:
    """Return a generated order as CSV in millimetres and kilograms."""
    file = io.StringIO()
    writer = csv.DictWriter(file, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(map(metric_row, order.rows))
    return file.getvalue()


def _told(value: int) -> str:
    return f"{value / MM:.7g}"


def fractions_of(crate: Crate, known: frozenset[str] = frozenset(), grain: int = MM) -> Iterator[tuple[str, str]]:
    """Yield what of a crate is no whole millimetre: what it is, and the figure.

    Parameters
    ----------
    known : frozenset of str
        Figures that texts may name, beside what the pieces measure: of goods, such as ``0.15 mm`` of a film.
    grain : int
        What thicknesses add up to in a shop that measured its sheets: half a millimetre where one is of 17.5 mm.
    """
    yield from ((what, _told(value)) for what, value in lengths_of(crate) if value % grain)
    # As it is told: to a tenth of a millimetre, halves up.
    known |= {
        f"{(20 * value + MM) // (2 * MM) / 10:g} mm"
        for _, box in crate.pieces_placed
        for value in (box.dx, box.dy, box.dz)
    }
    for what, text in _texts(crate):
        for found in _ODD.finditer(text):
            if found[0] not in known and Fraction(found[1]) * MM % grain:
                yield what, f"{found[0]} in: {text}"


def lengths_of(crate: Crate) -> Iterator[tuple[str, int]]:
    """Yield every length and place that a crate states, with what it is."""
    yield from _cut(crate)
    for placed in crate.placed:
        yield from _box(placed.role, placed.box)
        yield from ((f"outline of {placed.role}", value) for point in placed.profile for value in point)
    for _, box in (*crate.pieces_placed, *crate.rides):
        # A piece that measures a fraction lies at a whole millimetre with one of its two sides: it may be turned.
        for axis, at, long in zip(AXES, (box.x, box.y, box.z), (box.dx, box.dy, box.dz), strict=False):
            yield f"{axis} of a piece or a frame", min(at, at + long, key=lambda value: value % MM)
    for fitting in crate.gear:
        yield from _box(fitting.role, fitting.box)
    yield from _drilled(crate)
    for kind, whole in (("outside", crate.outside), ("inside", crate.inside), ("body", crate.shell)):
        yield from ((kind, value) for value in (whole.width, whole.height, whole.depth))
    yield from (("centre of gravity", value) for value in crate.centre)


def _cut(crate: Crate) -> Iterator[tuple[str, int]]:
    """Yield the sizes of what is cut."""
    parts: tuple[Part | RollPart, ...] = (*crate.parts, *crate.rolls)
    for part in parts:
        name = re.sub(r"[\d#.]+", "", part.name.split(".", 1)[-1])
        yield f"length of part {name}", part.length
        yield f"width of part {name}", part.width
    yield from ((f"length of {stick.good}", stick.length) for stick in crate.sticks)


def _drilled(crate: Crate) -> Iterator[tuple[str, int]]:
    """Yield where screws and bolts go, with their drills; not the drill for a thread, which halves are sold of."""
    for kind, drills in (("screw", crate.drill), ("screw into the piece", crate.cleat_drill)):
        for point in drills:
            yield from ((f"{axis} of {kind}", value) for axis, value in (("x", point.x), ("y", point.y)))
            if point.bores:
                yield f"clearance of {kind}", point.bores[0]
                yield f"stop of {kind}", point.bores[2]
    for bolt in crate.bolts:
        for axis, value in (("x", bolt.x), ("y", bolt.y), ("z", bolt.z), ("hole", bolt.hole), ("bore", bolt.bore)):
            yield f"{axis} of a bolt going {bolt.way}", value


def _box(role: str, box: Box) -> Iterator[tuple[str, int]]:
    numbers = box.x, box.y, box.z, box.dx, box.dy, box.dz
    yield from zip((f"{axis} of {role}" for axis in AXES), numbers, strict=True)


def _texts(crate: Crate) -> Iterator[tuple[str, str]]:
    for number, step in enumerate(crate.steps, start=1):
        yield from ((f"step {number}", text) for text in (step.text, step.caution, step.stop, step.check))
        yield f"step {number}, drill", " ".join(re.sub(r"\d+\.5 mm", "", step.drill).split())
        yield f"step {number}, screw", step.screw
    yield from (("warning", text) for text in crate.warnings)
    yield from (("layer", layer.text) for layer in crate.layers)
    yield from (("fitting", fitting.text) for fitting in crate.gear)
    yield "reason", crate.reason
    yield from ((f"note of {check.name}", check.note) for check in crate.checks)
    yield from (("held", reason.would_pass) for reason in crate.held_for)


def odd_fences(settings: Iterable[Setting], kerf: int, grain: int = MM) -> Iterator[tuple[str, str]]:
    """Yield what fence, stop or rule is set to that is no whole millimetre, nor one and the kerfs of a strip.

    The kerf and the grain are as in :func:`fractions_of`.
    """
    for setting in settings:
        if all((setting.at - count * kerf) % grain for count in range(5)):
            yield f"{setting.tool} {setting.action}{' at a bevel' if setting.bevel else ''}", _told(setting.at)
