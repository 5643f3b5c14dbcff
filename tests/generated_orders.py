"""The one generator of orders for benchmarks and tests: invented works and places, everything from kind and seed.

An order is made as the text of a file, with the columns that 0.1.0 reads, and never as values of the program: what is
measured goes through the readers as a studio's own files do, and figures of one version compare with those of
another whatever became of the classes between them. The same kind and seed give the same text for ever: recorded
figures rest on it (``tests/benchmarks/data/figures_0.1.0.csv``), so a new kind of order is a new function here, not
a change of an old one.
"""

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Final

ON: Final = date(2027, 4, 1)
"""Day on which every generated order is quoted."""

PLACES: Final = """\
# Invented places for generated orders.
destination,country,door width,door height,dock,forklift,residential,inside,distance,profile,deadline,handler rate
Quay Gallery,US,68 in,90 in,yes,no,no,yes,420 mi,pallet,,55.00
Terrace Gallery,US,34 in,82 in,no,no,no,yes,95 mi,van,,50.00
Canal Gallery,NL,72 in,96 in,yes,yes,no,no,,pallet,,60.00
Hall,US,94 in,108 in,yes,yes,no,no,60 mi,van,,60.00
Buyer at home,US,34 in,80 in,no,no,yes,no,180 mi,parcel,,
Buyer upstairs,US,30 in,78 in,no,no,yes,yes,640 mi,pallet,,
"""

COLUMNS: Final = (
    "piece", "title", "width", "height", "depth", "weight", "quantity", "method", "surface", "support", "back", "set",
    "together", "apart", "turn", "poured", "pours", "pour_depth", "price", "declared", "destination", "ship_by",
)  # fmt: skip

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class GeneratedOrder:
    """One order as files.

    Attributes
    ----------
    kind : str
        A key of :data:`KINDS`.
    seed : int
        Which of its kind.
    rows : tuple of dict
        One for each artwork, by column; blank cells are left out.
    """

    kind: str
    seed: int
    rows: tuple[Row, ...]

    @property
    def name(self) -> str:
        """The order's name, also that of its file."""
        return f"{self.kind}-{self.seed:04d}"

    def text(self) -> str:
        """Return the order as CSV."""
        file = io.StringIO()
        writer = csv.DictWriter(file, COLUMNS, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(self.rows)
        return file.getvalue()

    def write(self, folder: Path) -> Path:
        """Write the order and the places beside it; return the order's file."""
        (folder / "destinations.csv").write_text(PLACES, encoding="utf-8")
        file = folder / f"{self.name}.csv"
        file.write_text(self.text(), encoding="utf-8")
        return file


def _size(inches: float) -> str:
    """Write a length to the nearest 1/8 in."""
    whole, eighths = divmod(round(inches * 8), 8)
    return f"{whole} {eighths}/8" if eighths else str(whole)


def _panel(random: Random, width: float, height: float) -> Row:
    """Make up what a panel of that size is built of: surface, support, back, depth and at times its weight."""
    large = max(width, height) > 30
    row: Row = {"width": _size(width), "height": _size(height)}
    row["surface"] = random.choices(["resin", "paint", "glazed", "bare"], [60, 22, 10, 8])[0]
    build = random.choices(["solid", "strainer", "cleated"], [35, 55, 10] if large else [80, 15, 5])[0]
    if row["surface"] == "glazed":
        row["support"], row["back"], row["depth"] = (
            "paper in a wooden frame",
            "solid",
            random.choice(["1 1/4", "1 1/2"]),
        )
    elif build == "strainer":
        bars = random.choice([("2 1/2", "1 1/4"), ("2 1/2", "1 1/2"), ("1 1/2", "1 1/2"), ("3 1/2", "1 3/4")])
        row["support"] = random.choice(["birch panel", "birch panel", "aluminium panel"])
        row["back"], row["depth"] = f"strainer {bars[0]} x {bars[1]}", random.choice(["2", "2 1/4", "2 1/2"])
    else:
        row["support"] = random.choice(["birch panel", "birch panel", "solid birch panel", "MDF"])
        row["back"], row["depth"] = build, random.choice(["1", "1 1/4", "1 1/2", "1 3/4"])
    if random.random() < 0.5:
        pounds = width * height / 144 * random.uniform(2.0, 4.5) + 1
        row["weight"] = f"{min(pounds, 390):.1f} lb"
    return row


def _dress(random: Random, row: Row, number: int, place: str) -> Row:
    """Give a panel its name, pours, money, place and days."""
    row = {"piece": f"W-{number:02d}", "title": f"Invented work {number}", **row, "destination": place}
    row["turn"] = random.choice(["yes", "no"])
    if row["surface"] == "resin" and random.random() < 0.8:
        row["poured"] = (ON - timedelta(days=random.randint(-3, 40))).isoformat()
        row["pours"], row["pour_depth"] = str(random.randint(1, 3)), random.choice(["1/16", "1/8", "3/16"])
    if random.random() < 0.9:
        area = 1 if row["width"] == "" else _inches(row["width"]) * _inches(row["height"])
        row["price"] = f"{round(area * random.uniform(2.0, 4.0), -1) + 60:.0f}"
        if random.random() < 0.3:
            row["declared"] = row["price"]
    if random.random() < 0.3:
        row["ship_by"] = (ON + timedelta(days=random.randint(12, 60))).isoformat()
    return row


def _inches(text: str) -> float:
    """Read back what :func:`_size` wrote."""
    whole, _, part = text.partition(" ")
    return int(whole) + (int(part[: part.index("/")]) / 8 if part else 0.0)


def _sides(random: Random, low: float, high: float) -> tuple[float, float]:
    """Draw width and height to the half inch."""
    return random.randint(int(2 * low), int(2 * high)) / 2, random.randint(int(2 * low), int(2 * high)) / 2


def consignment(seed: int) -> GeneratedOrder:
    """Make a gallery consignment: 2 to 24 works, small ones in copies, near sizes, sets, one place or two."""
    random = Random(f"consignment {seed}")
    places = random.choice(
        [["Quay Gallery"], ["Terrace Gallery"], ["Hall"], ["Canal Gallery"], ["Quay Gallery", "Terrace Gallery"],
         ["Hall", "Quay Gallery"]]
    )  # fmt: skip
    wanted = random.choice([2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 18, 24])
    rows: list[Row] = []
    sets = 0
    while len(rows) < wanted:
        number = len(rows) + 1
        place = random.choices(places, [3, 1][: len(places)])[0]
        kind = random.choices(["small", "middle", "large", "long"], [25, 35, 33, 7])[0]
        low, high = {"small": (6, 16), "middle": (18, 40), "large": (36, 60), "long": (30, 46)}[kind]
        width, height = _sides(random, low, high)
        if kind == "long":
            width = random.randint(140, 180) / 2
        if rows and random.random() < 0.3 and "set" not in rows[-1]:
            width, height = _inches(rows[-1]["width"]), _inches(rows[-1]["height"])
        row = _dress(random, _panel(random, width, height), number, place)
        largest = max(width, height)
        row["method"] = random.choices(["auto", "closed", "battened", "travel", "carton"], [76, 7, 7, 7, 3])[0]
        fits = {"carton": largest <= 22, "closed": largest <= 44, "travel": min(width, height) >= 16}
        if not fits.get(row["method"], True):
            row["method"] = "auto"
        if largest <= 16 and random.random() < 0.3:
            row["quantity"] = str(random.randint(2, 6))
        rows.append(row)
        if kind == "middle" and random.random() < 0.12 and len(rows) < wanted:
            sets += 1
            row["set"], row["method"] = f"Set {sets}", "auto"
            rows.append({**row, "piece": f"W-{len(rows) + 1:02d}", "title": f"Invented work {len(rows) + 1}"})
    _wishes(random, rows)
    return GeneratedOrder("consignment", seed, tuple(rows))


def _wishes(random: Random, rows: list[Row]) -> None:
    """At times two works are to travel together, or apart."""
    large = [row for row in rows if _inches(row["width"]) >= 36 and "set" not in row and row["method"] == "auto"]
    if len(large) >= 3 and random.random() < 0.3:
        one, other = random.sample(large, 2)
        if one["destination"] == other["destination"]:
            one["method"] = other["method"] = "travel"
            one[random.choice(["together", "apart"])] = other["piece"]


def sale(seed: int) -> GeneratedOrder:
    """Make a small sale: one to three works for a buyer."""
    random = Random(f"sale {seed}")
    place = random.choice(["Buyer at home", "Buyer at home", "Buyer upstairs", "Terrace Gallery"])
    rows = []
    for number in range(1, random.choice([1, 1, 1, 2, 2, 3]) + 1):
        low, high = random.choice([(6, 14), (6, 14), (12, 24), (24, 40), (36, 60)])
        rows.append(_dress(random, _panel(random, *_sides(random, low, high)), number, place) | {"method": "auto"})
    return GeneratedOrder("sale", seed, tuple(rows))


def single(seed: int) -> GeneratedOrder:
    """Make one piece of 8 in to 10 ft and 1 to 400 lb, of any back and surface, for the studio's rules to pack."""
    random = Random(f"single {seed}")
    longest = 8 * 15 ** random.random()
    other = max(8.0, longest * random.uniform(0.35, 1.0))
    width, height = (longest, other) if random.random() < 0.5 else (other, longest)
    row = _panel(random, width, height)
    pounds = min(max(longest * other / 144 * random.uniform(1.5, 9.0), 1.0), 400.0)
    row["weight"] = f"{pounds:.1f} lb"
    place = random.choice(["Quay Gallery", "Hall", "Terrace Gallery", "Canal Gallery"])
    return GeneratedOrder("single", seed, (_dress(random, row, 1, place) | {"method": "auto"},))


KINDS: Final[Mapping[str, Callable[[int], GeneratedOrder]]] = {
    "consignment": consignment,
    "sale": sale,
    "single": single,
}
"""Every kind of order by its name."""

RECORDED: Final[Mapping[str, int]] = {"consignment": 200, "sale": 100, "single": 1000}
"""How many of each kind, from seed 0, have recorded figures."""


def recorded() -> Iterator[GeneratedOrder]:
    """Make every order that has recorded figures."""
    return (KINDS[kind](seed) for kind, count in RECORDED.items() for seed in range(count))
