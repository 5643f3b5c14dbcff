"""What goes out with a quote: each of its papers as the bytes of a file."""

import io
import zipfile
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
}
"""Every paper by name, with its media type."""


def paper(quote: Quote, name: str, cheaper: Cheaper | None = None, sections: tuple[str, ...] = ()) -> bytes:
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
        return _zip(csv_files(quote))
    return (quote_json(quote) if name == "quote.json" else build_text(quote.build, quote.currency)).encode()


def _zip(texts: dict[str, str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in texts.items():
            packed.writestr(zipfile.ZipInfo(name), text)
    return out.getvalue()
