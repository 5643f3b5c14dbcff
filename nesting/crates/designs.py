"""Designs in words: what a crate was built to and what came next to it, the same on every paper and table."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from nesting.advice.check import figure
from nesting.advice.cushion import SHOCK
from nesting.base.counts import few
from nesting.base.measure import UnitSystem, format_weight
from nesting.crates.cases.consignment import Grouping
from nesting.crates.model import Crate, Designed
from nesting.crates.registry import method_of


@dataclass(frozen=True, slots=True)
class Beside:
    """A design that came next, held against the one that was built.

    Attributes
    ----------
    text : str
        What of it is otherwise; the whole where its words are the same.
    heavier_kg, minutes : float
        By how much the crate would be heavier, and its making take longer; less than zero where less.
    cost : int
        By how much it costs more, by the judge that chose, in the judge's own unit.
    """

    text: str
    heavier_kg: float
    minutes: float
    cost: int

    def heavier(self, units: UnitSystem) -> str:
        """Say how much heavier or lighter it is."""
        more = format_weight(abs(self.heavier_kg), units, mark=True)
        if more.startswith("0 "):
            return "as heavy"
        return f"{more} {'heavier' if self.heavier_kg > 0 else 'lighter'}"

    def longer(self) -> str:
        """Say how much longer or shorter its making takes by hand."""
        minutes = round(abs(self.minutes))
        if not minutes:
            return "as long to make"
        return f"{minutes} min {'more' if self.minutes > 0 else 'less'}"


def beside(crate: Crate) -> tuple[Beside, ...]:
    """Return the designs that came next to a crate's own, at most two."""
    if crate.design is None:
        return ()
    built = crate.design
    return tuple(
        Beside(
            _otherwise(other, built),
            other.tare_kg - built.tare_kg,
            other.minutes - built.minutes,
            other.cost - built.cost,
        )
        for other in crate.others
    )


def _otherwise(other: Designed, built: Designed) -> str:
    """Return what of a design is not as in the one that was built."""
    same = built.text.split(", ")
    return ", ".join(part for part in other.text.split(", ") if part not in same) or other.text


def best_of(grouping: Grouping | None) -> str:
    """Return of how many designs of the whole order its crates are the best; empty where none were compared."""
    tried = grouping.tried if grouping is not None else 0
    return f"best of {tried:,} designs" if tried > 1 else ""


def foam_line(crates: Iterable[Crate], rule: str) -> str:
    """Return what comes through foam that is as thick as a rule says; empty where it is as thick as the check asks.

    Parameters
    ----------
    rule : {"checked", "snug", "fixed"}
        How the foam of cases was found; in a carton nothing is snug.
    """
    if rule == "checked":
        return ""
    told = [
        f"{crate.crate} {figure(check.demand or 0)} G of {figure(check.capacity or 0)} G"
        for crate in crates
        for check in crate.checks
        if check.name == SHOCK and (rule != "snug" or method_of(crate).is_case)
    ]
    if not told:
        return ""
    return f"Foam is {rule}, as the rule says, not as thick as the check asks; a drop passes on: {few(told)}."


def built_to(crate: Crate) -> str:
    """Return what a crate was built to; empty where its method has no designs."""
    return crate.design.text if crate.design is not None else ""


def next_best(crate: Crate, units: UnitSystem, more: Callable[[Beside], str] = Beside.longer) -> str:
    """Return what came next and how much heavier it would be; empty where nothing did.

    Parameters
    ----------
    more : callable
        Says what else it would take: the time, or whatever who asks reads off it.
    """
    return "; ".join(f"{each.text} ({each.heavier(units)}, {more(each)})" for each in beside(crate))


def design_lines(crate: Crate, units: UnitSystem) -> Iterator[str]:
    """Yield what a crate was built to and what came next, as sentences."""
    if text := built_to(crate):
        yield f"Built to: {text}."
    if text := next_best(crate, units):
        yield f"Next best: {text}."
