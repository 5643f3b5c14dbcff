"""Labour: operations counted from the actual plan, times minutes for each, paid by the kind of hour.

Saw work is counted from the order in which a person cuts (:mod:`nesting.cutting.sawing`), as the packet prints it; hand
work from what each crate says of itself. Hours are rounded half up to a ten-thousandth (0.36 s), then priced.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from math import lcm
from typing import Final, Literal

from nesting.build import Build
from nesting.crates.bevels import bevelled, bevels_in
from nesting.crates.registry import method_of
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.cutting.sawing.bevels import bevel_effort
from nesting.cutting.sawing.model import Effort, Tool
from nesting.cutting.sawing.plan import effort_in
from nesting.cutting.sawing.sticks import stick_work
from nesting.cutting.sheets import Layout
from nesting.drawings.marking import marks_of
from pricing.money import half_up, total
from pricing.quoting.takeoff import Taken
from pricing.studio.pricebook import PriceBook
from pricing.studio.rates import LabourRules

Operation = Literal[
    "load", "carry", "setup", "track_cut", "rip", "crosscut", "turn", "stop_setup", "chop_cut", "knife_cut",
    "bevel_setup", "stick_cut", "strip", "hole", "screw", "staple", "glue_run", "assembly", "wrap", "mounting",
    "bolt", "fitting", "mark_out", "seal", "label", "record", "yard", "hand_over",
]  # fmt: skip
Room = Literal["saw", "bench", "packing"]

HOURS: Final = Decimal("0.0001")
TITLES: Final[Mapping[Operation, tuple[Room, str]]] = {
    "yard": ("saw", "Trip to the yard"),
    "load": ("saw", "Sheets brought to the saw"),
    "track_cut": ("saw", "Cuts with the track saw"),
    "carry": ("saw", "Armfuls of panels carried to the next tool"),
    "setup": ("saw", "Fence set-ups"),
    "rip": ("saw", "Rips"),
    "crosscut": ("saw", "Crosscuts"),
    "turn": ("saw", "Panels turned at the table saw"),
    "stop_setup": ("saw", "Stops set at the chop saw"),
    "chop_cut": ("saw", "Passes of the chop saw through sheet goods"),
    "bevel_setup": ("saw", "Blade tilted for a bevel, and back"),
    "knife_cut": ("saw", "Cuts of foam and board"),
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
UNCHARGED: Final[tuple[Operation, ...]] = (
    "track_cut", "carry", "turn", "stop_setup", "chop_cut", "knife_cut", "bevel_setup",
    "mark_out", "seal", "label", "record", "yard", "hand_over",
)  # fmt: skip
"""Operations that studios of older rates pay in other minutes: told only where they have minutes of their own.

What has none of its own at the saw is paid as a rip, a crosscut or a fence set-up; turning and carrying are in them.
"""


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
    return _priced({**_saw(build, rules), **_hand(build), **_yard(bought)}, rules, book)


def saw_labour(build: Build, rules: LabourRules, book: PriceBook, bought: Iterable[Taken] = ()) -> tuple[Labour, ...]:
    """Return what the saw has to do, the strips to cut, and the trip for what was bought, without all that follows."""
    return _priced({**_saw(build, rules), **_yard(bought)}, rules, book)


@dataclass(frozen=True, slots=True)
class _Times:
    """How often something is done for all crates together, and each one's part of it: its own over the whole.

    In whole numbers, since an order has tens of operations for each of a thousand crates.
    """

    count: int
    own: Mapping[str, int]
    whole: int = 1


_Work = dict[Operation, list[_Times]]


def _together(times: Iterable[_Times]) -> tuple[dict[str, int], int]:
    """Return how often something is done for each crate, over one denominator; no crate that it is not done for."""
    times = list(times)
    if len(times) == 1 and times[0].count == 1:
        return {crate: mine for crate, mine in times[0].own.items() if mine}, times[0].whole
    over = lcm(*(each.whole for each in times))
    sums: dict[str, int] = {}
    for each in times:
        each_is = each.count * (over // each.whole)
        for crate, mine in each.own.items():
            if mine:
                sums[crate] = sums.get(crate, 0) + each_is * mine
    return sums, over


def _parts(own: Mapping[str, int], whole: int) -> dict[str, Fraction]:
    """Return each crate's part of a whole; crates that are alike have one."""
    parts = {mine: Fraction(mine, whole) for mine in set(own.values())}
    return {crate: parts[mine] for crate, mine in own.items()}


def _counted(times: _Work) -> dict[Operation, dict[str, Fraction]]:
    """Return how often each operation is done for each crate."""
    return {operation: _parts(*_together(each)) for operation, each in times.items()}


def _priced(times: _Work, rules: LabourRules, book: PriceBook) -> tuple[Labour, ...]:
    """Price operations, in the order of the work."""
    pay = {"saw": rules.saw_hour, "bench": rules.bench_hour, "packing": rules.packing_hour}
    rows = []
    for operation, (room, title) in TITLES.items():
        by_crate, over = _together(times.get(operation, ()))
        whole = sum(by_crate.values())
        if not whole:
            continue
        count = whole // over
        minutes: Decimal = getattr(rules, operation)
        if not minutes and operation in UNCHARGED:
            continue
        hours = work_hours(count, minutes)
        rate = book.price(pay[room]).price
        rows.append(
            Labour(
                operation=operation,
                title=title,
                hour=pay[room],
                count=count,
                minutes=minutes,
                hours=hours,
                rate=rate,
                amount=half_up(hours * rate),
                bearers=_parts(by_crate, whole),
            )
        )
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class Paid:
    """By which operations a tool is paid.

    Attributes
    ----------
    setting : str or None
        Setting it; None where that is in the minutes of a cut.
    rip, crosscut : str
        A pass along the sheet, and one across it.
    """

    setting: Operation | None
    rip: Operation
    crosscut: Operation


def paid_as(tool: Tool, rules: LabourRules) -> Paid:
    """Return by which operations a tool is paid; what has no minutes of its own, as a cut at a fence."""
    if tool == "chop":
        cut: Operation = "chop_cut" if rules.chop_cut else "crosscut"
        return Paid("stop_setup" if rules.stop_setup else "setup", cut, cut)
    if tool in ("knife", "band") and rules.knife_cut:
        return Paid(None, "knife_cut", "knife_cut")
    if tool in ("track", "none") and rules.track_cut:  # what nothing cuts stands for some cut by hand
        return Paid(None, "track_cut", "track_cut")
    return Paid("setup", "rip", "crosscut")


def saw_operations(effort: Effort, rules: LabourRules) -> dict[Operation, int]:
    """Return how often each operation is done in what a plan of the saw asks."""
    found: Counter[Operation] = Counter()
    found["load"] += effort.loads
    found["turn"] += effort.turns
    found["carry"] += effort.carries
    for tool, passes in effort.passes.items():
        paid, rips = paid_as(tool, rules), effort.rips.get(tool, 0)
        if paid.setting is not None:
            found[paid.setting] += effort.settings.get(tool, 0)
        found[paid.rip] += rips
        found[paid.crosscut] += passes - rips
    return {operation: count for operation, count in found.items() if count}


def saw_minutes(effort: Effort, rules: LabourRules) -> Decimal:
    """Return the minutes that a plan of the saw takes."""
    minutes: dict[Operation, Decimal] = {name: getattr(rules, name) for name in TITLES}
    return sum((count * minutes[name] for name, count in saw_operations(effort, rules).items()), Decimal(0))


def work_hours(count: int, minutes: Decimal) -> Decimal:
    """Return the hours of so many operations, rounded half up to 0.0001."""
    return half_up(Fraction(count) * Fraction(minutes) / 60, HOURS)


def hours_in_all(rows: tuple[Labour, ...]) -> Decimal:
    """Return the hours of all operations together."""
    return total(row.hours for row in rows)


def saw_counts(build: Build, rules: LabourRules) -> dict[Operation, dict[str, Fraction]]:
    """Count saw work and strips, each spread over the crates by the number of parts that they get out of it.

    Every sheet that is cut is brought once; settings and passes are those of the order that the packet prints.
    """
    return _counted(_saw(build, rules))


def _saw(build: Build, rules: LabourRules) -> _Work:
    """Count saw work and strips by the parts that each crate gets out of them."""
    times: _Work = {}
    parts = _by_good((crate.crate, crate.parts) for crate in build.crates)
    sticks = _by_good((crate.crate, crate.sticks) for crate in build.crates)
    rolls = _by_good((crate.crate, crate.rolls) for crate in build.crates)
    for layout in build.layouts:
        mine = parts.get(layout.good, {})
        for operation, count in saw_operations(effort_in(build.shop, layout), rules).items():
            _spread(times, operation, count, mine)
        if rules.bevel_setup:  # rates of before pay no bevel
            _bevels(times, build, layout, rules)
    for plan in build.stick_plans:
        mine = sticks.get(plan.good, {})
        length = {part.name: part.length for crate in build.crates for part in crate.sticks if part.good == plan.good}
        good = build.shop.good(plan.good)
        effort = stick_work(plan, length, (good.thickness, good.breadth), build.shop.tools).effort
        _spread(times, "stick_cut", sum(effort.passes.values()), mine)
        stops: Operation = "stop_setup" if rules.stop_setup else "setup"
        _spread(times, stops, sum(effort.settings.values()), mine)
    for take in build.roll_plan.takes:
        strips = sum(row.repeat * len(row.strips) for row in take.rows)
        _spread(times, "strip", strips, rolls.get(take.good, {}))
    return times


def _by_good(crates: Iterable[tuple[str, Iterable[Part | StickPart | RollPart]]]) -> dict[str, dict[str, int]]:
    """Count the parts that each crate has of each good."""
    found: dict[str, dict[str, int]] = {}
    for crate, parts in crates:
        for part in parts:
            mine = found.setdefault(part.good, {})
            mine[crate] = mine.get(crate, 0) + part.count
    return found


def _bevels(times: _Work, build: Build, layout: Layout, rules: LabourRules) -> None:
    """Count the bevel rips of a good's blanks, borne by the crates that have some."""
    settings = bevels_in(build.shop, build.crates, layout)
    if not settings:
        return
    blanks = {crate.crate: bevelled((crate,)).values() for crate in build.crates}
    bearers = {name: sum(p.count for p in mine if p.good == layout.good) for name, mine in blanks.items()}
    effort = replace(bevel_effort(settings, build.shop.saw.panel_area), settings={})
    _spread(times, "bevel_setup", len(settings), bearers)
    for operation, count in saw_operations(effort, rules).items():
        _spread(times, operation, count, bearers)


def hand_counts(build: Build) -> dict[Operation, dict[str, Fraction]]:
    """Count hand work by operation and crate, as each crate says."""
    return _counted(_hand(build))


def _hand(build: Build) -> _Work:
    hand: dict[Operation, dict[str, int]] = {}
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
                hand.setdefault(operation, {})[crate.crate] = count
    return {operation: [_Times(1, own)] for operation, own in hand.items()}


def yard_counts(bought: Iterable[Taken]) -> dict[Operation, dict[str, Fraction]]:
    """Count the trip to the yard: one where anything is bought, each stock a like part of it whatever its price."""
    return _counted(_yard(bought))


def _yard(bought: Iterable[Taken]) -> _Work:
    fetched = [row for row in bought if row.source == "buy" and row.bought]
    times = []
    for row in fetched:
        over = lcm(*(part.denominator for part in row.bearers.values()))
        own = {crate: part.numerator * (over // part.denominator) for crate, part in row.bearers.items() if part}
        times.append(_Times(1, own, over * len(fetched)))
    return {"yard": times} if any(each.own for each in times) else {}


def _spread(times: _Work, operation: Operation, count: int, parts: Mapping[str, int]) -> None:
    """Add a count to an operation, spread over crates by their parts."""
    whole = sum(parts.values())
    if count and whole:
        times.setdefault(operation, []).append(_Times(count, parts, whole))
