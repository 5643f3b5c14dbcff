"""Steps: how a small piece is wrapped and put into its carton, one numbered instruction after the other."""

from collections import Counter
from collections.abc import Mapping, Sequence

from nesting.base.measure import format_length
from nesting.crates.cartons.contents import Contents
from nesting.crates.cartons.parcel import Fit, Parcel
from nesting.crates.model import Step
from nesting.crates.shells.shell_steps import listed, rest_steps
from nesting.crates.traits import Packing
from nesting.cutting.parts import RollPart

_SIDES = (
    ("each face", ("back", "front")),
    ("the left and the right edge each", ("left", "right")),
    ("base and top each", ("base", "top")),
)


def carton_steps(
    packing: Packing,
    inner: Contents,
    fit: Fit,
    cured: tuple[str, ...],
    fill: RollPart | None,
    pads: Mapping[str, Mapping[str, int]],
) -> tuple[Step, ...]:
    """Return the steps in the order of the work.

    Parameters
    ----------
    fit : Fit
        The carton.
    cured : tuple of str
        When poured pieces may be packed.
    fill : RollPart or None
        Paper for the room that remains.
    pads : mapping of str to mapping of str to int
        For each side, how many sheets of each part its pads are made of.
    """
    room = fit.inside

    def mark(value: int) -> str:
        return format_length(value, packing.units, mark=True)

    spots = "; ".join(f"{where} {_spots(pads[sides[0]], inner.layers)}" for where, sides in _SIDES if sides[0] in pads)
    steps = [
        Step(
            f"Glue the pads up before anything is packed: {inner.layers} sheets of "
            f"{_foams(inner)} a pad, {mark(inner.cushion)} thick on all six sides. Wanted "
            f"are, for {spots}. Glue those of the faces to the outer face of their board, at the places of the table.",
            "Hot glue is cool before anything goes near the piece.",
        )
        if inner.layers > 1
        else Step(
            f"Cut the pads of {_foams(inner)}, {mark(inner.cushion)} thick on all six sides. Wanted are, for {spots}. "
            "Glue those of the faces to the outer face of their board, at the places of the table.",
            "Hot glue is cool before anything goes near the piece.",
        ),
        Step(
            f"Make up the carton, {fit.good.title}: "
            + (
                "draw its parts out and tape them where they overlap"
                if fit.good.opens_to
                else "close and tape the bottom flaps"
            )
            + f", leave the top open ({mark(room.width)} x {mark(room.height)} x {mark(room.depth)} inside)."
        ),
        *rest_steps(cured),
    ]
    for alike in _alike(inner.parcels):
        first = alike[0]
        paper = first.wrapped.parts[0]
        who = f"{listed([each.piece for each in alike])}{', each by itself' if len(alike) > 1 else ''}"
        steps.append(
            Step(
                f"{who}: wrap in {first.paper.good.title}, {mark(paper.length)} x {mark(paper.width)}; "
                "fold the ends like a gift; tape paper to paper.",
                "Clean gloves. No tape, film, foam or bubble wrap may touch the surface: they mark it.",
            )
        )
        if first.foam:
            steps.append(Step(f"{who}: wrap in foam, {first.foam} layers, one after the other; tape foam to foam."))
    size = inner.size
    steps += _laid(packing, inner)
    steps += [
        Step(
            f"Lay a board {mark(size.width)} x {mark(size.height)}, its pads outside, on each face"
            f"{_between(packing, inner)}; tape round boards and parcel.",
            "Sand the boards' edges; dust and splinters go through paper.",
        ),
        Step(
            "Tape the pads of the edges to the boards, at the places of the table; no tape reaches the piece. Put the "
            "parcel in the middle of the carton."
        ),
    ]
    looks_to = "both sides that faces look to" if packing.carton.backs else "the side that the face looks to"
    if fill is not None:
        steps.append(Step("Crumple kraft paper into the room between pads and carton until nothing moves."))
    steps.append(
        Step(
            f"Close and tape the {'lid' if fit.good.opens_to else 'top flaps'}, two strips each way; mark it fragile "
            "and this way up, and write "
            f'"face side" on {looks_to}.',
            "To open: cut the tape shallow, lift the parcel out by its boards, open paper last with clean gloves.",
        )
    )
    return tuple(steps)


def _alike(parcels: Sequence[Parcel]) -> list[list[Parcel]]:
    """Gather the pieces that are wrapped in sheets of the same sizes, in their order."""
    found: dict[object, list[Parcel]] = {}
    for each in parcels:
        sheets = tuple((part.good, part.length, part.width) for part in each.wrapped.parts)
        found.setdefault(sheets, []).append(each)
    return list(found.values())


def _spots(sheets: Mapping[str, int], layers: int) -> str:
    """Say how many pads a side has, and of which parts; all pads of a side are equal."""
    return f"{sum(sheets.values()) // layers} of {listed([*sheets])}"


def _foams(inner: Contents) -> str:
    """Name the foam of a pad, each thickness once."""
    return listed([good.title for good in dict.fromkeys(inner.stack)])


def _between(packing: Packing, inner: Contents) -> str:
    """Say what lies between the layers of a set that is only stacked."""
    return ", a plain one between neighbours" if len(inner.parcels) > 1 and not packing.carton.foam else ""


def _laid(packing: Packing, inner: Contents) -> list[Step]:
    """Say how pieces that share a carton by a design lie: layers, rows, dividers, trays."""
    design, shop = packing.carton, packing.shop
    if not design.foam:
        return []

    def mark(value: int) -> str:
        return format_length(value, packing.units, mark=True)

    divider = shop.good(shop.carton.divider_good).title
    names = [each.piece for each in inner.parcels]
    rows = [names[at : at + design.beside] for at in range(0, len(names), design.beside)]
    order = "; ".join(f"layer {number}: {listed(row)}" for number, row in enumerate(rows, start=1))
    from_left = ", from left to right" if design.beside > 1 else ""
    steps = []
    if design.trays:
        steps.append(
            Step(
                f"Make a tray of {divider} for each piece, of the parts of the table: two sides and two ends stand on "
                "the base, taped outside. Lay each piece in its tray, its face up.",
                f"The sides reach {mark(shop.carton.tray_air)} above the face: nothing lies on it, and no two faces "
                "look at each other.",
            )
        )
    if len(names) == 1:
        return steps
    way = (
        "the first layer face down, the second face up, so that each has its back to the back of the next"
        if design.backs
        else "all faces up"
    )
    sheets = Counter(each.name for each in inner.lying.rigid)
    parted = [
        f"{count} {word}{'s' if count > 1 else ''}"
        for name, word in (("divider", "upright divider"), ("interleaf", "interleaf"))
        if (count := sheets[name])
    ]
    parts = f" Between them stand {listed(parted).replace('interleafs', 'interleaves')} of {divider}." if parted else ""
    steps.append(
        Step(
            f"Lay the pieces on the first board{from_left}, {way}: {order}.{parts}",
            "The whole is one firm unit: crumpled paper fills what is left beside a smaller piece, never over a face.",
        )
    )
    return steps
