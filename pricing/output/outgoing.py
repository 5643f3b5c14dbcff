"""What goes out with a quote: each of its papers as the bytes of a file."""

import io
import zipfile
from collections.abc import Mapping
from typing import Final

from pricing.ahead.calendar.dates import plan_dates
from pricing.ahead.calendar.ics import calendar_ics
from pricing.ahead.cheaper import Cheaper
from pricing.output.handover import build_text
from pricing.output.tables import csv_files, quote_json
from pricing.quoting.quote import Quote

KINDS: Final = {
    "quote.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "packet.pdf": "application/pdf",
    "tables.zip": "application/zip",
    "quote.json": "application/json",
    "build.json": "application/json",
    "calendar.ics": "text/calendar",
    "papers.zip": "application/zip",
}
"""Every paper by name, with its media type."""
TITLES: Final = {
    "quote.xlsx": "Workbook", "packet.pdf": "Shop packet", "tables.zip": "Tables (CSV)", "quote.json": "Quote (JSON)",
    "build.json": "Build (JSON)", "calendar.ics": "Calendar file",
    "papers.zip": "Papers of the consignments",
}  # fmt: skip
"""The same in words."""


def media_type(name: str) -> str:
    """Return the media type of a file that is kept, by its ending."""
    ending = name.rpartition(".")[2]
    return next((kind for each, kind in KINDS.items() if each.endswith(f".{ending}")), "application/octet-stream")


def paper(
    quote: Quote,
    name: str,
    cheaper: Cheaper | None = None,
    sections: tuple[str, ...] = (),
    pictures: Mapping[str, bytes] | None = None,
) -> bytes:
    """Return a paper of a quote; the same gives the same bytes.

    Parameters
    ----------
    quote : Quote
        What was priced.
    name : str
        One of :data:`KINDS`.
    cheaper : Cheaper, optional
        A cheaper way, where one is known, for the workbook.
    sections : tuple of str
        Of the packet; all where none is named.
    pictures : mapping of str to bytes, optional
        Of the works, and the studio's own, for the papers of the consignments.
    """
    if name == "quote.xlsx":
        from pricing.output.workbook import workbook_bytes

        return workbook_bytes(quote, cheaper=cheaper)
    if name == "packet.pdf":
        from pricing.output.paperwork import packet_of

        return packet_of(quote, sections=sections)
    if name == "calendar.ics":
        return calendar_ics(plan_dates(quote), quote.build.order.name)
    if name == "tables.zip":
        return _zip({each: text.encode() for each, text in csv_files(quote).items()})
    if name == "papers.zip":
        from pricing.output.papers.files import papers_contents

        return _zip(papers_contents(quote, pictures))
    return (quote_json(quote) if name == "quote.json" else build_text(quote.build, quote.currency)).encode()


def _zip(contents: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in contents.items():
            packed.writestr(zipfile.ZipInfo(name), content)
    return out.getvalue()
