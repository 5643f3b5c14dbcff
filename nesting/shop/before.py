"""Shop files of before: what a rule means that was written when another one did not stand beside it yet."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from nesting.shop.shop import Shop

FIXED: Final = "fixed"
"""The rule of cushions in files of before there was one: as thick as they say."""


def as_before(shop: Shop, document: Mapping[str, Any]) -> Shop:
    """Return a shop in which rules mean what they meant when its file was written."""
    return framed_as_before(cushioned_as_before(shop, document), document)


def cushioned_as_before(shop: Shop, document: Mapping[str, Any]) -> Shop:
    """Return a shop whose foam is as thick as its file says, where that says how thick and not how it is found.

    Until cases were cushioned by the limit of shock, ``cushion.thickness`` was what they got.
    """
    thick, case = (document.get(name) for name in ("cushion", "case"))
    if not isinstance(thick, Mapping) or "thickness" not in thick:
        return shop
    if isinstance(case, Mapping) and "cushion" in case:
        return shop
    return replace(shop, case=replace(shop.case, cushion=FIXED))


def framed_as_before(shop: Shop, document: Mapping[str, Any]) -> Shop:
    """Return a shop whose frames are as large as its file says, where that says nothing of smaller ones.

    Until a frame could be made smaller so that its faces come out of one sheet, ``frame.larger_by`` was what all got.
    """
    frame = document.get("frame")
    if not isinstance(frame, Mapping) or "larger_by" not in frame or "smaller_by" in frame:
        return shop
    return replace(shop, frame=replace(shop.frame, smaller_by=0))
