"""Invented spreadsheets as studios and galleries keep them: kept by people, for people, none for this program."""

import io
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from openpyxl import Workbook

from nesting.base.tables.cells import Cell


def book(*rows: Sequence[Cell], sheets: Mapping[str, Sequence[Sequence[Cell]]] | None = None) -> bytes:
    """Return a workbook with these rows on its first sheet, and more sheets."""
    made = Workbook()
    page = made.worksheets[0]
    page.title = "Inventory"
    for row in rows:
        page.append(list(row))
    for name, others in (sheets or {}).items():
        other = made.create_sheet(name)
        for row in others:
            other.append(list(row))
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


MESSY: Final[Mapping[str, bytes]] = {
    # A gallery's list with a title above, sizes to hang by, a total below and its terms under that.
    "gallery list.csv": (
        b"Invented Gallery - works on consignment,,,,,,,\n"
        b"as of 3 October 2026,,,,,,,\n"
        b",,,,,,,\n"
        b"Inv #,Artist,Title,Year,H,W,D,Retail Price (USD)\n"
        b'IG-101,A. Example,Low Tide,2024,40,30,1 1/2,"$6,800.00"\n'
        b'IG-102,A. Example,High Tide,2025,"40""","30""",1.5,"$7,200.00"\n'
        b"IG-103,A. Example,Slack Water,2025,24,24,1 3/4,TBD\n"
        b',,TOTAL (3 works),,,,,"$14,000.00"\n'
        b",,,,,,,\n"
        b"All works remain the property of the artist until paid for.,,,,,,,\n"
    ),
    # A painter's own list: titles name the works, two are untitled, weights are guesses.
    "my paintings.csv": (
        b"Painting,Width,Height,Depth,Weight,Price,Notes\n"
        b"Untitled,30,40,1.5,about 18 lb,~$2400,\n"
        b"Untitled,36,48,2,25ish,POA,drips on the left edge\n"
        b"Ember,24,30,1.5,?,1800,\n"
    ),
    # As a spreadsheet in Europe saves it: semicolons, decimal commas, its own encoding, days with the day first.
    "Werkliste.csv": (
        "Nr.;Title;Width cm;Height cm;Depth cm;Weight kg;Price EUR;Ship by\r\n"
        "1;K\u00fcste;76,2;101,6;3,8;8,5;1.200,00 \u20ac;03.11.2026\r\n"
        "2;D\u00fcne;60;60;4,5;ca. 6;950,00 \u20ac;15.11.2026\r\n"
        ";;;;;;2.150,00 \u20ac;\r\n"
    ).encode("cp1252"),
    # A workbook with a second sheet, headings in two rows, a date cell and a formula's value.
    "inventory.xlsx": book(
        ["Inventory 2026 (invented)"],
        ["Cat. No.", "Title", "Dimensions (in)", None, None, "Insurance value", "Pick-up date"],
        [None, None, "H", "W", "D", None, None],
        ["C-1", "North Light", 40, 30, 1.5, 5200, datetime(2026, 11, 20)],  # noqa: DTZ001 - a spreadsheet has no zone
        ["C-2", "South Light", 40, 30, 1.5, 4800.5, datetime(2026, 11, 20)],  # noqa: DTZ001 - a spreadsheet has no zone
        ["Total", None, None, None, None, 10000.5, None],
        sheets={"Contacts": [["Who", "Phone"], ["A. Example", "000"]]},
    ),
    # One column of sizes with both systems, which the heading orders.
    "consignment_2026.csv": (
        b"Ref,Work,Medium,Size (H x W x D),Qty,Ship to,Value\n"
        b'R1,Blue Hour,Resin on panel,"40 x 30 x 2 in. (101.6 x 76.2 x 5.1 cm)",1,Harbour Gallery,4500\n'
        b'R2,Blue Noon,Resin on panel,"36"" x 36"" x 2""",2,Harbour Gallery,3900\n'
    ),
    # Units in a row of their own, a counting column, headings repeated at a page break, subtotals by room.
    "show.csv": (
        b"#,Work,Width,Height,Depth,Weight,Price\n"
        b",,in,in,in,lb,USD\n"
        b"1,Gate,48,60,2,55,8000\n"
        b"2,Fence,48,60,2,55,8000\n"
        b",Subtotal,,,,110,16000\n"
        b"#,Work,Width,Height,Depth,Weight,Price\n"
        b"3,Stile,20,24,1.5,,1500\n"
        b",Subtotal,,,,,1500\n"
        b",Grand total,,,,110,17500\n"
    ),
    # Pasted out of a document: tabs, curly quotes, fraction signs, no price known.
    "pasted.txt": (
        "Item\tTitle\tWidth\tHeight\tThickness\tPoured\tDestination\n"
        "A\tFirst\t30\u00bd\u2033\t40\u2033\t1\u00be\u2033\t14 March 2026\tLake House\n"
        "B\tSecond\t2\u2032 6\u2033\t3\u2032\t2\u2033\tn/a\tLake House\n"
    ).encode("utf-16"),
    # Sizes in doubt and a missing count: nothing here may be assumed.
    "in doubt.csv": (b"Title,Width,Height,Depth,Qty\nWave,about 30,40,1.5,1\nSurf,30,TBD,1.5,n/a\nFoam,30,40,,2\n"),
    # Nothing says which side is which.
    "sizes.csv": (b"Inv. No.,Title,Dimensions,Price\nX1,Reed,40 x 30 x 2,900\nX2,Rush,24 x 24 x 2,700\n"),
    # A column that lacks, one that stands twice, and wrong cells: one list.
    "all at once.csv": (
        b"Inv. No.,Width,Height,Price,Price,Ship by\nX1,thirty,40,900,900,2026-02-30\nX1,30,40,lots,700,soon\n"
    ),
}
