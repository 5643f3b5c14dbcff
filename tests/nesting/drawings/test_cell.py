"""Cells of the packet's tables: where a word that is too wide is broken."""

import pytest

from nesting.drawings.packet.cell import Cell


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("K4.back-upright", ["K4.back-", "upright"]),
        ("K13.shim-base-2 2×", ["K13.shim-", "base-2 2×"]),
        ("K4.lid", ["K4.lid"]),
        ("K4.supercalifragilistic", ["K4.", "supercalifragili", "stic"]),
    ],
)
def test_a_name_is_broken_after_a_point_or_a_hyphen_and_leaves_no_figure_alone(text: str, lines: list[str]) -> None:
    assert list(Cell.fitted(text, 8.0, 55.0, bold=False).lines) == lines
