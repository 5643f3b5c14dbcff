"""What the packet says of cartons: how they are opened and packed again, and what is looked at before they close."""

from typing import Final

from nesting.crates.traits import Texts

TEXTS: Final = Texts(
    opening=(
        (
            "Lay the carton flat, face side up as marked, and leave it unopened in the room where the piece will hang "
            "for 24 hours."
        ),
        "Cut the tape only, with a shallow blade: no deeper than the cardboard.",
        (
            "Lift the parcel out by its boards. Lift works that share the carton out one after the other, each in its "
            "tray where it has one."
        ),
        "Clean gloves. Open foam, then paper, away from the face; nothing was taped to the piece.",
        "Put the piece on a clean soft table, face up, or straight on the wall.",
    ),
    again=(
        (
            "Paper first against the piece, then what lay round it, foam or a tray; boards at both faces, cushions on "
            "all six sides. No bubble wrap, plastic or tape on the piece."
        ),
        (
            "Works that share it go back as they lay, in the same order, each into its own tray where it has one, with "
            "every board and sheet that lay between them."
        ),
        "This page inside; tape the carton's seams.",
    ),
    checks=(
        "No bubble wrap, plastic or tape against the surface: paper first, then foam or a tray.",
        "Boards at both faces; the carton closes without bulging, and nothing shifts inside.",
    ),
)
