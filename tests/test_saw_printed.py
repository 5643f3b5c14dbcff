"""What the packet prints for the saw is enough to cut by: its rows are followed with nothing else at hand."""

from pathlib import Path

import pytest

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import to_cut
from nesting.cutting.parts import Part
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.sheets import plans, setting_rows
from nesting.drawings.packet.side_by_side import Band
from nesting.shop.shop_file import default_shop
from pricing.output.job import read_both
from pricing.quoting.work import build_order
from tests.generated_orders import KINDS, ON
from tests.saw_simulation import limits_of
from tests.saw_text import PageError, follow, wrong

ORDERS = [("sale", seed) for seed in range(6)] + [("consignment", seed) for seed in (0, 4, 7)]


@pytest.mark.parametrize(("kind", "seed"), ORDERS)
def test_the_printed_rows_cut_the_cut_list(kind: str, seed: int, tmp_path: Path) -> None:
    order, office = read_both(KINDS[kind](seed).write(tmp_path), None, None)
    build = build_order(order, office, on=ON, search=QUICK)
    parts, _ = to_cut(build)
    for layout, plan in plans(Printing(build)):
        sheets = [(each.sheet.length, each.sheet.width, each.repeat) for each in layout.sheets]
        rows = [row.text if isinstance(row, Band) else tuple(row) for row in setting_rows(plan, Printing(build))]
        reader = follow(rows, sheets, plan.kerf, limits_of(build.shop))
        assert wrong(reader, parts[layout.good]) == []
        assert reader.panels == {}
        assert reader.number == len(plan.cuts)


LIMITS = limits_of(default_shop())
SHEETS = [(96 * INCH, 48 * INCH, 2)]
PARTS = (Part("K1.side", 60 * INCH, 20 * INCH, "ply", 4, "length"), Part("K2.rail", 11 * INCH, 5 * INCH, "ply", 4))
PAGE = (
    "Track saw, crosscut: guide at 60, 2 passes",
    ("1", "1A left", "panel 1B", "panel 1A"),
    "Table saw, rip: fence at 20, 4 passes",
    ("2–3", "1B bottom", "K1.side 2×", "offcut"),
    "Table saw, rip: fence as told, 2 passes, push block",
    ("4", "1A top", "at 5: panel 1C", "waste"),
    "Chop saw, crosscut: stop at 11, stacks of 2, 2 passes",
    ("5–6", "1C left", "K2.rail 2×", "waste"),
)


def test_a_page_written_by_hand_is_followed() -> None:
    reader = follow(PAGE, SHEETS, INCH // 8, LIMITS)
    assert wrong(reader, PARTS) == []
    assert reader.panels == {}


@pytest.mark.parametrize(
    ("row", "text", "other", "told"),
    [
        (0, "at 60", "at 61", "K1.side comes off 61 in x 20 in"),
        (2, "at 20", "at 20 1/16", "K1.side comes off 60 in x 20.0625 in"),
        (1, "1A left", "1D left", "there is no panel 1D"),
        (3, "1B", "1A", "there is no panel 1A"),
        (5, "panel 1C", "panel 1A", "there is no panel 1C"),
        (3, "K1.side", "K2.side", "K2.side: nobody wants it"),
        (3, "2×", "3×", "2 panels, 3 come off, 2 cuts"),
        (5, "at 5: panel", "panel", "where?"),
        (7, "5–6", "6–7", "cut 6–7 comes after 4"),
        (7, "waste", "panel 1C", "left on the bench: 1C"),
        (3, "offcut", "nothing", "7.75 in of 1B remain, nothing is told"),
        (2, "fence", "knob", "what is to be set?"),
        (6, "11", "60", "to be cut at 60 in"),
        (0, "Track", "Table", "Table saw at 60 in: 1A is 48 in x 96 in"),
        (2, "Table", "Chop", "Chop saw at 20 in: 1B is 60 in x 48 in"),
        (4, "Table", "Chop", "Chop saw at 5 in: 1A is 35.875 in x 48 in"),
        (6, "Chop", "Jig", "Jig saw at 11 in"),
    ],
)
def test_a_mistake_in_print_is_found(row: int, text: str, other: str, told: str) -> None:
    line = PAGE[row]
    spoilt: str | tuple[str, ...] = (
        line.replace(text, other) if isinstance(line, str) else tuple(cell.replace(text, other) for cell in line)
    )
    assert spoilt != line
    try:
        reader = follow([*PAGE[:row], spoilt, *PAGE[row + 1 :]], SHEETS, INCH // 8, LIMITS)
        found = [*wrong(reader, PARTS), *(f"left on the bench: {name}" for name in reader.panels)]
    except PageError as error:
        found = [str(error)]
    assert [each for each in found if told in each], found
