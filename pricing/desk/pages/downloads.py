"""Downloads: the workbook, the shop packet, the tables and the documents of a quote, as it stands or as it was sent."""

import io
import re
import zipfile
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.ahead.calendar.dates import plan_dates
from pricing.ahead.calendar.ics import calendar_ics
from pricing.desk.call import Call, endpoint
from pricing.desk.desk import Desk
from pricing.desk.frozen import thaw
from pricing.output.handover import build_text
from pricing.output.tables import csv_files, quote_json
from pricing.quoting.quote import Quote

_KINDS: Final = {
    "quote.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "packet.pdf": "application/pdf",
    "tables.zip": "application/zip",
    "quote.json": "application/json",
    "build.json": "application/json",
    "calendar.ics": "text/calendar",
}


def current(call: Call[Desk]) -> Response:
    """Make a file of the quote as it stands."""
    sheaf = call.desk.sheaf(call.number("job"))
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    return _file(call, sheaf.answer.quote)


def sent(call: Call[Desk]) -> Response:
    """Make a file of a quote as it was sent."""
    return _file(call, thaw(call.desk.store.quotes.get(call.number("job"), call.number("version"))))


def _file(call: Call[Desk], quote: Quote) -> Response:
    name = call.request.path_params["name"]
    if name not in _KINDS:
        raise LookupError(f"there is no {name[:40]}; there are {', '.join(_KINDS)}")
    plain = re.sub(r"[^A-Za-z0-9]+", "-", quote.build.order.name).strip("-").lower() or "job"
    headers = {"content-disposition": f'attachment; filename="{plain}-{name}"'}
    return Response(content(quote, name), media_type=_KINDS[name], headers=headers)


def content(quote: Quote, name: str) -> bytes:
    """Return the content of a file."""
    if name == "quote.xlsx":
        from pricing.output.workbook import workbook_bytes

        return workbook_bytes(quote)
    if name == "packet.pdf":
        from pricing.output.paperwork import packet_of

        return packet_of(quote)
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


ROUTES = (
    Route("/jobs/{job:int}/files/{name}", endpoint(current)),
    Route("/jobs/{job:int}/versions/{version:int}/files/{name}", endpoint(sent)),
)
