"""Steps: how a small piece is wrapped and put into its carton, one numbered instruction after the other."""

from nesting.crates.model import Size, Step
from nesting.crates.parcel import Contents
from nesting.crates.registry import Packing
from nesting.goods import Good
from nesting.measure import format_length
from nesting.parts import RollPart


def carton_steps(
    packing: Packing, inner: Contents, carton: Good, room: Size, cured: tuple[str, ...], fill: RollPart | None
) -> tuple[Step, ...]:
    """Return the steps in the order of the work.

    Parameters
    ----------
    carton : Good
        The carton, with ``room`` inside it.
    cured : tuple of str
        When poured pieces may be packed.
    fill : RollPart or None
        Paper for the room that remains.
    """
    shop = packing.shop

    def mark(value: int) -> str:
        return format_length(value, packing.units, mark=True)

    steps = [Step(text, "Resin that still cures takes an imprint of whatever lies on it.") for text in cured]
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
    steps += [
        Step(
            f"Lay a board {mark(size.width)} x {mark(size.height)} on each face"
            + (" and between neighbours" if len(inner.parcels) > 1 else "")
            + "; tape round boards and parcel.",
            "Sand the boards' edges; dust and splinters go through paper.",
        ),
        Step(
            f"Hold the pads in place with hot glue on the boards and the carton: {inner.layers} sheets of "
            f"{shop.good(shop.carton.cushion_good).title} at each spot, {mark(inner.cushion)} on all six sides.",
            "Let hot glue cool before the parcel comes near it.",
        ),
        Step(
            f"Carton {carton.title}: close and tape the bottom flaps, put the parcel in the middle "
            f"({mark(room.width)} x {mark(room.height)} x {mark(room.depth)} inside)."
        ),
    ]
    if fill is not None:
        steps.append(Step("Crumple kraft paper into the room between pads and carton until nothing moves."))
    steps.append(
        Step(
            "Close and tape the top flaps, two strips each way; mark it fragile and this way up.",
            "To open: cut the tape shallow, lift the parcel out by its boards, open paper last with clean gloves.",
        )
    )
    return tuple(steps)
