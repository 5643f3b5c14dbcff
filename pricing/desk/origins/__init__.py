"""Origins: what a figure of a quote comes from, as sentences with the numbers put in and tables that lead on.

A line comes from parts on sheets, or from operations and their minutes (:mod:`~pricing.desk.origins.lines`); a piece's
share from its part of every line and step (:mod:`~pricing.desk.origins.bearing`); hours from operations, a crate's
weight from its parts (:mod:`~pricing.desk.origins.crates`); totals that are shown side by side from their lines
(:mod:`~pricing.desk.origins.side_by_side`), the price of an offer from its pieces
(:mod:`~pricing.desk.origins.offered`). Nothing is reckoned anew: every figure here is one that the quote was made of.
"""
