"""Pictures for offers: from the order's own folder, looked at before they are taken, small and bare of all else."""

from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import Final

from PIL import Image, ImageOps, UnidentifiedImageError

from nesting.base.faults import Fault, FaultsFound
from nesting.order import PHOTO_ENDINGS, PHOTOS_ACCEPTED, Order
from nesting.shop.shop import Studio
from pricing.output.offer.content import LOGO

MOST_BYTES: Final = 30_000_000
MOST_PIXELS: Final = 80_000_000
"""Fewer than those at which the library warns of its own accord."""
_MONSTER: Final = f"a picture of more than {MOST_PIXELS // 1_000_000} million points"
SIDE: Final = 240
"""Longest side of a picture as it goes out, in pixels: 30 pt on paper at 576 to the inch."""
LOGO_SIDE: Final = 600
_KINDS: Final = ("JPEG", "PNG")


def small(data: bytes, side: int = SIDE) -> bytes:
    """Return a picture made small: a JPEG, or a PNG where it is see-through, without what was stored beside it.

    Where and when it was taken, by what and by whom is written into many pictures; none of it goes out.

    Raises
    ------
    ValueError
        Where it is no picture, of another kind, or too large.
    """
    if len(data) > MOST_BYTES:
        raise ValueError(f"a file of {len(data) // 1_000_000} MB")
    try:
        with Image.open(BytesIO(data), formats=_KINDS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise ValueError(_MONSTER)
            turned = ImageOps.exif_transpose(found)
            clear = turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info
            plain = turned.convert("RGBA" if clear else "RGB")
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise ValueError(_MONSTER) from error
    except (UnidentifiedImageError, OSError, SyntaxError) as error:
        raise ValueError("a file that is no picture") from error
    plain.thumbnail((side, side), Image.Resampling.LANCZOS)
    bare = Image.new(plain.mode, plain.size)
    bare.paste(plain)
    out = BytesIO()
    if clear:
        bare.save(out, "PNG", optimize=True)
    else:
        bare.save(out, "JPEG", quality=85)
    return out.getvalue()


def read_picture(folder: Path, path: str, side: int = SIDE) -> bytes:
    """Read a picture that lies below a folder; see :func:`small`.

    Raises
    ------
    ValueError
        With what was found, where there is none that can be taken.
    """
    try:
        place = (folder / path).resolve()
        there = place.is_file()
    except (OSError, RuntimeError, ValueError) as error:  # links in a circle, a name too long, a NUL
        raise ValueError(f"{path}, which is no path") from error
    if not place.is_relative_to(folder.resolve()) or place.suffix.lower() not in PHOTO_ENDINGS:
        raise ValueError(f"{path}, which lies elsewhere")
    if not there:
        raise ValueError(f"no file {path}")
    if place.stat().st_size > MOST_BYTES:
        raise ValueError(f"{path}, a file of {place.stat().st_size // 1_000_000} MB")
    try:
        return small(place.read_bytes(), side)
    except ValueError as error:
        raise ValueError(f"{path}, {error}") from error
    except OSError as error:
        raise ValueError(f"{path}, which cannot be read") from error


def read_pictures(order: Order, folder: Path) -> dict[str, bytes]:
    """Read the pictures that an order names, by piece, from its own folder.

    Raises
    ------
    FaultsFound
        Each that cannot be taken.
    """
    found: dict[str, bytes] = {}
    faults = []
    for artwork in order.artworks:
        if artwork.photo:
            try:
                found[artwork.piece] = read_picture(folder, artwork.photo)
            except ValueError as error:
                faults.append(Fault(order.source or order.name, artwork.row, "photo", str(error), PHOTOS_ACCEPTED))
    if faults:
        raise FaultsFound(faults)
    return found


def offer_pictures(order: Order, folder: Path, studio: Studio, studio_folder: Path | None) -> dict[str, bytes]:
    """Read all that the offers of an order show: its pictures, and the studio's own from its folder.

    Raises
    ------
    FaultsFound
        Each that cannot be taken.
    """
    faults: list[Fault] = []
    found: dict[str, bytes] = {}
    try:
        found = read_pictures(order, folder)
    except FaultsFound as error:
        faults += error.faults
    if studio.logo and studio_folder is not None:
        try:
            found[LOGO] = read_picture(studio_folder, studio.logo, LOGO_SIDE)
        except ValueError as error:
            faults.append(Fault("shop.toml", None, "studio.logo", str(error), "a picture beside shop.toml"))
    if faults:
        raise FaultsFound(faults)
    return found


def taken(pictures: Iterable[tuple[str, bytes]]) -> dict[str, bytes]:
    """Return stored pictures by piece, made small; what cannot be read any more is left out."""
    found = {}
    for piece, data in pictures:
        try:
            found[piece] = small(data)
        except ValueError:
            continue
    return found
