"""Names of the packet's sections, by which they are asked for one by one; nothing of drawing is loaded for them."""

from collections.abc import Iterable, Mapping
from typing import Final

SECTION_NAMES: Final[Mapping[str, str]] = {
    "cover": "Cover",
    "wall": "Calendar",
    "yard": "Yard",
    "saw": "Saw",
    "labels": "Labels",
    "bench": "Crates",
    "packing": "Packing and checks",
    "opening": "Opening and return",
    "truck": "Papers",
    "figures": "Figures",
}
"""Every section in the order of the packet: its name, by the place where it is used, and its title."""


def chosen(sections: Iterable[str]) -> frozenset[str]:
    """Return the sections wanted, all of them where none is named; :class:`ValueError` says which there are."""
    wanted = frozenset(sections)
    for name in sorted(wanted.difference(SECTION_NAMES)):
        raise ValueError(f"found section {name!r}; accepted: {', '.join(SECTION_NAMES)}")
    return wanted or frozenset(SECTION_NAMES)


def listed(text: str) -> tuple[str, ...]:
    """Read names of sections with commas between them; :class:`ValueError` says which there are."""
    names = tuple(each.strip().lower() for each in text.split(",") if each.strip())
    if text.strip() and not names:
        raise ValueError(f"found no section in {text!r}; accepted: {', '.join(SECTION_NAMES)}")
    chosen(names)
    return names
