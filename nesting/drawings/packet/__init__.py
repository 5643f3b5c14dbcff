"""The shop packet: one PDF to print and take to the saw, the bench and the truck."""

from typing import TYPE_CHECKING

from nesting.drawings.packet.printing import BuyingLine, Days, LabelSheet, Party, Strapped, TravelPapers

if TYPE_CHECKING:
    from nesting.drawings.packet.book import packet_bytes

__all__ = ["BuyingLine", "Days", "LabelSheet", "Party", "Strapped", "TravelPapers", "packet_bytes"]

if not TYPE_CHECKING:  # a type checker would take every name for one that is there

    def __getattr__(name: str) -> object:
        """Load what prints, with all its pages, when it is asked for: most that use a packet's values print none."""
        if name != "packet_bytes":
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from nesting.drawings.packet import book

        return book.packet_bytes
