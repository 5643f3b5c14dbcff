"""Downloads: the workbook, the shop packet, the tables and the documents of a quote, as it stands or as it was sent."""

import io
import re
import tempfile
import zipfile
from math import ceil
from pathlib import Path
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from nesting.drawings.packet import BuyingLine, write_packet
from pricing.desk.call import Call, endpoint
from pricing.desk.frozen import thaw
from pricing.handover import build_text
from pricing.quote import Quote
from pricing.tables import buying, csv_files, quote_json

_KINDS: Final = {
    "quote.xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "packet.pdf": "application/pdf",
    "tables.zip": "application/zip",
    "quote.json": "application/json",
    "build.json": "application/json",
}


def current(call: Call) -> Response:
    """Make a file of the quote as it stands."""
    sheaf = call.desk.sheaf(call.number("job"))
    if sheaf.answer is None:
        raise LookupError("there is no price yet")
    return _file(call, sheaf.answer.quote)


def sent(call: Call) -> Response:
    """Make a file of a quote as it was sent."""
    return _file(call, thaw(call.desk.store.quotes.get(call.number("job"), call.number("version"))))


def _file(call: Call, quote: Quote) -> Response:
    name = call.request.path_params["name"]
    if name not in _KINDS:
        raise LookupError(f"there is no {name[:40]}; there are {', '.join(_KINDS)}")
    plain = re.sub(r"[^A-Za-z0-9]+", "-", quote.build.order.name).strip("-").lower() or "job"
    headers = {"content-disposition": f'attachment; filename="{plain}-{name}"'}
    return Response(content(quote, name), media_type=_KINDS[name], headers=headers)


def content(quote: Quote, name: str) -> bytes:
    """Return the content of a file."""
    if name == "quote.xlsx":
        from pricing.workbook import workbook_bytes

        return workbook_bytes(quote)
    if name == "packet.pdf":
        return packet(quote)
    if name == "tables.zip":
        return _zip(csv_files(quote))
    return (quote_json(quote) if name == "quote.json" else build_text(quote.build, quote.currency)).encode()


def packet(quote: Quote) -> bytes:
    """Return the shop packet with suppliers on its buying list."""
    lines = tuple(
        BuyingLine(
            row.price.supplier if row.price else "", row.title, row.stock, ceil(row.bought),
            f"{row.each} each", row.kg_each * float(row.bought),
        )
        for row in buying(quote)
    )  # fmt: skip
    with tempfile.TemporaryDirectory(prefix="casewright-") as folder:
        path = Path(folder) / "packet.pdf"
        write_packet(quote.build, path, paper="letter" if quote.build.order.units == "inch" else "a4", buying=lines)
        return path.read_bytes()


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
