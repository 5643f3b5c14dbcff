"""Drawings: scene values made from a build, and what renders them to SVG, DXF and the printable packet."""
