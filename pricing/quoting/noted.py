"""What can be noted of a job that was done: hours by operation or room, receipts by what they were for.

Hours under a room are all of that room that is not noted under one of its operations, so that nobody has to time each
screw: noted together they are what the room took.
"""

from collections.abc import Mapping
from typing import Final, get_args

from pricing.quoting.labour import TITLES, Room

OTHER: Final = "other"
"""Where whatever belongs under no other heading stands, and what was noted before there was a list."""
ROOMS: Final[Mapping[Room, str]] = {"saw": "Saw", "bench": "Bench", "packing": "Packing"}
HOURS: Final[Mapping[str, str]] = {
    **{room: f"{title}, all that is not noted by itself" for room, title in ROOMS.items()},
    **{operation: title for operation, (_, title) in TITLES.items()},
    OTHER: "Other work",
}
"""Headings of hours, and what they are called."""
RECEIPTS: Final[Mapping[str, str]] = {
    "sheets": "Sheet goods", "sticks": "Lumber", "fasteners": "Fasteners and fittings", "foam": "Foam",
    "paper": "Paper and film", "boxes": "Bought boxes", "freight": "Freight", OTHER: "Other",
}  # fmt: skip
"""Headings of receipts."""


def room_of(heading: str) -> Room | None:
    """Return the room that hours under a heading were worked in; None for other work."""
    if heading in TITLES:
        return next(room for operation, (room, _) in TITLES.items() if operation == heading)
    return next((room for room in get_args(Room) if room == heading), None)
