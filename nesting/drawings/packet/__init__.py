"""The shop packet: one PDF to print and take to the saw, the bench and the truck."""

from nesting.drawings.packet.book import packet_bytes
from nesting.drawings.packet.printing import BuyingLine, Days, LabelSheet, Party, Stated, Strapped, TravelPapers

__all__ = ["BuyingLine", "Days", "LabelSheet", "Party", "Stated", "Strapped", "TravelPapers", "packet_bytes"]
