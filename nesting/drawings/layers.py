"""Names of the layers that a file for a router has."""

CUTS = "CUTS"
"""Outlines of the parts."""
NAMES = "NAMES"
SHEET = "SHEET"
"""Outline of the sheet as it is bought."""
OFFCUTS = "OFFCUTS"
"""Outlines of what is kept for the rack."""
DRILL = "DRILL"
"""Holes: a point and a circle of the hole's own width at each."""
LAYERS = (SHEET, CUTS, OFFCUTS, DRILL, NAMES)
