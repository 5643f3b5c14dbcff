"""Photos as they are read: one at a time, and none that is monstrous."""

import io
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
from PIL import Image

from pricing.desk.call import BadRequestError
from pricing.desk.pages.photos import small


def _picture(width: int, height: int, kind: str = "PNG") -> bytes:
    out = io.BytesIO()
    Image.new("1", (width, height)).convert("L" if kind == "JPEG" else "1").save(out, kind)
    return out.getvalue()


def test_pictures_are_decoded_one_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten of 60 million points at once took 6.5 GB."""
    real, at_once, most = Image.open, [0], [0]

    @contextmanager
    def counting(*args: Any, **more: Any) -> Iterator[Image.Image]:
        at_once[0] += 1
        most[0] = max(most[0], at_once[0])
        with real(*args, **more) as picture:
            time.sleep(0.01)
            yield picture
        at_once[0] -= 1

    monkeypatch.setattr(Image, "open", counting)
    with ThreadPoolExecutor(4) as several:
        made = list(several.map(small, [_picture(30, 20, "JPEG")] * 8))
    assert most == [1]
    assert all(each.startswith(b"\xff\xd8") for each in made)


def test_a_monstrous_picture_is_refused_by_the_size_that_it_declares() -> None:
    data = _picture(60_001, 1000)
    began = time.process_time()
    with pytest.raises(BadRequestError, match="more than 60 million points"):
        small(data)
    assert time.process_time() - began < 1


@pytest.mark.parametrize("data", [b"", b"GIF89a", _picture(9, 9)[:40], _picture(9, 9).replace(b"IDAT", b"IDXT")])
def test_what_is_no_picture_is_told(data: bytes) -> None:
    with pytest.raises(BadRequestError, match="no picture that can be read"):
        small(data)
