"""Check: one finding of the advice, with its demand, its capacity, its source and its limits.

Sources are in pounds and inches or in newtons and millimetres; a finding can be told in either. Its figures are
converted, exactly. Its texts hold both forms where these differ, ``[[2850|19.65]]``: inch-pound before the bar, SI
behind it; the numbers that are put into a formula are given in inch-pound units and follow the unit written behind
their place. So there is one formula with two forms, and no second set of figures that could go astray.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from math import floor, isclose, isfinite, log10
from typing import Any, Final, Literal

from nesting.base.measure import LB_KG, UnitSystem, pounds
from nesting.base.writing import form

Verdict = Literal["ok", "watch", "fails", "info"]
Unit = Literal[
    "lbf", "N", "lb", "kg", "in", "mm", "psi", "kPa", "N/mm2", "sq in", "sq cm", "G", "people", "deg", "ratio", ""
]  # fmt: skip

ADVICE = (
    "Advice from published formulas, not a certification: test, follow local codes, and ask a licensed engineer "
    "where people or great value depend on it."
)

KG_PER_LB = float(LB_KG)
"""Kilograms in a pound, exact by definition."""

N_PER_KG = 9.80665
"""Newtons that a kilogram weighs: standard gravity, exact by definition."""

N_PER_LBF = KG_PER_LB * N_PER_KG
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
    ("psi", "N/mm2", KPA_PER_PSI / 1000),
    ("sq in", "sq cm", 2.54**2),
)

_PUT_IN: Final[dict[str, tuple[str, float]]] = {
    **{inch: (metric, factor) for inch, metric, factor in reversed(_PAIRS)},
    "lbf in": ("N m", N_PER_LBF * 0.0254),
    "lb in2": ("kN mm2", N_PER_LBF * 25.4**2 / 1000),
    "lb in": ("kN mm", N_PER_LBF * 25.4 / 1000),
}
"""What stands behind a number in a formula, and the same in SI."""

_NUMBER: Final = re.compile(rf"\{{\}}(?: ({'|'.join(sorted(_PUT_IN, key=len, reverse=True))})(?![a-z0-9]))?")
_TEXTS: Final = ("formula", "source", "limits_of_use")


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
        The formula, in the source's letters; in two forms where these differ, as source and limits may be.
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
        What stands there, in the units that ``worked`` writes.
    told : {"inch", "metric"}
        In which unit system formula, source and limits are written.
    other : tuple of str
        The same three texts in the other one; empty where they are the same.
    in_si : str
        Unit of demand and capacity in SI, where it is not the usual one: stress in wood is told in N/mm2.
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
    told: UnitSystem = "inch"
    other: tuple[str, ...] = ()
    in_si: Unit = ""

    def __post_init__(self) -> None:
        texts = [getattr(self, label) for label in _TEXTS]
        if any(form(text, "inch") != text for text in texts):
            for label, text in zip(_TEXTS, texts, strict=True):
                object.__setattr__(self, label, form(text, "inch"))
            object.__setattr__(self, "other", tuple(form(text, "metric") for text in texts))
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
            return self._worked()
        if self.demand is None or self.capacity is None:
            return ""
        ratio = f" = {figure(self.ratio)}" if self.ratio is not None else ""
        return f"{figure(self.demand)} / {figure(self.capacity)}{ratio}"

    def _worked(self) -> str:
        numbers = iter(self.numbers)

        def put(match: re.Match[str]) -> str:
            value, unit = next(numbers), match[1]
            if unit is not None and self.told == "metric":
                unit, factor = _PUT_IN[unit]
                if unit == "kPa" and self.in_si == "N/mm2":
                    unit, factor = "N/mm2", factor / 1000
                value *= factor
            return f"{figure(value)} {unit}" if unit else figure(value)

        return _NUMBER.sub(put, form(self.worked, self.told))

    def in_system(self, system: UnitSystem) -> "Check":
        """Return the same finding with figures, formula and sources in the other unit system, where they have one."""
        told = self
        if system != self.told and (self.other or self.worked):
            texts: dict[str, Any] = dict(zip(_TEXTS, self.other, strict=True)) if self.other else {}
            other = tuple(getattr(self, name) for name in _TEXTS) if self.other else ()
            told = replace(self, told=system, other=other, **texts)
        for inch, metric, factor in _PAIRS:
            if self.unit == inch and system == "metric" and (inch != "psi" or self.in_si in ("", metric)):
                return _scaled(told, metric, factor)
            if self.unit == metric and system == "inch":
                return _scaled(told, inch, 1 / factor)
        return told

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
        kept = ("worked", "numbers", "told", "other", "in_si")
        names = (name for name in self.__slots__ if name not in kept)
        return {name: getattr(self, name) for name in (*names, "put_in", "advice")}


def _scaled(check: Check, unit: Unit, factor: float) -> Check:
    """Return a check with its figures in another unit."""
    demand, capacity = (None if v is None else v * factor for v in (check.demand, check.capacity))
    return replace(check, unit=unit, demand=demand, capacity=capacity)


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
    in_si: Unit = "",
) -> Check:
    """Hold a demand against a capacity.

    Parameters
    ----------
    name, demand, capacity, unit, formula, source, note, structure, in_si
        As in :class:`Check`; formula, source and limits may hold two forms.
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
        in_si=in_si,
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
