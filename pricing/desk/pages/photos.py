"""Photos of pieces: read defensively, made small, and written anew, so that nothing but the picture is kept."""

import io
from threading import Lock
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint
from pricing.desk.content import CellChange, Content, content_from
from pricing.desk.desk import Desk, job_paper
from pricing.desk.pages.common import checked, told
from pricing.desk.steps import marked
from pricing.store import Conflict, Document

_SIDE: Final = 1200
_MOST_PIXELS: Final = 60_000_000
_ONE_AT_A_TIME: Final = Lock()
"""A large picture takes hundreds of megabytes while it is decoded: several at once must not take all that there is."""


def small(data: bytes) -> bytes:
    """Return a picture as a JPEG of at most 1200 pixels a side, upright, without whatever else the file held.

    Raises
    ------
    BadRequestError
        When it is no picture, or a monstrous one.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with (
            _ONE_AT_A_TIME,
            Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP", "GIF", "TIFF")) as picture,
        ):
            _refuse_monster(picture.width * picture.height)
            picture.draft("RGB", (_SIDE, _SIDE))  # a JPEG is decoded at a fraction of its size
            upright = ImageOps.exif_transpose(picture).convert("RGB")
            upright.thumbnail((_SIDE, _SIDE))
            out = io.BytesIO()
            upright.save(out, "JPEG", quality=82)
            return out.getvalue()
    except BadRequestError:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        _refuse_monster(_MOST_PIXELS + 1)
        raise
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise BadRequestError("this is no picture that can be read: JPEG, PNG, WEBP, GIF or TIFF") from error


def _refuse_monster(points: int) -> None:
    if points > _MOST_PIXELS:
        raise BadRequestError("the picture has more than 60 million points; send a smaller one")


def keep(call: Call[Desk]) -> Response:
    """Keep a photo, or take it out; a change of the job like any other, with the same way back.

    It goes on top of whatever else was changed meanwhile; only where the photo itself was, both are offered.
    """
    job, piece, had = call.number("job"), checked(call.text("piece"), "piece"), call.number("had")
    call.desk.store.jobs.get(job)
    picture = 0 if call.text("remove") else _picture(call)
    what = f"photo of {piece} {'taken out' if not picture else 'replaced' if had else 'added'}"
    back = f"/jobs/{job}/artworks"
    while True:
        document = call.desk.store.documents.get(job_paper(job))
        content = content_from(document.content)
        if content.photos.get(piece, 0) != had:
            return _other_photo(call, content, document, piece, picture)
        try:
            made = content.with_photo(piece, picture)
            sheaf = call.desk.save(job, made, based_on=document.revision, what=marked("artworks", what))
        except Conflict:
            continue  # something else was saved by a hair sooner: on top of that, then
        return call.json(told(call, sheaf)) if call.wants_json else call.go(back)


def _picture(call: Call[Desk]) -> int:
    """Return the number of the picture that was sent, or was sent before and is sent again."""
    if call.text("picture"):
        number = call.number("picture")
        if call.desk.store.jobs.picture(number) is None:
            raise BadRequestError("that picture is not kept")
        return number
    _, data = call.files.get("photo", ("", b""))
    if not data:
        raise BadRequestError("choose a picture")
    return call.desk.store.jobs.keep_picture(small(data))


def _other_photo(call: Call[Desk], content: Content, document: Document, piece: str, picture: int) -> Response:
    """Tell that the photo is another one by now, and offer both."""
    now = content.photos.get(piece, 0)
    fields = {"piece": piece, "had": now, **({"picture": picture} if picture else {"remove": 1})}
    theirs = [CellChange(0, f"photo of {piece}", "as this page showed it", "another one" if now else "taken out")]
    return call.page(
        "conflict.html", 409, conflict=Conflict(document, None), theirs=theirs, fields=fields,
        what=f"Your photo of {piece}" if picture else f"The photo of {piece} taken out",
        back=f"/jobs/{call.number('job')}/artworks", action=call.request.url.path,
    )  # fmt: skip


def show(call: Call[Desk]) -> Response:
    """Send a photo."""
    job = call.number("job")
    call.desk.store.jobs.get(job)
    content = content_from(call.desk.store.documents.get(job_paper(job)).content)
    found = call.desk.store.jobs.picture(content.photos.get(call.text("piece"), 0))
    if found is None:
        raise LookupError("there is no photo of that piece")
    return Response(found, media_type="image/jpeg")


ROUTES = (
    Route("/jobs/{job:int}/photo", endpoint(show)),
    Route("/jobs/{job:int}/photo", endpoint(keep), methods=["POST"]),
)
