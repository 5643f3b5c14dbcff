"""What a crate says to people is in the units of its order, whatever it is made of."""

import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Literal

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, UnitSystem
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Back, Order
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
NAMES = sorted((name for good in SHOP.goods for name in (good.title, good.good)), key=len, reverse=True)
INCHES = re.compile(r"\b(in|inch|inches|ft|lb|lbs|lbf|psi|sq in)\b")
METRES = re.compile(r"\b(mm|cm|m|kg|N|kPa|sq cm)\b")


def piece(name: str, width: float, height: float, kg: str | None, method: str, depth: float = 1.5) -> Artwork:
    return Artwork(
        name,
        int(width * INCH),
        int(height * INCH),
        int(depth * INCH),
        weight_kg=Decimal(kg) if kg else None,
        method=method,
        support="birch panel",
        back=Back("strainer", 5 * INCH // 2, 3 * INCH // 2) if width > 20 else Back(),
        destination="Harbour Gallery",
    )


PIECES = (
    piece("A", 30, 30, "8", "closed"),
    piece("B", 60, 100, "53", "battened", 2.5),
    piece("C", 10, 10, "1", "carton", 1),
    piece("D", 48, 60, "23", "travel", 2),
    piece("E", 60, 40, None, "travel", 2),
    piece("F", 40, 50, "190", "closed", 2.5),
    piece("G", 12, 9, None, "carton", 1),
    piece("H", 60, 60, "250", "travel", 2.5),
    piece("I", 36, 48, None, "closed", 2),
)


def everything(units: UnitSystem) -> Iterator[str]:
    """Yield what is said of crates of every kind, light and heavy, and of one that no screws hold."""
    for artworks in (PIECES[:3], PIECES[3:5], PIECES[5:6], PIECES[6:7], PIECES[7:8], PIECES[8:]):
        try:
            crates = expand(Order("o", artworks, units=units), SHOP)
        except FaultsFound as found:
            yield from (text for fault in found.faults for text in (fault.found, fault.accepted))
        else:
            yield from (text for crate in crates for text in texts(crate))


def texts(crate: Crate) -> Iterator[str]:
    """Yield every text of a crate that people read, but the sources that its figures come from."""
    yield crate.reason
    yield from crate.warnings
    yield from crate.for_buyer
    for step in crate.steps:
        yield from (step.text, step.caution, step.drill, step.stop, step.screw, step.check)
    for layer in crate.layers:
        yield layer.text
    for fixing in crate.fixings:
        yield from (fixing.purpose, fixing.pilot)
    for check in crate.checks:
        yield from (check.name, check.unit, check.note, check.sentence())


def plain(text: str) -> str:
    """Return a text without the trade names of goods, which carry their own inches, and without words."""
    for name in NAMES:
        text = text.replace(name, "")
    return re.sub(r"(?<![0-9]) in\b|\bin (?=all|narrow|wood)", "", text)


@pytest.mark.parametrize(("units", "foreign"), [("metric", INCHES), ("inch", METRES)])
def test_every_text_follows_the_units_of_the_order(units: Literal["inch", "metric"], foreign: re.Pattern[str]) -> None:
    read = list(everything(units))
    assert len(read) > 300
    assert [text for text in read if foreign.search(plain(text))] == []


def clash(units: UnitSystem, **changes: object) -> str:
    """Return the only fault of the shop's rules where a group of them is changed so."""
    shop = replace(SHOP, **changes)  # type: ignore[arg-type]  # groups by name
    with pytest.raises(FaultsFound) as found:
        expand(Order("o", PIECES[:1], units=units), shop)
    (fault,) = found.value.faults
    return fault.message


def test_a_clash_of_rules_follows_the_units_of_the_order() -> None:
    tight = replace(SHOP.frame, larger_by=2 * INCH)
    short = replace(SHOP.cleats, screws=("screw 8x2-1/2",))
    for changes in ({"frame": tight}, {"cleats": short}):
        assert " in" in clash("inch", **changes)
        assert " mm" not in clash("inch", **changes)
        metric = clash("metric", **changes)
        assert " mm" in metric
        assert not re.search(r"[0-9] in\b", metric)
