"""What the packet says of closed and battened crates, which open alike."""

from typing import Final

from nesting.crates.traits import Texts

_FIRST: Final = (
    "Stand the crate upright, arrows up, on a clear floor, and leave it unopened in the room where it will hang for 24 "
    "hours: what is inside comes to the room's temperature slowly. It falls easily: leave straps, pallet or A-frame on "
    "until it stands where it is opened, and once they are off somebody holds it upright until the piece is out."
)
_FREE: Final = (
    "Photograph the piece in the crate before you touch it.",
    (
        "Clean gloves. One person holds the piece by its edges, leaning it to the back, and does not let go until "
        "the end."
    ),
    (
        "A second person goes behind and takes out the mounting screws through the back: the bottom screws first, "
        "the top ones last. Its lower cleat stands on blocks: it cannot drop, but it can tip, so somebody holds it."
    ),
    "Lift the piece out with two hands at the sides, to a clean soft table or straight to the wall.",
)
_BACK_IN: Final = (
    (
        "Somebody holds the crate upright until its straps are tight again; it is never dragged. Vacuum it. Clean "
        "gloves. Stand the piece's lower cleat on the blocks, its cleats against the back; one person "
        "holds it."
    ),
    (
        "The same screws with the same washers in the same holes, by hand or with a clutch: the top ones first, then "
        "the bottom ones. No longer screw: it reaches the piece."
    ),
)


def _screwed(stay: str) -> Texts:
    """Say how a lid that is screwed is opened, and which screws in it stay in."""
    return Texts(
        opening=(
            _FIRST,
            (
                "Only the lid opens: it is the face without mounting screws, marked as the side that opens. Take the "
                f"screws along its edges out{stay}, with a hand driver or a slow drill, the bottom row first; hold "
                "the lid before the last ones come out, and lift it off straight. Nothing is glued to it."
            ),
            *_FREE,
        ),
        again=(
            *_BACK_IN,
            (
                "Look along the face from each side: nothing touches it. Photograph it. This page inside, lid on, all "
                "its screws."
            ),
        ),
    )


TEXTS: Final = _screwed("")
TEXTS_BATTENED: Final = _screwed(", none of those in battens")

TEXTS_BOLTED: Final = Texts(
    opening=(
        _FIRST,
        (
            "Only the lid opens: it is the face with {bolts} bolts and without mounting screws, marked as the "
            "side that opens. By hand, with {tool}: loosen all bolts half a turn first, crosswise; then take them "
            "out, the bottom row first and the two upper corners last, while somebody holds the lid. Lift it off "
            "straight: nothing is glued to it. Put the bolts into the bag that is tied to the crate, count them, "
            "and lay the lid down with its inside up."
        ),
        *_FREE,
    ),
    again=(
        *_BACK_IN,
        (
            "Look along the face from each side: nothing touches it. Photograph it. Run a finger round the gasket on "
            "the ledge: whole, clean, stuck down, its ends touching. Where it is torn or flat put on new foam of the "
            "same size, its ends butted at a lower corner, inside the bolts. This page inside."
        ),
        (
            "Lid on, the side that is marked up. Start all {bolts} bolts by hand, four turns each, before any is "
            "tightened: a bolt that does not turn freely stands crooked, take it out again. Then tighten crosswise "
            "with {tool}, from the middles of the sides to the corners, in two rounds, until the gasket is pressed "
            "to about half all round; no further and never with a driver. A T-nut that turns or drops: leave that "
            "bolt out, mark it and tell the sender."
        ),
    ),
)
"""The same for a lid that is bolted, to be opened again."""
