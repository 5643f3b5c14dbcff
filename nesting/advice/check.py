"""Check: one finding of the advice, with its demand, its capacity, its source and its limits."""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from math import floor, isclose, isfinite, log10
from typing import Any, Final, Literal

from nesting.base.measure import LB_KG, UnitSystem, pounds

Verdict = Literal["ok", "watch", "fails", "info"]
Unit = Literal["lbf", "N", "lb", "kg", "in", "mm", "psi", "kPa", "sq in", "sq cm", "G", "people", "deg", "ratio", ""]

ADVICE = (
    "Advice from published formulas, not a certification: test, follow local codes, and ask a licensed engineer "
    "where people or great value depend on it."
)

KG_PER_LB = float(LB_KG)
"""Kilograms in a pound, exact by definition."""

N_PER_LBF = KG_PER_LB * 9.80665
"""Newtons in a pound-force, exact by definition of the pound and of standard gravity."""

KPA_PER_PSI = N_PER_LBF / 0.0254**2 / 1000
"""Kilopascals in a pound-force per square inch."""

WATCH_FROM = 1.01
"""Ratio of demand to capacity from which a check that holds says "watch": never, as a check that holds asks nothing of
anybody. "Watch" is for what a person must do; a check that means it says so itself."""

_PAIRS: tuple[tuple[Unit, Unit, float], ...] = (
    ("lbf", "N", N_PER_LBF),
    ("lb", "kg", KG_PER_LB),
    ("in", "mm", 25.4),
    ("psi", "kPa", KPA_PER_PSI),
    ("sq in", "sq cm", 2.54**2),
)


_WORKED: tuple[tuple[str, str, float], ...] = (
    *((inch, metric, factor) for inch, metric, factor in _PAIRS),
    ("lbf in", "N m", N_PER_LBF * 0.0254),
    ("lb in", "N m", N_PER_LBF * 0.0254),
    ("lb in2", "N m2", N_PER_LBF * 0.0254**2),
    ("ft", "m", 0.3048),
    ("ft/s", "m/s", 0.3048),
)
"""Units in formulas that have numbers put in; ``lb in`` there is a force at an arm."""
_NUMBER: Final = re.compile(
    r"(\{\}|(?<![\d.])\d+(?:\.\d+)?)"
    rf"(?: ({'|'.join(sorted({re.escape(unit) for pair in _WORKED for unit in pair[:2]}, key=len, reverse=True))})\b)?"
)
"""A number to be put in, or one that stands in the formula, with its unit."""


def table_pounds(kg: Decimal | float) -> float:
    """Return a weight in pounds, to a billionth, so that 21 lb given in kg is 21 lb again at a step of a table."""
    return round(pounds(kg), 9)


def figure(value: float) -> str:
    """Write a figure to three digits, plainly: ``1290``, ``12.9``, ``0.0129``; never with an exponent."""
    if not isfinite(value) or value == 0:
        return f"{value:g}"
    text = f"{float(f'{value:.3g}'):.{max(0, 2 - floor(log10(abs(value))))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def said(value: float, unit: Unit, system: UnitSystem, *, mark: bool = True) -> str:
    """Write a figure in a unit system, to three digits, with the unit: ``1290 lbf``, ``5740 N``; for notes.

    Parameters
    ----------
    value : float
        In ``unit``, inch or metric; one that belongs to neither system stays as it is.
    mark : bool
        Whether to add the unit.
    """
    for inch, metric, factor in _PAIRS:
        if unit == inch and system == "metric":
            value, unit = value * factor, metric
        elif unit == metric and system == "inch":
            value, unit = value / factor, inch
    return f"{figure(value)} {unit}" if mark else figure(value)


@dataclass(frozen=True, slots=True)
class Check:
    """One finding.

    Attributes
    ----------
    name : str
        What is checked, such as ``"mounting screws, withdrawal"``.
    demand : float or None
        What is asked for, in ``unit``; None where nothing is measured.
    capacity : float or None
        What there is, in ``unit``; None where there is nothing to hold against the demand.
    unit : str
        Unit of both. ``"lbf"`` and ``"N"`` are forces, ``"lb"`` and ``"kg"`` weights, ``"G"`` multiples of gravity.
    ratio : float or None
        Demand over capacity; None where either is missing or the capacity is nothing.
    verdict : {"ok", "watch", "fails", "info"}
        ``"watch"`` holds but deserves a look; ``"info"`` judges nothing.
    formula : str
        The formula, in the source's letters.
    source : str
        Where it is published, and "from memory" where the text was not at hand.
    limits_of_use : str
        Where the formula ends.
    note : str
        What to do, or what else to know.
    structure : bool
        Whether it judges what holds the piece in its crate, which another way of packing may mend.
    would_pass : str
        What would pass, where it fails and somebody worked that out.
    worked : str
        The formula with a ``{}`` for each of its numbers; empty where it only holds the demand against the capacity.
    numbers : tuple of float
        What stands there, in the units of the formula's source.
    """

    name: str
    demand: float | None
    capacity: float | None
    unit: Unit
    ratio: float | None
    verdict: Verdict
    formula: str
    source: str
    limits_of_use: str
    note: str = ""
    structure: bool = False
    would_pass: str = ""
    worked: str = ""
    numbers: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for label in ("name", "formula", "source", "limits_of_use"):
            if not getattr(self, label):
                raise ValueError(f"check {self.name!r}: needs its {label}")
        if self.verdict not in ("ok", "watch", "fails", "info"):
            raise ValueError(f"check {self.name}: no verdict {self.verdict!r}")
        for value in (self.demand, self.capacity, self.ratio):
            if value is not None and not (isfinite(value) and value >= 0):
                raise ValueError(f"check {self.name}: {value} is not a number of zero or more")
        if self.ratio is not None and not (
            self.demand is not None
            and self.capacity is not None
            and isclose(self.ratio * self.capacity, self.demand, rel_tol=1e-9, abs_tol=1e-12)
        ):
            raise ValueError(f"check {self.name}: ratio {self.ratio} is not demand over capacity")

    @property
    def advice(self) -> str:
        """The sentence that stands under every check."""
        return ADVICE

    @property
    def put_in(self) -> str:
        """The formula with its numbers put in; else demand against capacity; empty where nothing is measured."""
        if self.worked:
            return self.worked.format(*map(figure, self.numbers))
        if self.demand is None or self.capacity is None:
            return ""
        ratio = f" = {figure(self.ratio)}" if self.ratio is not None else ""
        return f"{figure(self.demand)} / {figure(self.capacity)}{ratio}"

    def put_in_as(self, system: UnitSystem) -> str:
        """Return the same in a unit system: each number in it, with that of the formula's source in brackets.

        The coefficients of a formula hold in the units of its source alone.
        """
        if not self.worked:
            return self.put_in
        left = list(self.numbers)

        def written(found: re.Match[str]) -> str:
            value, unit = (left.pop(0) if found[1] == "{}" else float(found[1])), found[2]
            told = " ".join(filter(None, (figure(value) if found[1] == "{}" else found[1], unit)))
            for inch, metric, factor in _WORKED if unit else ():
                if unit == inch and system == "metric":
                    return f"{figure(value * factor)} {metric} ({told})"
                if unit == metric and system == "inch":
                    return f"{figure(value / factor)} {inch} ({told})"
            return told

        return _NUMBER.sub(written, self.worked)

    def in_system(self, system: UnitSystem) -> "Check":
        """Return the same finding with its figures in the other unit system, where its unit has one."""
        for inch, metric, factor in _PAIRS:
            if self.unit == inch and system == "metric":
                return self._scaled(metric, factor)
            if self.unit == metric and system == "inch":
                return self._scaled(inch, 1 / factor)
        return self

    def _scaled(self, unit: Unit, factor: float) -> "Check":
        demand, capacity = (None if v is None else v * factor for v in (self.demand, self.capacity))
        return replace(self, unit=unit, demand=demand, capacity=capacity)

    def sentence(self) -> str:
        """Return the finding as one line of text."""
        return "; ".join(part for part in (f"{self.name}: {self.verdict}", self.measured) if part)

    @property
    def measured(self) -> str:
        """The figures and the note, without name and verdict."""
        parts = []
        if self.demand is not None and self.capacity is not None:
            parts.append(f"{figure(self.demand)} of {figure(self.capacity)} {self.unit}".strip())
        elif self.demand is not None:
            parts.append(f"{figure(self.demand)} {self.unit}".strip())
        if self.note:
            parts.append(self.note)
        return "; ".join(parts)

    def as_dict(self) -> dict[str, Any]:
        """Return every field, the formula with its numbers, and the sentence of advice, as plain values for JSON."""
        names = (name for name in self.__slots__ if name not in ("worked", "numbers"))
        return {name: getattr(self, name) for name in (*names, "put_in", "advice")}


# arguments: the fields of a check, by keyword from the formula on
def compare(
    name: str,
    demand: float,
    capacity: float,
    unit: Unit,
    *,
    formula: str,
    source: str,
    limits: str,
    note: str = "",
    watch_from: float = WATCH_FROM,
    worst: Verdict = "fails",
    structure: bool = False,
    worked: tuple[str, *tuple[float, ...]] = ("",),
) -> Check:
    """Hold a demand against a capacity.

    Parameters
    ----------
    name, demand, capacity, unit, formula, source, note, structure
        As in :class:`Check`.
    limits : str
        ``limits_of_use`` of the check.
    watch_from : float
        Ratio from which a check that holds says "watch".
    worst : {"fails", "watch", "info"}
        What to say where the demand is more than the capacity; ``"watch"`` for values too soft to fail anything.
    worked : tuple of str and float
        The formula with a ``{}`` for each of its numbers, then these.

    Returns
    -------
    Check
        "ok" below ``watch_from``, "watch" up to and at the capacity, ``worst`` beyond.
    """
    verdict: Verdict = "ok"
    if demand > capacity:
        verdict = worst
    elif demand > 0 and demand >= watch_from * capacity:
        verdict = "watch"
    ratio = demand / capacity if capacity > 0 else None
    return Check(
        name=name,
        demand=demand,
        capacity=capacity,
        unit=unit,
        ratio=ratio,
        verdict=verdict,
        formula=formula,
        source=source,
        limits_of_use=limits,
        note=note,
        structure=structure,
        worked=worked[0],
        numbers=worked[1:],
    )


# arguments: the fields of a check, by keyword from the formula on
def inform(
    name: str,
    note: str,
    *,
    source: str,
    limits: str,
    formula: str = "none",
    demand: float | None = None,
    unit: Unit = "",
    verdict: Verdict = "info",
) -> Check:
    """Make a check that compares nothing: a fact, a warning or a refusal in words."""
    return Check(
        name=name,
        demand=demand,
        capacity=None,
        unit=unit,
        ratio=None,
        verdict=verdict,
        formula=formula,
        source=source,
        limits_of_use=limits,
        note=note,
    )
