"""What the packet says of closed and battened crates, which open alike."""

from typing import Final

from nesting.crates.traits import Texts

TEXTS: Final = Texts(
    opening=(
        (
            "Stand the crate upright, arrows up, on a clear floor. Let it rest a day in the room before you open it, "
            "if you can."
        ),
        (
            "Only the lid opens: it is the face without mounting screws, marked as the side that opens. Take its "
            "screws out with a hand driver or a slow drill, the bottom row first; hold the lid before the last ones "
            "come out, and lift it off straight. Nothing is glued to it."
        ),
        "Photograph the piece in the crate before you touch it.",
        (
            "Clean gloves. One person holds the piece by its edges, leaning it to the back, and does not let go until "
            "the end."
        ),
        (
            "A second person goes behind and takes out the mounting screws through the back: the bottom screws first, "
            "the top ones last. The piece stands on blocks and cannot drop, but it can tip: so somebody holds it."
        ),
        "Lift the piece out with two hands at the sides, to a clean soft table or straight to the wall.",
    ),
    again=(
        (
            "Vacuum the crate. Clean gloves. Stand the piece on the blocks, its cleats against the back; one person "
            "holds it."
        ),
        (
            "The same screws in the same holes, by hand or with a clutch: the top ones first, then the bottom ones. No"
            " longer screw: it reaches the piece."
        ),
        (
            "Look along the face from each side: nothing touches it. Photograph it. This page inside, lid on, all its "
            "screws."
        ),
    ),
)
