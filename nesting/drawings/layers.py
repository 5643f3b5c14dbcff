"""Names of the layers that a file for a router has."""

CUTS = "CUTS"
NAMES = "NAMES"
