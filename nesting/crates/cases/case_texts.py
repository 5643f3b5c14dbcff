"""What the packet says of outer cases, with several frames or with one."""

from typing import Final

from nesting.crates.traits import Texts

_FOOTING: Final = (
    "Leave outriggers, straps, pallet or A-frame on it until it stands where it is opened. Where one of them must come "
    "off, for a door or for the face that opens, two people hold the case from before that until the last frame is out."
)
_BACK: Final = (
    "Outriggers on where it has them, straps tight round what it stands on where it is strapped, before anybody lets "
    "go of the case."
)

TEXTS: Final = Texts(
    opening=(
        (
            "Keep the case upright, arrows up, never flat. To be lifted by {lift}, as it says above. Leave it unopened "
            "in the room where its pieces will hang for 24 hours."
        ),
        _FOOTING,
        (
            "Only one face opens: it is marked. Stand beside it, not before it: the frames may lean on it. Take its "
            "screws out from the bottom up, the top ones last, one person holding the face."
        ),
        (
            "Take out loose fillers and spacers first. Slide the travel frames out one by one, like books; note their "
            "order, their edge below, and which way they face."
        ),
        "Each frame has a page of its own: open it by that.",
    ),
    again=(
        (
            "Slide the frames in on the same edge, in the same order and facing the same way, with the same spacers; "
            "they are snug."
        ),
        "This page inside; the opening face on with all its screws, and what straps it had round it again.",
        _BACK,
    ),
    checks=(
        "Inside are {rides}, on the edge that the packing page says, snug, spacers between them.",
        "Cushion on all sides; nothing pushes on a frame's slats alone.",
        "The opening face is marked, and its screws are counted.",
    ),
)

TEXTS_OF_ONE: Final = Texts(
    opening=(
        (
            "Keep the case upright, arrows up, never flat. To be lifted by {lift}, as it says above. Leave it unopened "
            "in the room where its pieces will hang for 24 hours."
        ),
        _FOOTING,
        (
            "Only one face opens: it is marked. Stand beside it, not before it: the frame may lean on it. Take its "
            "screws out from the bottom up, the top ones last, one person holding the face."
        ),
        "Take out loose fillers first. Slide the travel frame out; note its edge below and which way it faces.",
        "The frame has a page of its own: open it by that.",
    ),
    again=(
        "Slide the frame in on the same edge, facing the same way; it is snug.",
        "This page inside; the opening face on with all its screws, and what straps it had round it again.",
        _BACK,
    ),
    checks=(
        "Inside is {rides}, on the edge that the packing page says, snug on all sides.",
        "Cushion on all sides; nothing pushes on the frame's slats alone.",
        "The opening face is marked, and its screws are counted.",
    ),
)
