"""Learned: what finished jobs say of the rates, the minutes of each operation and the waste of each kind of good.

Each job says one figure: the minutes noted under an operation, by how often its quote counted it; what of a stock was
used up beyond what its quote reckoned, by what it reckoned. Two figures stand for several jobs:

- *the middle*, the median of what each job says, is what is suggested: fewer than half of the jobs may be wild, a slip
  of the pen or a day on which all went wrong, and it stays among the others;
- *all together*, the sum of what was taken by the sum of what was counted, weighs each job by its size and is pulled by
  a single wild one. It stands beside the middle: where the two are far apart, the jobs are worth a look.

From one job or two no middle is told from a wild one, so nothing is suggested of fewer than :data:`LEAST_JOBS`.

Source: the ratio of sums as an estimator is the textbook one of survey sampling (W. G. Cochran, Sampling Techniques,
3rd ed. 1977, chapter 6); that the median bears nearly half of its values wild, its breakdown point (P. J. Huber, Robust
Statistics, 1981, chapter 1). Both from memory. The least number of jobs and all roundings are our choice.

All is exact until it is suggested. Nothing here changes a rate: a person takes a suggestion or leaves it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from statistics import median
from typing import Final, Literal

from pricing.money import half_up
from pricing.quoting.labour import TITLES, Labour, Operation
from pricing.quoting.noted import HOURS, OTHER, ROOMS, room_of
from pricing.quoting.takeoff import Taken
from pricing.studio.pricebook import PriceForm
from pricing.studio.rates import LabourRules, PriceRules

Unit = Literal["minutes", "times", "part"]
LEAST_JOBS: Final = 3
"""Fewer suggest nothing: of three the middle is never the wild one, of two nobody can tell."""
_FAR: Final = Fraction(1, 4)
"""All together differs so much from the middle that the jobs are worth a look."""
_FINE: Final = Decimal("0.001")
_COARSE: Final = Decimal("0.01")
CUT: Final[tuple[PriceForm, ...]] = ("sheet", "stick")
"""Forms of which the quote counts the parts alone; of all else it counts the use."""
FORMS: Final[Mapping[PriceForm, str]] = {
    "sheet": "Sheets", "stick": "Sticks", "roll": "Rolls", "each": "Single things", "box": "Boxes",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What a quote reckoned of one stock.

    Attributes
    ----------
    form : str
        How it is sold.
    needed : Decimal
        Units: the parts alone of sheets and sticks, the use of all else.
    each : Decimal
        Price of one, by which different stocks weigh against each other.
    """

    form: PriceForm
    needed: Decimal
    each: Decimal


@dataclass(frozen=True, slots=True)
class Finished:
    """What a finished job was reckoned with, and what it took.

    Attributes
    ----------
    job : int
        Its number.
    name : str
        For people.
    counts : mapping of str to int
        How often its quote counted each operation.
    hours : mapping of str to Decimal
        What was noted, by heading (:data:`pricing.quoting.noted.HOURS`).
    reckoned : mapping of str to Reckoned
        What its quote reckoned, by stock.
    used : mapping of str to Decimal
        What was bought less what was left, by stock.
    in_part : bool
        Whether its quote tells only what was still to be cut, so that it says nothing of saw and waste.
    """

    job: int
    name: str
    counts: Mapping[Operation, int] = field(default_factory=dict)
    hours: Mapping[str, Decimal] = field(default_factory=dict)
    reckoned: Mapping[str, Reckoned] = field(default_factory=dict)
    used: Mapping[str, Decimal] = field(default_factory=dict)
    in_part: bool = False


@dataclass(frozen=True, slots=True)
class Own:
    """What one job says: ``took / of``."""

    job: int
    name: str
    took: Fraction
    of: Fraction

    @property
    def value(self) -> Fraction:
        """Minutes of one, or a ratio."""
        return self.took / self.of


@dataclass(frozen=True, slots=True)
class Lesson:
    """What several jobs say of one rate.

    Attributes
    ----------
    key : str
        The rule (``labour.screw``, ``price.waste``), or what has no rule of its own (``bench``, ``sheet``).
    title : str
        For people.
    unit : {"minutes", "times", "part"}
        Minutes of one; how many times the minutes of today; a part that is added.
    present : Decimal
        The rate as it stands.
    jobs : tuple of Own
        At least one; the least first.
    """

    key: str
    title: str
    unit: Unit
    present: Decimal
    jobs: tuple[Own, ...]

    @property
    def middle(self) -> Fraction:
        """The median of what the jobs say; of an even number the mean of the two in the middle."""
        return median([each.value for each in self.jobs])

    @property
    def together(self) -> Fraction:
        """The sum of what was taken by the sum of what was counted."""
        return sum((each.took for each in self.jobs), Fraction(0)) / sum((each.of for each in self.jobs), Fraction(0))

    @property
    def least(self) -> Fraction:
        """The least that a job says."""
        return self.jobs[0].value

    @property
    def most(self) -> Fraction:
        """The most that a job says."""
        return self.jobs[-1].value

    @property
    def is_pulled(self) -> bool:
        """Whether all together is far from the middle: a job or two weigh more than the rest."""
        middle = abs(self.middle)
        return len(self.jobs) > 1 and abs(self.together - self.middle) > middle * _FAR

    @property
    def suggested(self) -> Decimal | None:
        """The middle, rounded as such a rate is written; None of too few jobs. No waste is less than none."""
        if len(self.jobs) < LEAST_JOBS:
            return None
        found = self.rounded(self.middle)
        return max(found, Decimal(0)) if self.unit == "part" else found

    @property
    def is_news(self) -> bool:
        """Whether something is suggested that differs from the rate as it stands."""
        return self.suggested is not None and self.suggested != self.present

    def rounded(self, value: Fraction) -> Decimal:
        """Return a value as such a rate is written, half up."""
        if self.unit == "minutes":
            return minutes_rounded(value)
        return half_up(value, _FINE if self.unit == "part" else _COARSE)


@dataclass(frozen=True, slots=True)
class Unheard:
    """Hours or stock of a job that say nothing, and why."""

    job: int
    name: str
    what: str
    why: str


def minutes_rounded(value: Fraction) -> Decimal:
    """Return minutes to a hundredth, and to a thousandth below one; never none, which would be no work at all."""
    step = _FINE if value < 1 else _COARSE
    return max(half_up(value, step), _FINE)


def operations_learned(jobs: Iterable[Finished], rules: LabourRules) -> tuple[Lesson, ...]:
    """Return what jobs say of each operation of which hours were noted, in the order of the work.

    A job counts for the operations that were noted by themselves in it, and for no others.
    """
    found: defaultdict[Operation, list[Own]] = defaultdict(list)
    for job in jobs:
        for operation in TITLES:
            hours, count = job.hours.get(operation), job.counts.get(operation, 0)
            if hours and count and not _untold(job, operation):
                found[operation].append(Own(job.job, job.name, 60 * Fraction(hours), Fraction(count)))
    return tuple(
        Lesson(f"labour.{operation}", title, "minutes", getattr(rules, operation), _sorted(found[operation]))
        for operation, (_, title) in TITLES.items()
        if operation in found
    )


def rooms_learned(jobs: Iterable[Finished], rules: LabourRules) -> tuple[Lesson, ...]:
    """Return how many times the minutes of today each room took in all.

    A job counts for a room where hours are noted under the room; those under its operations join them. What is counted
    is reckoned at the minutes of today, whatever the job's own quote had.
    """
    found: defaultdict[str, list[Own]] = defaultdict(list)
    for job in jobs:
        for room in ROOMS:
            if not job.hours.get(room) or _untold(job, room):
                continue
            hours = sum((each for heading, each in job.hours.items() if room_of(heading) == room), Decimal(0))
            counted = _minutes(job, room, rules)
            if counted:
                found[room].append(Own(job.job, job.name, 60 * Fraction(hours), counted))
    return tuple(
        Lesson(room, title, "times", Decimal(1), _sorted(found[room])) for room, title in ROOMS.items() if room in found
    )


def _minutes(job: Finished, room: str, rules: LabourRules) -> Fraction:
    """Return the minutes of what a quote counted in a room, at the rates of today."""
    counts = ((operation, count) for operation, count in job.counts.items() if TITLES[operation][0] == room)
    return sum((Fraction(getattr(rules, operation)) * count for operation, count in counts), Fraction(0))


def _untold(job: Finished, heading: str) -> bool:
    """Whether a job's quote does not tell the whole of a room or operation: of what was cut before, the saw's work."""
    return job.in_part and room_of(heading) == "saw"


def wastes_learned(jobs: Sequence[Finished], rules: PriceRules) -> tuple[Lesson, ...]:
    """Return what jobs say of the two rates of waste: of sheets and sticks by their parts, of all else by its use."""
    cut = _waste(jobs, "price.sheet_waste", "Sheets and sticks", rules.sheet_waste, CUT)
    rest = tuple(form for form in FORMS if form not in CUT)
    other = _waste(jobs, "price.waste", "Rolls, boxes and single things", rules.waste, rest)
    return tuple(each for each in (cut, other) if each)


def forms_learned(jobs: Sequence[Finished], rules: PriceRules) -> tuple[Lesson, ...]:
    """Return the same by how a good is sold; these have no rate each and explain the two."""
    found = (
        _waste(jobs, form, title, rules.sheet_waste if form in CUT else rules.waste, (form,))
        for form, title in FORMS.items()
    )
    return tuple(each for each in found if each)


def _waste(  # arguments: the last two are what the rate is and which goods it is of
    jobs: Iterable[Finished], key: str, title: str, present: Decimal, forms: Sequence[PriceForm]
) -> Lesson | None:
    """Return what was used up beyond what was reckoned, by what was reckoned, weighed by price."""
    own = []
    for job in jobs:
        took, needed = Fraction(0), Fraction(0)
        for stock, used in job.used.items():
            reckoned = job.reckoned.get(stock)
            if reckoned and reckoned.form in forms and not job.in_part:
                took += Fraction(used - reckoned.needed) * Fraction(reckoned.each)
                needed += Fraction(reckoned.needed) * Fraction(reckoned.each)
        if needed:
            own.append(Own(job.job, job.name, took, needed))
    return Lesson(key, title, "part", present, _sorted(own)) if own else None


def _sorted(own: Iterable[Own]) -> tuple[Own, ...]:
    return tuple(sorted(own, key=lambda each: (each.value, each.job)))


def ruling(lesson: Lesson, rules: LabourRules) -> dict[str, Decimal]:
    """Return which rules a suggestion would change, and to what; of a room, the minutes of each operation in it."""
    if lesson.suggested is None:
        return {}
    if lesson.unit != "times":
        return {lesson.key: lesson.suggested} if "." in lesson.key else {}
    minutes: dict[Operation, Decimal] = {
        operation: getattr(rules, operation) for operation, (room, _) in TITLES.items() if room == lesson.key
    }
    return {
        f"labour.{operation}": minutes_rounded(Fraction(each) * Fraction(lesson.suggested))
        for operation, each in minutes.items()
        if each
    }


def unheard(jobs: Iterable[Finished]) -> Iterator[Unheard]:
    """Yield what was noted of finished jobs and says nothing, with the reason."""
    for job in jobs:
        for heading, hours in job.hours.items():
            why = _why_not(job, heading)
            if why:
                yield Unheard(job.job, job.name, f"{hours:f} h under {HOURS.get(heading, heading)}", why)
        for stock in job.used:
            reckoned = job.reckoned.get(stock)
            if job.in_part:
                yield Unheard(job.job, job.name, stock, _IN_PART)
            elif reckoned is None:
                yield Unheard(job.job, job.name, stock, "its quote reckons with none of it")
            elif not (reckoned.needed and reckoned.each):
                yield Unheard(job.job, job.name, stock, "its quote does not tell how much the parts take of it")


_IN_PART: Final = "it was cut in more than one version, and the last quote tells the rest alone"


def _why_not(job: Finished, heading: str) -> str:
    if heading == OTHER or heading not in HOURS:
        return "no operation is named"
    if _untold(job, heading):
        return _IN_PART
    if heading in ROOMS:
        counted = any(TITLES[operation][0] == heading for operation in job.counts)
    else:
        counted = any(operation == heading for operation in job.counts)
    return "" if counted else "its quote counts none of that"


def counts_of(rows: Iterable[Labour]) -> dict[Operation, int]:
    """Return how often a quote counts each operation."""
    return {row.operation: row.count for row in rows}


def reckoned_of(rows: Iterable[Taken]) -> dict[str, Reckoned]:
    """Return what a quote reckons of each stock that is bought."""
    return {
        row.stock: Reckoned(row.form, row.net if row.form in CUT else row.used, row.each)
        for row in rows
        if row.source == "buy" and row.form in FORMS
    }


def used_in(told: Iterable[tuple[str, Decimal | None, Decimal | None]]) -> dict[str, Decimal]:
    """Return what was used up of each stock: all that was bought less all that was left, where that was told.

    Parameters
    ----------
    told : iterable of (str, Decimal or None, Decimal or None)
        Of each receipt the stock, how many were bought, and how many of the stock were left; a stock that was bought
        twice needs to be told of once.
    """
    bought: defaultdict[str, Decimal] = defaultdict(Decimal)
    left: dict[str, Decimal] = {}
    for stock, count, over in told:
        if stock and count is not None:
            bought[stock] += count
            if over is not None:
                left[stock] = left.get(stock, Decimal(0)) + over
    return {stock: bought[stock] - over for stock, over in left.items() if bought[stock] > over}
