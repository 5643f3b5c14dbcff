"""Steps: how a small piece is wrapped and put into its carton, one numbered instruction after the other."""

from collections.abc import Mapping

from nesting.base.measure import format_length
from nesting.crates.cartons.parcel import Contents, Fit
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
    shop, room = packing.shop, fit.inside

    def mark(value: int) -> str:
        return format_length(value, packing.units, mark=True)

    spots = "; ".join(f"{where} {_spots(pads[sides[0]], inner.layers)}" for where, sides in _SIDES if sides[0] in pads)
    steps = [
        Step(
            f"Glue the pads up before anything is packed: {inner.layers} sheets of "
            f"{shop.good(shop.carton.cushion_good).title} a pad, {mark(inner.cushion)} thick on all six sides. Wanted "
            f"are, for {spots}. Glue those of the faces to the outer face of their board, at the places of the table.",
            "Hot glue is cool before anything goes near the piece.",
        ),
        Step(
            f"Make up the carton, {fit.good.title}: close and tape the bottom flaps, leave the top open "
            f"({mark(room.width)} x {mark(room.height)} x {mark(room.depth)} inside)."
        ),
        *rest_steps(cured),
    ]
    for each in inner.parcels:
        paper = each.wrapped.parts[0]
        steps += [
            Step(
                f"{each.piece}: wrap in {each.paper.good.title}, {mark(paper.length)} x {mark(paper.width)}; "
                "fold the ends like a gift; tape paper to paper.",
                "Clean gloves. No tape, film, foam or bubble wrap may touch the surface: they mark it.",
            ),
            Step(f"{each.piece}: wrap in foam, {each.foam} layers, one after the other; tape foam to foam."),
        ]
    size = inner.size
    between = ", a plain one between neighbours" if len(inner.parcels) > 1 else ""
    steps += [
        Step(
            f"Lay a board {mark(size.width)} x {mark(size.height)}, its pads outside, on each face{between}; tape "
            "round boards and parcel.",
            "Sand the boards' edges; dust and splinters go through paper.",
        ),
        Step(
            "Tape the pads of the edges to the boards, at the places of the table; no tape reaches the piece. Put the "
            "parcel in the middle of the carton."
        ),
    ]
    if fill is not None:
        steps.append(Step("Crumple kraft paper into the room between pads and carton until nothing moves."))
    steps.append(
        Step(
            "Close and tape the top flaps, two strips each way; mark it fragile and this way up, and write "
            '"face side" on the side that the face looks to.',
            "To open: cut the tape shallow, lift the parcel out by its boards, open paper last with clean gloves.",
        )
    )
    return tuple(steps)


def _spots(sheets: Mapping[str, int], layers: int) -> str:
    """Say how many pads of which part a side has."""
    return listed([f"{count // layers} of {part}" for part, count in sheets.items()])
