"""What version 0.1.0 really made: a desk's data folder, its archive, and all that it said of them.

See ``tests/fixtures/0.1.0/README.md``.
"""

import hashlib
import json
import lzma
from datetime import date
from pathlib import Path
from typing import Any, Final

PLACE: Final = Path(__file__).parents[1] / "fixtures" / "0.1.0"
FIGURES: Final[dict[str, Any]] = json.loads((PLACE / "figures.json").read_text(encoding="utf-8"))
DAY: Final = date.fromisoformat(FIGURES["today"])


def data_folder(place: Path) -> Path:
    """Put the data folder there; return it."""
    place.mkdir()
    (place / "desk.sqlite").write_bytes(lzma.decompress((PLACE / "desk.sqlite.xz").read_bytes()))
    return place


def digest(data: str | bytes) -> str:
    """Return what the figures have of a text or a file."""
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()
