"""Hypothesis strategies that tests share: lengths, artworks, orders."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from string import ascii_letters, digits
from typing import Any
from unicodedata import normalize

from hypothesis import strategies as st

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.crates.registry import askable
from nesting.order import (
    AUTO,
    GREATEST_SIDE,
    SURFACES,
    Artwork,
    Back,
    Order,
)
from nesting.shop.materials import Figure

POPLAR: dict[str, float | str] = {
    "density": 430.0,
    "bending_along_psi": 700.0,
    "bending_across_psi": 150.0,
    "stiffness_along_psi": 1_000_000.0,
    "stiffness_across_psi": 60_000.0,
    "gravity": 0.38,
    "group": 4.0,
    "cushion_low_psi": 0.4,
    "cushion_high_psi": 1.2,
    "surface": "wood",
    "wood": "processed",
    "cut_by": "saw",
}
"""Properties of an invented poplar plywood, which nobody ever made a cushion of."""


def invented_properties(stated: Iterable[str], source: str = "invented") -> dict[str, Any]:
    """Return these properties of the invented poplar plywood, as a material takes them."""
    return {
        name: Figure(value, source) if isinstance(value := POPLAR[name], float) else value
        for name in stated
        if name in POPLAR
    }


def lengths(low: int = 1, high: int = GREATEST_SIDE) -> st.SearchStrategy[int]:
    """Lengths on the exact grid: any, and more often those that people write (1/32 in, 0.5 mm)."""

    def steps(step: int) -> st.SearchStrategy[int]:
        return st.integers(-(-low // step), high // step).map(lambda n: n * step)

    usual = [steps(step) for step in (INCH // 32, INCH // 2, MM // 2, 5 * MM) if -(-low // step) <= high // step]
    return st.one_of(*usual, st.integers(low, high))


def weights_kg() -> st.SearchStrategy[Decimal]:
    """Weights of one copy, to the gram."""
    return st.integers(50, 200_000).map(lambda grams: Decimal(grams).scaleb(-3))


names = st.text(ascii_letters + digits + "-_.", min_size=1, max_size=12)
titles = st.text(st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp")), max_size=40).map(
    lambda t: normalize("NFC", " ".join(t.split()))
)
days = st.dates(date(2020, 1, 1), date(2040, 12, 31))
moments = st.datetimes(datetime(2020, 1, 1), datetime(2040, 12, 31)).map(  # noqa: DTZ001 - pours are told in local time
    lambda moment: moment.replace(microsecond=0)
)
money = st.integers(0, 10_000_000).map(lambda cents: Decimal(cents).scaleb(-2))


@st.composite
def backs(draw: st.DrawFn, /, width: int, height: int, depth: int) -> Back:
    """Any back for a piece of that size."""
    kind = draw(st.sampled_from(["solid", "cleated", "strainer", "strainer", "cradle"]))
    if kind in ("strainer", "cradle") and depth >= INCH // 4:
        bar = draw(lengths(INCH // 2, 6 * INCH))
        deep = draw(lengths(INCH // 8, depth))
        face = draw(st.just(0) | lengths(0, depth - deep))
        middle = draw(st.integers(0, min(4, width // bar - 2))) if width >= 2 * bar else 0
        return Back("cradle" if kind == "cradle" else "strainer", bar, deep, face, middle)
    if kind == "cleated" and depth >= INCH // 4 and height >= 4 * INCH and draw(st.booleans()):
        thick, wide = draw(lengths(INCH // 8, depth - 1)), draw(lengths(INCH // 2, min(12 * INCH, height // 4)))
        low = draw(lengths(0, height // 4))
        return Back("cleated", cleat_thickness=thick, cleat_width=wide, cleat_low=low, cleat_high=draw(lengths(0, low)))
    return Back("cleated" if kind == "cleated" else "solid")


@st.composite
def artworks(draw: st.DrawFn, /, piece: str | None = None, **fixed: Any) -> Artwork:
    """Artworks as studios make them: 4 to 120 in, flat, 1/2 to 6 in deep; ``fixed`` sets fields."""
    depth = fixed.get("depth") or draw(lengths(INCH // 2, 6 * INCH))
    width, height = (fixed.get(side) or draw(lengths(4 * INCH, 120 * INCH)) for side in ("width", "height"))
    made: dict[str, Any] = {
        "piece": piece if piece is not None else draw(names),
        "width": width,
        "height": height,
        "depth": depth,
        "title": draw(titles),
        "weight_kg": draw(st.none() | weights_kg()),
        "quantity": draw(st.just(1) | st.integers(1, 4)),
        "method": draw(st.sampled_from((AUTO, *askable()))),
        "surface": draw(st.sampled_from(SURFACES)),
        "support": draw(st.sampled_from(["", "birch panel", "canvas", "aluminium panel", "MDF"])),
        "back": draw(backs(width, height, depth)),
        "poured": draw(st.none() | days | moments),
        "pours": draw(st.integers(0, 6)),
        "pour_depth": draw(st.just(0) | lengths(1, min(depth, INCH // 2))),
        "price": draw(st.none() | money),
        "declared": draw(st.none() | money),
        "destination": draw(st.none() | st.sampled_from(["Harbour Gallery", "Hillside Gallery", "Private buyer"])),
        "ship_by": draw(st.none() | days),
        "turn": draw(st.booleans()),
        "shock_limit": draw(st.none() | st.integers(50, 5000).map(lambda tenths: Decimal(tenths).scaleb(-1))),
        "commission": draw(st.none() | st.integers(0, 950).map(lambda part: Decimal(part).scaleb(-3))),
        "buyer": draw(st.sampled_from(["", "A. Collector", "Bay Foundation"])),
        "gallery": draw(st.sampled_from(["", "Harbour Gallery"])),
        "artist": draw(st.sampled_from(["", "The studio's own", "Zoë Ångström"])),
        "year": draw(st.sampled_from(["", "2026", "2024 to 2026"])),
        "medium": draw(st.sampled_from(["", "resin and pigment on birch panel"])),
        "edition": draw(st.sampled_from(["", "3 of 8"])),
        "least_price": draw(st.none() | money),
        "production_cost": draw(st.none() | money),
        "photo": draw(st.sampled_from(["", "photos/one.jpg", "two three.PNG"])),
    }
    return Artwork(**(made | fixed))


@st.composite
def orders(draw: st.DrawFn, /, least: int = 1, most: int = 6, **fixed: Any) -> Order:
    """Orders of a few artworks with unlike names; ``fixed`` sets fields of every artwork."""
    pieces = draw(st.lists(names, min_size=least, max_size=most, unique_by=str.casefold))
    works = tuple(draw(artworks(piece=piece, **fixed)) for piece in pieces)
    units: UnitSystem = draw(st.sampled_from(["inch", "metric"]))
    return Order("an order", works, units, "USD", cushion=draw(st.sampled_from(["", "checked", "fixed"])))


@st.composite
def studio_orders(draw: st.DrawFn, /, most: int = 4) -> Order:
    """Orders as studios send them: sizes, backs and methods that go together, so that nearly all can be packed."""
    works = []
    for number in range(1, draw(st.integers(1, most)) + 1):
        small = draw(st.booleans())
        width, height = (
            draw(st.integers(4 if small else 24, 23 if small else 66)) * INCH
            + draw(st.sampled_from([0, INCH // 2, INCH // 8, 3 * MM]))
            for _ in range(2)
        )
        solid = small or draw(st.booleans())
        works.append(
            Artwork(
                f"A-{number:02d}",
                width,
                min(height, 48 * INCH),
                2 * INCH,
                title=draw(titles),
                weight_kg=draw(st.none() | st.integers(1, 20).map(Decimal)),
                quantity=draw(st.sampled_from([1, 1, 1, 3])),
                method=draw(st.sampled_from(["auto", "auto", "closed", "battened", "travel"])),
                surface=draw(st.sampled_from(SURFACES)),
                back=Back("solid") if solid else Back("strainer", 5 * INCH // 2, 3 * INCH // 2),
                poured=draw(st.none() | days),
                price=draw(st.none() | money),
                destination=draw(st.none() | st.sampled_from(["Harbour Gallery", "Hillside Gallery"])),
                turn=draw(st.booleans()),
            )
        )
    return Order("an order", tuple(works), draw(st.sampled_from(["inch", "metric"])), "USD")


def odd_texts() -> st.SearchStrategy[str]:
    """Texts that people and machines put where a number belongs."""
    near = st.text("0123456789 ./,-'\"½¼⅓′″’”inftcmlbozkgxe+=()NaN#$€%²٣\u00a0\n", max_size=20)
    known = st.sampled_from(
        ["", "nan", "inf", "-inf", "1e999", "9" * 5000, "=1+1", "=cmd|' /C calc'!A0", "1/0", "30-", "--5", "0x1F",
         "#REF!",
         "TRUE", "1_000", "٣٠", "30\x00", "\ud800", "½½", "1 1 1/2", "' OR 1=1", "30″x40″", "1.5e3", "∞", "-0"]
    )  # fmt: skip
    return near | known | st.text(max_size=12)
