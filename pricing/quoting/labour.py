"""Labour: operations counted from the actual plan, times minutes for each, paid by the kind of hour.

Saw work is counted from the cutting plans, hand work from what each crate says of itself. Hours are rounded half up
to a ten-thousandth (0.36 s), then priced.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from nesting.build import Build
from nesting.crates.registry import method_of
from nesting.cutting.sawing.cut_order import saw_work
from nesting.drawings.marking import marks_of
from nesting.drawings.stick import stops
from pricing.money import half_up, total
from pricing.quoting.takeoff import Taken
from pricing.studio.pricebook import PriceBook
from pricing.studio.rates import LabourRules

Operation = Literal[
    "load", "setup", "rip", "crosscut", "stick_cut", "strip", "hole", "screw", "staple", "glue_run", "assembly", "wrap",
    "mounting", "bolt", "fitting", "mark_out", "seal", "label", "record", "yard", "hand_over",
]  # fmt: skip
Room = Literal["saw", "bench", "packing"]

HOURS: Final = Decimal("0.0001")
TITLES: Final[Mapping[Operation, tuple[Room, str]]] = {
    "yard": ("saw", "Trip to the yard"),
    "load": ("saw", "Sheets brought to the saw"),
    "setup": ("saw", "Fence set-ups"),
    "rip": ("saw", "Rips"),
    "crosscut": ("saw", "Crosscuts"),
    "stick_cut": ("saw", "Lumber cut to length"),
    "mark_out": ("bench", "Parts labelled and marked out"),
    "strip": ("packing", "Strips of paper, film and foam cut"),
    "hole": ("bench", "Holes drilled"),
    "screw": ("bench", "Screws driven"),
    "staple": ("bench", "Staples driven"),
    "bolt": ("bench", "Bolts set, with their holes"),
    "fitting": ("bench", "Handles, straps and bags of silica gel put in place"),
    "glue_run": ("bench", "Glue runs"),
    "assembly": ("bench", "Frames, faces and cases assembled"),
    "seal": ("bench", "Gaskets laid and insides sealed"),
    "record": ("packing", "Pieces photographed, condition reports written"),
    "wrap": ("packing", "Layers wrapped"),
    "mounting": ("packing", "Pieces mounted"),
    "label": ("packing", "Handling marks and labels put on"),
    "hand_over": ("packing", "Crates handed over to the carrier"),
}
"""Where each operation is done and what it is called, in the order of the work."""
UNCHARGED: Final[tuple[Operation, ...]] = ("mark_out", "seal", "label", "record", "yard", "hand_over")
"""Operations that studios of older rates pay in other minutes: told only where they have minutes of their own."""


@dataclass(frozen=True, slots=True)
class Labour:
    """One operation.

    Attributes
    ----------
    operation : str
        Its key, the name of its rule.
    title : str
        For people.
    hour : str
        Kind of hour in the price book.
    count : int
        How often it is done.
    minutes : Decimal
        For one.
    hours : Decimal
        ``count x minutes / 60``, rounded half up to 0.0001.
    rate : Decimal
        Price of an hour.
    amount : Decimal
        ``hours x rate``, rounded half up.
    bearers : mapping of str to Fraction
        Each crate's part, summing to 1.
    """

    operation: Operation
    title: str
    hour: str
    count: int
    minutes: Decimal
    hours: Decimal
    rate: Decimal
    amount: Decimal
    bearers: Mapping[str, Fraction] = field(default_factory=dict)


def labour(build: Build, rules: LabourRules, book: PriceBook, bought: Iterable[Taken] = ()) -> tuple[Labour, ...]:
    """Return every operation that the build needs, in the order of the work; the yard is asked for what is bought."""
    return _priced({**saw_counts(build), **hand_counts(build), **yard_counts(bought)}, rules, book)


def saw_labour(build: Build, rules: LabourRules, book: PriceBook, bought: Iterable[Taken] = ()) -> tuple[Labour, ...]:
    """Return what the saw has to do, the strips to cut, and the trip for what was bought, without all that follows."""
    return _priced({**saw_counts(build), **yard_counts(bought)}, rules, book)


def _priced(
    counts: Mapping[Operation, Mapping[str, Fraction]], rules: LabourRules, book: PriceBook
) -> tuple[Labour, ...]:
    """Price operations, in the order of the work."""
    pay = {"saw": rules.saw_hour, "bench": rules.bench_hour, "packing": rules.packing_hour}
    rows = []
    for operation, (room, title) in TITLES.items():
        by_crate = counts.get(operation, {})
        count = sum(by_crate.values(), Fraction(0))
        if not count:
            continue
        minutes: Decimal = getattr(rules, operation)
        if not minutes and operation in UNCHARGED:
            continue
        hours = work_hours(int(count), minutes)
        rate = book.price(pay[room]).price
        bearers = {crate: part / count for crate, part in by_crate.items() if part}
        rows.append(
            Labour(
                operation=operation,
                title=title,
                hour=pay[room],
                count=int(count),
                minutes=minutes,
                hours=hours,
                rate=rate,
                amount=half_up(hours * rate),
                bearers=bearers,
            )
        )
    return tuple(rows)


def work_hours(count: int, minutes: Decimal) -> Decimal:
    """Return the hours of so many operations, rounded half up to 0.0001."""
    return half_up(Fraction(count) * Fraction(minutes) / 60, HOURS)


def hours_in_all(rows: tuple[Labour, ...]) -> Decimal:
    """Return the hours of all operations together."""
    return total(row.hours for row in rows)


def saw_counts(build: Build) -> dict[Operation, dict[str, Fraction]]:
    """Count saw work and strips, each spread over the crates by the number of parts that they get out of it.

    Every sheet that is cut is loaded once and every cut is made on every sheet; a fence is set as often as the packet
    prints beside the layout. For lumber a stop is set as often as the length changes from one cut to the next.
    """
    counts: dict[Operation, dict[str, Fraction]] = {}
    for layout in build.layouts:
        crates = _parts_of({c.crate: sum(p.count for p in c.parts if p.good == layout.good) for c in build.crates})
        area = build.shop.saw.panel_area
        cut = [(each.repeat, saw_work(each.sheet, each.cuts, layout.kerf, area)) for each in layout.sheets]
        _spread(counts, "load", sum(repeat for repeat, made in cut if made.settings), crates)
        _spread(counts, "setup", sum(made.settings for _, made in cut), crates)
        _spread(counts, "rip", sum(repeat * made.rips for repeat, made in cut), crates)
        _spread(counts, "crosscut", sum(repeat * made.crosscuts for repeat, made in cut), crates)
    for plan in build.stick_plans:
        mine = {c.crate: sum(p.count for p in c.sticks if p.good == plan.good) for c in build.crates}
        length = {part.name: part.length for crate in build.crates for part in crate.sticks if part.good == plan.good}
        _spread(counts, "stick_cut", sum(each.repeat * len(each.parts) for each in plan.sticks), _parts_of(mine))
        _spread(counts, "setup", stops(plan.sticks, length), _parts_of(mine))
    for take in build.roll_plan.takes:
        mine = {c.crate: sum(p.count for p in c.rolls if p.good == take.good) for c in build.crates}
        strips = sum(row.repeat * len(row.strips) for row in take.rows)
        _spread(counts, "strip", strips, _parts_of(mine))
    return counts


def hand_counts(build: Build) -> dict[Operation, dict[str, Fraction]]:
    """Count hand work by operation and crate, as each crate says."""
    hand: dict[Operation, dict[str, Fraction]] = {}
    for crate in build.crates:
        work = crate.work
        counts: dict[Operation, int] = {
            "hole": work.holes,
            "screw": work.screws,
            "staple": work.staples,
            "glue_run": work.glue_runs,
            "assembly": work.assemblies,
            "wrap": work.wraps,
            "mounting": work.mountings,
            "bolt": work.bolts,
            "fitting": work.fittings,
            "mark_out": sum(part.count for part in crate.parts) + sum(part.count for part in crate.sticks),
            "seal": work.seals,
            "label": len(marks_of(crate)),
            "record": 0 if method_of(crate).is_case else len(crate.pieces),
            "hand_over": int(crate.inside_of is None),
        }
        for operation, count in counts.items():
            if count:
                hand.setdefault(operation, {})[crate.crate] = Fraction(count)
    return hand


def yard_counts(bought: Iterable[Taken]) -> dict[Operation, dict[str, Fraction]]:
    """Count the trip to the yard: one where anything is bought, each stock a like part of it whatever its price."""
    fetched = [row for row in bought if row.source == "buy" and row.bought]
    borne: dict[str, Fraction] = {}
    for row in fetched:
        for crate, part in row.bearers.items():
            if part:
                borne[crate] = borne.get(crate, Fraction(0)) + part / len(fetched)
    return {"yard": borne} if borne else {}


def _parts_of(counts: Mapping[str, int]) -> dict[str, Fraction]:
    """Return each crate's part of a count."""
    whole = sum(counts.values())
    return {crate: Fraction(count, whole) for crate, count in counts.items() if count} if whole else {}


def _spread(
    counts: dict[Operation, dict[str, Fraction]], operation: Operation, count: int, crates: Mapping[str, Fraction]
) -> None:
    """Add a count to an operation, spread over crates."""
    if not count:
        return
    into = counts.setdefault(operation, {})
    for crate, part in crates.items():
        into[crate] = into.get(crate, Fraction(0)) + count * part
