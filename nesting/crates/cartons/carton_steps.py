"""Steps: how a small piece is wrapped and put into its carton, one numbered instruction after the other."""

from collections import Counter
from collections.abc import Mapping, Sequence

from nesting.base.counts import plural
from nesting.base.measure import format_length
from nesting.crates.cartons.arrangement import MIDDLE
from nesting.crates.cartons.contents import Contents
from nesting.crates.cartons.parcel import Fit, Parcel
from nesting.crates.driving import HOT, listed, said_once
from nesting.crates.model import Step
from nesting.crates.shells.shell_steps import rest_steps
from nesting.crates.traits import Packing
from nesting.cutting.parts import RollPart
from nesting.shop.planks import layers_told

_SIDES = (
    ("each face", ("back", "front")),
    ("left and right each", ("left", "right")),
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
    spots = "; ".join(f"{where} {_spots(pads[sides[0]], inner.layers)}" for where, sides in _SIDES if sides[0] in pads)
    looks_to = "both sides that faces look to" if packing.carton.backs else "the side that the face looks to"
    steps = [
        *_pads(packing, inner, spots),
        _made_up(packing, fit),
        *rest_steps(cured),
        *_wrapped(packing, inner),
        *_laid(packing, inner),
        *_boarded(packing, inner),
    ]
    if fill is not None:
        steps.append(
            Step("Crumple kraft paper into the room between pads and carton, all round.", check="nothing moves")
        )
    steps += [
        Step(f"Close and tape the {'lid' if fit.good.opens_to else 'top flaps'}, two strips each way."),
        Step(f'Mark it fragile and this way up, and write "face side" on {looks_to}.'),
    ]
    return said_once(steps)


def _mark(packing: Packing, value: int) -> str:
    return format_length(value, packing.units, mark=True)


def _pads(packing: Packing, inner: Contents, spots: str) -> list[Step]:
    """Say how boards and pads are made."""
    thick = f"{_mark(packing, inner.cushion)} thick on all six sides"
    glue = packing.shop.good(packing.shop.joinery.foam_glue).good
    steps = [
        Step(
            "Cut boards, pads and paper by the saw pages and label each one; sand the boards' edges.",
            "Saw: guard on, push stick. Knife: fresh blade, hand behind it. Mask against dust, far from any work.",
            check="edges smooth and wiped: dust and splinters go through paper",
        )
    ]
    if inner.layers > 1:
        steps.append(
            Step(
                f"Glue each pad up with {glue}: {layers_told(inner.stack)}{_inside(inner)}.",
                HOT,
                check=f"{thick}: {spots}",
            )
        )
    else:
        steps.append(Step(f"Lay the pads out by sides: {layers_told(inner.stack)} each.", check=f"{thick}: {spots}"))
    steps.append(
        Step(
            f"Glue the pads of the faces to the outer face of their boards with {glue}, as drawn.",
            HOT,
            check="glue cool before anything goes near the piece",
        )
    )
    return steps


def _inside(inner: Contents) -> str:
    """Say which of several kinds of sheets lies next to the boards."""
    return ", the first inside" if len({good.good for good in inner.stack}) > 1 else ""


def _made_up(packing: Packing, fit: Fit) -> Step:
    """Say how the carton is set up."""
    room = fit.inside
    how = "draw its parts out, tape them where they overlap, top open" if fit.good.opens_to else (
        "close and tape the bottom flaps, top open")  # fmt: skip
    inside = " x ".join(_mark(packing, v) for v in (room.width, room.height, room.depth))
    return Step(f"Make up the carton, {fit.good.title}: {how}.", check=f"{inside} inside")


def _wrapped(packing: Packing, inner: Contents) -> list[Step]:
    """Say how the pieces are wrapped, those alike together."""
    steps = []
    for alike in _alike(inner.parcels):
        first, names = alike[0], listed([each.piece for each in alike])
        paper = first.wrapped.parts[0]
        several = len(alike) > 1
        who = f"{len(alike)} pieces, each by itself" if several else names
        which = f"{names}; " if several else ""
        size = f"{_mark(packing, paper.length)} x {_mark(packing, paper.width)}"
        steps.append(
            Step(
                f"{who}: wrap in {first.paper.good.title}, {size}; fold the ends like a gift; tape paper to paper.",
                "Clean gloves.",
                check=f"{which}no tape, film, foam or bubble wrap on the surface: they mark it",
            )
        )
        if first.foam:
            steps.append(
                Step(
                    f"{who}: wrap in foam, {plural(first.foam, 'layer')}"
                    f"{', one after the other' if first.foam > 1 else ''}; tape foam to foam.",
                    check=names if several else "",
                )
            )
    return steps


def _boarded(packing: Packing, inner: Contents) -> list[Step]:
    """Say how boards and pads come round the parcel."""
    size = inner.size
    board = f"{_mark(packing, size.width)} x {_mark(packing, size.height)}"
    shared = packing.carton.foam and len(inner.parcels) > 1
    first = (
        f"Lay the other board, {board}, on top, pads of both outside; tape round boards and parcel."
        if shared
        else f"Lay a board {board}, its pads outside, on each face{_between(packing, inner)}; tape round boards and "
        "parcel."
    )
    return [
        Step(first),
        Step(
            "Tape the pads of the edges to the boards, as drawn, and put the parcel in the middle of the carton.",
            check="no tape reaches the piece",
        ),
    ]


def _alike(parcels: Sequence[Parcel]) -> list[list[Parcel]]:
    """Gather the pieces that are wrapped in sheets of the same sizes, in their order."""
    found: dict[object, list[Parcel]] = {}
    for each in parcels:
        sheets = tuple((part.good, part.length, part.width) for part in each.wrapped.parts)
        found.setdefault(sheets, []).append(each)
    return list(found.values())


def _spots(sheets: Mapping[str, int], layers: int) -> str:
    """Say how many pads a side has, and of which parts; all pads of a side are equal."""
    return f"{sum(sheets.values()) // layers} ({', '.join(name.partition('.')[2] for name in sheets)})"


def _foams(inner: Contents) -> str:
    """Say which sheets a pad is of."""
    return layers_told(inner.stack)


def _between(packing: Packing, inner: Contents) -> str:
    """Say what lies between the layers of a set that is only stacked."""
    return ", a plain one between neighbours" if len(inner.parcels) > 1 and not packing.carton.foam else ""


def _laid(packing: Packing, inner: Contents) -> list[Step]:
    """Say how pieces that share a carton by a design lie: layers, rows, dividers, trays."""
    design, shop = packing.carton, packing.shop
    if not design.foam:
        return []

    divider = shop.good(shop.carton.divider_good).title
    names = [each.piece for each in inner.parcels]
    rows = [names[at : at + design.beside] for at in range(0, len(names), design.beside)]
    order = "; ".join(f"layer {number}: {listed(row)}" for number, row in enumerate(rows, start=1))
    from_left = ", from left to right" if design.beside > 1 else ""
    steps = []
    if design.trays:
        steps += [
            Step(
                f"Make a tray of {divider} for each piece: sides on its base, ends between them, taped outside.",
                check=f"sides reach {_mark(packing, shop.carton.tray_air)} above the face",
            ),
            Step(
                "Lay each piece in its tray, its face up.",
                check="nothing lies on a face, no two faces look at each other",
            ),
        ]
    if len(names) == 1:
        return steps
    way = "the first layer face down, the second face up, back to back" if design.backs else "all faces up"
    steps.append(Step(f"Lay the pieces on the first board{from_left}, {way}.", check=order))
    sheets = Counter(each.name for each in inner.lying.rigid)
    if middle := sheets[MIDDLE]:
        which = "over layer 1" if len(rows) == 2 else f"over {middle} layers, as drawn" if middle > 1 else "as drawn"
        steps.append(
            Step(
                f"Lay {'a middle board' if middle == 1 else 'the middle boards'} on the sides of the trays, {which}, "
                "before the next layer.",
                check="no tray can drop into the one below it",
            )
        )
    parted = [
        f"{count} {word}{'s' if count > 1 else ''}"
        for name, word in (("divider", "upright divider"), ("interleaf", "interleaf"))
        if (count := sheets[name])
    ]
    if parted:
        sheet = listed(parted).replace("interleafs", "interleaves")
        steps.append(Step(f"Put {sheet} of {divider} between them, as drawn."))
    steps.append(
        Step(
            "Crumple paper into what room is left beside a tray, never into it."
            if design.trays
            else "Crumple paper into what room is left beside a piece, never over a face.",
            check="the whole is one firm unit",
        )
    )
    return steps
