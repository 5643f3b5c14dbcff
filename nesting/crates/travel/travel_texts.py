"""What the packet says of travel frames: how they are opened and packed again, and what is looked at before that."""

from typing import Final

from nesting.crates.traits import Texts

TEXTS: Final = Texts(
    opening=(
        (
            "Stand the frame upright. Its case, or the frame where it travels alone, stays unopened in the room where "
            "the piece will hang for 24 hours first."
        ),
        "Cut the film at the edge, away from the face, with a shallow blade, no deeper than the film; fold it back.",
        "Take off the slats in front: their screws out, the bottom ones first.",
        "Photograph the piece in the frame before you touch it.",
        "Clean gloves. One person holds the piece by its edges and does not let go until the end.",
        (
            "A second person goes behind and takes out the screws that hold the piece: the bottom screws first, the "
            "top ones last. They are the upper row at each pair of cleats; the lower row holds the buyer's halves and "
            "stays in. Then lift the piece up off its cleats."
        ),
        "Last, take the buyer's halves off the empty frame: screwed to the wall they hang the piece.",
    ),
    again=(
        "The buyer's halves go back on their slats first, with the same screws in the same holes.",
        (
            "Set the piece on its cleats in the frame, one person holding it; the same screws in the same holes, the "
            "top ones first."
        ),
        "Slats in front back on, nothing touching the face; fresh film outside, stapled to the frame only.",
    ),
    checks=("Film is outside the frame, stapled all round, and touches nothing inside.",),
)
