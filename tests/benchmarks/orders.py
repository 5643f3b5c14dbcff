"""Generated studio orders: invented crates cut up into the parts of one sheet good.

A good of strips takes frames, battens, slats and cleats; a good with large faces takes backs and lids, with some
strips. Sizes are in 1/32 in; the kerf is 1/8 in. Everything follows from the seed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Literal

from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, Trim

INCH = 32
KERF = INCH // 8

Kind = Literal["strips", "faces"]


@dataclass(frozen=True, slots=True)
class Order:
    """Parts of one good and what they can be cut from."""

    name: str
    kind: Kind
    parts: tuple[Part, ...]
    sheets: tuple[Sheet, ...]


def inches(random: Random, low: float, high: float, step: int = 8) -> int:
    """Draw a length, to 1/8 in unless told otherwise."""
    return random.randint(int(low * step), int(high * step)) * INCH // step


def strips(random: Random, crate: str) -> Iterator[Part]:
    """Frame, battens and cleats of one closed crate."""
    width, height = inches(random, 12, 56), inches(random, 12, 56)
    depth = random.choice([3, 3.5, 4, 4.5, 5, 6, 7.5])
    thick = 23
    wide = int(depth * INCH)
    yield Part(f"{crate}.rail", width, wide, "ply", 2, "length")
    yield Part(f"{crate}.stile", height - 2 * thick, wide, "ply", 2, "length")
    if random.random() < 0.6:
        yield Part(f"{crate}.batten", width, int(2.5 * INCH), "ply", random.randint(1, 4), "length")
    if random.random() < 0.4:
        yield Part(f"{crate}.slat", height, int(3.5 * INCH), "ply", random.randint(2, 6))
    if random.random() < 0.7:
        yield Part(f"{crate}.cleat", width - 4 * INCH, random.choice([3, 4]) * INCH, "ply", 2)


def faces(random: Random, crate: str) -> Iterator[Part]:
    """Back and lid of one crate, and at times strips from the same good."""
    width, height = inches(random, 14, 47.5), inches(random, 14, 60)
    yield Part(
        f"{crate}.back",
        max(width, height),
        min(width, height, 48 * INCH),
        "ply",
        1,
        random.choice(["any", "any", "length"]),
    )
    yield Part(f"{crate}.lid", max(width, height), min(width, height, 48 * INCH), "ply")
    if random.random() < 0.4:
        yield Part(f"{crate}.batten", max(width, height), int(2.5 * INCH), "ply", random.randint(1, 3))
    if random.random() < 0.2:
        yield Part(f"{crate}.shim", inches(random, 4, 14), inches(random, 2, 6), "ply", random.randint(2, 6))


def stock(random: Random) -> tuple[Sheet, ...]:
    """Choose what the shop can cut: a 4 x 8 always, at times another size, price breaks, trim, offcuts on the rack."""
    price = random.randrange(3800, 8200, 50)
    trim = Trim(INCH // 4, INCH // 4, INCH // 4, INCH // 4) if random.random() < 0.2 else None
    breaks = ((10, price * 93 // 100),) if random.random() < 0.3 else ()
    sheets = [Sheet("4x8", 96 * INCH, 48 * INCH, price, trim=trim, breaks=breaks)]
    if random.random() < 0.3:
        longer = random.choice([True, False])
        size = (120, 60) if longer else (60, 60)
        share = size[0] * size[1] / (96 * 48)
        cost = int(price * share * random.uniform(0.95, 1.15)) // 50 * 50
        sheets.append(Sheet("5x10" if longer else "5x5", size[0] * INCH, size[1] * INCH, cost, trim=trim))
    if random.random() < 0.3:
        for number in range(random.randint(1, 3)):
            long, wide = inches(random, 20, 60), inches(random, 12, 40)
            value = random.choice([0, 0, int(price * long * wide / (96 * 48 * INCH * INCH) * 0.4)])
            sheets.append(Sheet(f"rack-{number}", max(long, wide), min(long, wide), value, 1, source="rack"))
    return tuple(sheets)


def order(seed: int) -> Order:
    """Make the order of a seed: strips and faces in turn, 5 to 60 parts."""
    random = Random(seed)
    kind: Kind = "strips" if seed % 2 == 0 else "faces"
    wanted = random.randint(5, 60)
    parts: list[Part] = []
    crate = 0
    while sum(part.count for part in parts) < wanted:
        crate += 1
        parts += strips(random, f"K{crate}") if kind == "strips" else faces(random, f"K{crate}")
        if crate % 4 == 0 and random.random() < 0.5:
            # A set of equal works takes equal crates.
            repeats = random.randint(2, 3)
            parts = [
                Part(p.name, p.length, p.width, p.good, p.count * repeats, p.grain)
                if p.name.startswith(f"K{crate}.")
                else p
                for p in parts
            ]
    while sum(part.count for part in parts) > 60:
        parts.pop()
    return Order(f"{kind}-{seed}", kind, tuple(parts), stock(random))


def orders(count: int, first: int = 0) -> Iterator[Order]:
    """Make orders one after another."""
    return (order(seed) for seed in range(first, first + count))
