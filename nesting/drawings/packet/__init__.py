"""The shop packet: one PDF to print and take to the saw, the bench and the truck."""

from nesting.drawings.packet.book import write_packet
from nesting.drawings.packet.job import BuyingLine, LabelSheet, Party, TravelPapers

__all__ = ["BuyingLine", "LabelSheet", "Party", "TravelPapers", "write_packet"]
