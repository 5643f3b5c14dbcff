"""Photos of pieces: read defensively, made small, and written anew, so that nothing but the picture is kept."""

import io
from typing import Final

from starlette.responses import Response
from starlette.routing import Route

from pricing.desk.call import BadRequestError, Call, endpoint

_SIDE: Final = 1200
_MOST_PIXELS: Final = 60_000_000


def small(data: bytes) -> bytes:
    """Return a picture as a JPEG of at most 1200 pixels a side, upright, without whatever else the file held.

    Raises
    ------
    BadRequestError
        When it is no picture, or a monstrous one.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP", "GIF", "TIFF")) as picture:
            _refuse_monster(picture.width * picture.height)
            upright = ImageOps.exif_transpose(picture).convert("RGB")
            upright.thumbnail((_SIDE, _SIDE))
            out = io.BytesIO()
            upright.save(out, "JPEG", quality=82)
            return out.getvalue()
    except BadRequestError:
        raise
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError) as error:
        raise BadRequestError("this is no picture that can be read: JPEG, PNG, WEBP, GIF or TIFF") from error


def _refuse_monster(points: int) -> None:
    if points > _MOST_PIXELS:
        raise BadRequestError("the picture has more than 60 million points; send a smaller one")


def keep(call: Call) -> Response:
    """Keep a photo, or take it out."""
    job, piece = call.number("job"), call.text("piece")
    if call.text("remove"):
        call.desk.store.jobs.keep_photo(job, piece, None)
    else:
        _, data = call.files.get("photo", ("", b""))
        if not data:
            raise BadRequestError("choose a picture")
        call.desk.store.jobs.keep_photo(job, piece, small(data))
    return call.go(f"/jobs/{job}/artworks")


def show(call: Call) -> Response:
    """Send a photo."""
    found = call.desk.store.jobs.photo(call.number("job"), call.text("piece"))
    if found is None:
        raise LookupError("there is no photo of that piece")
    return Response(found, media_type="image/jpeg")


ROUTES = (
    Route("/jobs/{job:int}/photo", endpoint(show)),
    Route("/jobs/{job:int}/photo", endpoint(keep), methods=["POST"]),
)
