"""Pages of a crate: taken apart, its parts, the steps, screws, the drill map, and the check before it is closed."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from nesting.advice.check import ADVICE
from nesting.crates.designs import design_lines
from nesting.crates.held import accepted_line
from nesting.crates.model import Crate, Placed
from nesting.crates.registry import method_of
from nesting.cutting.parts import Part, StickPart
from nesting.drawings.crate import crate_drawing
from nesting.drawings.drill import drill_scene, half_held
from nesting.drawings.explode import gear
from nesting.drawings.packet.marking import marks_table
from nesting.drawings.packet.page import Column, Draft, Flow
from nesting.drawings.packet.phrases import lines, said
from nesting.drawings.packet.places import bolts_table, places_table
from nesting.drawings.packet.printing import Printing


def part_size(printing: Printing, part: Part | StickPart) -> str:
    """Write a part's size: length and width, or a stick's length."""
    return printing.size(part.length, part.width) if isinstance(part, Part) else printing.length(part.length)


def crate_title(printing: Printing, crate: Crate) -> str:
    """Return a crate's name, method and outside, for a heading."""
    size = printing.size(crate.outside.width, crate.outside.height, crate.outside.depth, mark=True)
    return f"{crate.crate}: {method_of(crate).one}, {size}"


def _likeness(crate: Crate) -> tuple[object, ...]:
    """Return what two crates must share to be made from the same page: all but their names and their pieces'."""

    def plain(text: str) -> str:
        for index, piece in enumerate(crate.pieces):
            text = text.replace(piece, f"piece {index}")
        return text.replace(f"{crate.crate}.", "")

    return (
        crate.method,
        crate.destination,
        crate.outside,
        crate.inside,
        tuple((plain(part.name), part.length, part.width, part.count, part.good) for part in crate.parts),
        tuple((plain(roll.name), roll.length, roll.width, roll.count, roll.good) for roll in crate.rolls),
        tuple((plain(step.text), step.caution) for step in crate.steps),
        tuple(check.sentence() for check in crate.checks),
        tuple(plain(text) for text in crate.warnings),
        crate.accepted,
    )


def alike(crates: Sequence[Crate]) -> list[tuple[Crate, ...]]:
    """Gather what is made alike where its method lets it, each group where its first stands; all others are alone."""
    groups: dict[object, list[Crate]] = {}
    for crate in crates:
        key = _likeness(crate) if method_of(crate).alike else crate.crate
        groups.setdefault(key, []).append(crate)
    return [tuple(group) for group in groups.values()]


def crate_pages(printing: Printing, crate: Crate, others: Sequence[Crate] = ()) -> Iterator[Draft]:
    """Yield the pages of one crate; of the ``others``, made alike, only the pages to check them by."""
    flow = _titled(printing, crate, f"Crate {crate.crate}", crate_title(printing, crate))
    flow.paragraph(_facts(printing, crate), size=8.5)
    if others:
        told = ", ".join(f"{each.crate} for {', '.join(each.pieces)}" for each in others)
        flow.paragraph(
            f"Made alike, from these pages: {told}. Their parts bear the name of their own {method_of(crate).one} "
            f"instead of {crate.crate}; each has its own page to check it by.",
            bold=True,
        )
    names = _drawing(flow, crate)
    _parts(flow, printing, crate, names)
    yield from flow.pages
    steps = _titled(printing, crate, f"Crate {crate.crate}, steps", f"{crate.crate}: step by step")
    _steps(steps, crate)
    yield from steps.pages
    if crate.drill:
        title = f"{crate.crate}: drill map, the back from outside"
        drill = _titled(printing, crate, f"Crate {crate.crate}, drill map", title)
        _drill(drill, printing, crate)
        yield from drill.pages
    for each in (crate, *others):
        yield from _check(printing, each)


def _titled(printing: Printing, crate: Crate, section: str, title: str) -> Flow:
    """Begin pages of a crate; where it was accepted though it fails, each says so before anything else."""
    return Flow(printing.paper, section, title, warning=accepted_line(crate))


def _check(printing: Printing, crate: Crate) -> Iterator[Draft]:
    check = _titled(printing, crate, f"Crate {crate.crate}, check", f"{crate.crate}: check before closing")
    for line in check_lines(printing, crate):
        check.tick(line, size=10)
    check.space(6)
    check.blanks(("Checked by", "date"))
    check.blanks(("Weighed, gross", "closed by"))
    yield from check.pages


def _facts(printing: Printing, crate: Crate) -> str:
    """Return what a crate is for, its inside and its weight, and why it was chosen, in one paragraph."""
    told = [f"For {', '.join(crate.pieces)}."]
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


def _drawing(flow: Flow, crate: Crate) -> tuple[str, ...]:
    """Set the view in and return the names that its numbers stand for."""
    drawing = crate_drawing(crate, flow.width, min(370.0, flow.room * 0.54))
    if drawing is None:
        return ()
    flow.drawing(drawing.scene, after=2)
    flow.paragraph(
        f"Taken apart, drawn 1:{drawing.scene.scale:g} across the line of sight. Back at the rear, front towards you; "
        "every part is moved straight out of its place.",
        size=7.5,
    )
    return drawing.names


def _parts(flow: Flow, printing: Printing, crate: Crate, names: tuple[str, ...]) -> None:
    number = {name: str(index) for index, name in enumerate(names, start=1)}
    roles: dict[str, str] = {}
    for placed in crate.placed:
        roles.setdefault(placed.part, placed.role)
    wanted: list[Part | StickPart] = [*crate.parts, *crate.sticks]
    rows = [
        [number.get(it.name, ""), it.name, str(it.count), part_size(printing, it), it.good, roles.get(it.name, "")]
        for it in wanted
    ]
    rows += [
        [
            number[name],
            name,
            "1",
            printing.size(box.dx, box.dy, box.dz),
            "",
            "rides inside" if crate.rides else "the piece",
        ]
        for name, box in crate.rides or crate.pieces_placed
        if name in number
    ]
    rows += [
        [number.get(it.part, ""), it.part, str(count), printing.size(it.box.dx, it.box.dy, it.box.dz), "", "bought"]
        for it, count in _alike(gear(crate))
    ]
    rows.sort(key=lambda row: int(row[0] or 999))
    columns = [
        Column("no.", 0.4, "end", bold=True),
        Column("part", 1.7, bold=True),
        Column("count", 0.5, "end"),
        Column(f"size, {printing.unit}", 1.5),
        Column("good", 1.1),
        Column("what it is", 1.2),
    ]
    flow.table(columns, rows)
    if crate.fixings:
        flow.heading("Screws and other fixings")
        fixing = [
            Column("count", 0.5, "end", bold=True),
            Column("fixing", 1.3),
            Column("for", 2.6),
            Column("pilot hole", 2.0),
        ]
        told = [[str(each.count), each.good, each.purpose, each.pilot or "none"] for each in crate.fixings]
        flow.table(fixing, told)
    bolts_table(flow, printing, crate)
    places_table(flow, printing, crate, number)
    marks_table(flow, printing, crate, drawn=False)


def _alike(placed: Sequence[Placed]) -> Iterator[tuple[Placed, int]]:
    """Yield each name once, with the number of its copies."""
    counts = Counter(each.part for each in placed)
    for name, first in {each.part: each for each in reversed(placed)}.items():
        yield first, counts[name]


def _steps(flow: Flow, crate: Crate) -> None:
    flow.caution(said("caution", "bench"))
    for number, step in enumerate(crate.steps, start=1):
        flow.paragraph(step.text, size=10, indent=24, mark=str(number), after=2 if step.caution else 6)
        if step.caution:
            flow.caution(step.caution, indent=24)
    if crate.warnings:
        flow.heading("Know before you build")
        for warning in crate.warnings:
            flow.paragraph(warning, mark="–", indent=12)
    if crate.checks:
        flow.heading("What the figures say", keep=60)
        flow.paragraph(ADVICE, size=8)
        for each in crate.checks:
            flow.paragraph(f"{each.sentence()}.", size=8, after=0)
            flow.paragraph(f"{each.source}; {each.limits_of_use}", size=6.5, indent=12, after=3)


def _drill(flow: Flow, printing: Printing, crate: Crate) -> None:
    flow.caution(said("caution", "drill"))
    scene = drill_scene(crate, flow.width, flow.room * 0.66, printing.units)
    if scene is None:
        return
    flow.drawing(scene, after=4)
    flow.paragraph(
        f"Drawn 1:{scene.scale:g}, seen from outside. Measure from the left edge and from the bottom edge of the back, "
        f"in {printing.unit}. Dashed: {_dashed(crate)}.",
        size=7.5,
    )
    halves = [half_held(crate, each) for each in crate.drill]
    if any(halves):
        flow.paragraph(said("drill", "halves"), bold=True)
    half = (len(crate.drill) + 1) // 2
    points = [
        [
            str(number),
            printing.length(each.x),
            printing.length(each.y),
            each.into,
            each.screw,
            *([_HOLDS[own]] if own else []),
        ]
        for number, (each, own) in enumerate(zip(crate.drill, halves, strict=True), start=1)
    ]
    columns = [
        Column("no.", 0.45, "end", bold=True),
        Column("from left", 0.85, bold=True),
        Column("from bottom", 0.9, bold=True),
        Column("into", 1.5),
        Column("screw", 1.1),
        *([Column("kind", 0.75)] if any(halves) else []),
    ]
    rows = [[*one, *(other or [""] * len(columns))] for one, other in zip_longest(points[:half], points[half:])]
    flow.table([*columns, *columns], rows, size=7.5)
    for text in bore_lines(crate):
        flow.paragraph(text, bold=True)


def _dashed(crate: Crate) -> str:
    """Say what lies behind the back."""
    pads = any(placed.role == "bearing pad" for placed in crate.placed)
    return (
        "cleats behind the back, and bearing pads, which take no screw from here" if pads else "cleats behind the back"
    )


def bore_lines(crate: Crate) -> Iterator[str]:
    """Yield which drill makes the holes of the map, where its stop stands, and to what they are opened."""
    kinds: dict[tuple[str, str, str], list[int]] = {}
    for number, each in enumerate(crate.drill, start=1):
        if each.pilot:
            kinds.setdefault((each.pilot, each.stop, each.clearance), []).append(number)
    for (pilot, stop, clearance), numbers in kinds.items():
        which = "" if len(kinds) == 1 else f" {', '.join(_runs(numbers))}"
        yield f"Pilot hole{which}: {pilot}" + (f", stop on the drill at {stop}" if stop else "")
        if clearance:
            yield f"Clearance hole{which}: {clearance}, through the back alone, with no cleat behind it"


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """Write rising numbers with those that follow each other as one: ``1 to 8``, ``11``."""
    start = numbers[0]
    for number, after in zip(numbers, (*numbers[1:], None), strict=True):
        if after != number + 1:
            yield str(number) if start == number else f"{start} to {number}"
            start = after or 0


_HOLDS = {"hanging": "buyer's", "piece": "removal"}


def _screws_in(crate: Crate) -> str:
    """Say which screws of the drill map are in, by what they hold."""
    halves = [half_held(crate, each) for each in crate.drill]
    removal, kept = halves.count("piece"), halves.count("hanging")
    if not kept:
        return f"All {len(crate.drill)} mounting screws are in"
    return (
        f"All {removal} removal screws are in, into the halves on the piece, and all {kept} screws that hold the "
        "buyer's halves (squares on the drill map)"
    )


def _surfaces(printing: Printing, crate: Crate) -> list[str]:
    """Say what is looked at on the faces: a poured or painted one is cured, a glazed one whole."""
    faces = {copy.piece: copy.surface for copy in printing.build.order.copies()}
    kinds = [faces.get(piece, "") for piece in crate.pieces]
    told = []
    if any(kind != "glazed" for kind in kinds):
        told.append(said("check", "cured"))
    if "glazed" in kinds:
        told.append(said("check", "glazed"))
    return told


def check_lines(printing: Printing, crate: Crate) -> list[str]:
    """Return what is checked before a crate is closed, by what the crate has."""
    rides = ", ".join(name for name, _ in crate.rides)
    facts = {"pieces": ", ".join(crate.pieces), "rides": rides or "all frames"}
    told = [line.format_map(facts) for line in lines("check", "every")]
    told += _surfaces(printing, crate)
    if crate.earliest_packing is not None:
        told.append(f"Not packed before {crate.earliest_packing:%Y-%m-%d %H:%M}.")
    kind = method_of(crate)
    if kind.hangs:
        told += lines("check", "hung")
    if crate.drill:
        told.append(f"{_screws_in(crate)}, of the length on the drill map, heads tight on the surface; no tip inside.")
    told += [line.format_map(facts) for line in kind.texts_for(crate).checks]
    told += lines("check", "last")
    told.append(
        f"Handling marks are on, where the packing page says: {', '.join(crate.marks)}."
        if crate.marks
        else "Its name is on."
    )
    told.append(f"Weighed; expected is about {printing.weight(crate.gross_kg)}.")
    if crate.lift:
        told.append(f"To be lifted by {crate.lift}.")
    if crate.raw_wood:
        told.append(said("check", "raw_wood"))
    return told
