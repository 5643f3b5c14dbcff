"""What stands beside a step: which fixings are driven in it, how many, how far apart, with which pilot drill.

Steps take their counts from the fixings that were counted on the bench, so that neither can say what the other does
not: a test holds every fixing of a crate against the steps in which it is driven.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from nesting.base.measure import INCH, MM, UnitSystem, format_length
from nesting.base.own_length import OwnLength
from nesting.crates.bench import Bench
from nesting.crates.model import Step
from nesting.shop.shop import Shop

TICKED: Final = "first all that the packing page asks"
"""What is looked at before a crate is closed stands on a page of its own."""
LONGEST: Final = 140
"""Characters of a step's text: two printed lines. Names of pieces and goods are the shop's own and may be longer."""

SAW: Final = "Guard and riving knife on; push stick; eyes, ears and lungs protected."
GLUE: Final = "Glue: gloves and fresh air; read its label."
HOT: Final = "Hot glue burns: gloves."
DRILL: Final = "Eye protection; no hand where the bit comes out; no gloves near a turning bit."
DUST: Final = "Gloves off while the drill turns, clean ones on again before the piece; its face covered against dust."


def driven(
    bench: Bench, step: Step, purpose: str, *, count: int | None = None, apart: str = "", how: str = ""
) -> Step:  # 6 arguments: what is told and of which fixings, by keyword from there on
    """Return a step with the fixings whose purpose begins so written beside it; as it is where there are none.

    Parameters
    ----------
    purpose : str
        As :attr:`nesting.crates.model.Fixing.purpose` begins.
    count : int or None
        How many of them are driven here, where another step drives the rest.
    apart, how : str
        How far from each other they stand; what is said of them beside that.
    """
    found = [each for each in bench.fixings if each.purpose.startswith(purpose)]
    if not found or count == 0:
        return step
    told = [f"{each.count if count is None else count} × {each.good}" for each in found]
    pilots = [f"{pilot} pilot" for pilot in dict.fromkeys(each.pilot for each in found) if pilot]
    words = ", ".join(["; ".join(told), *(each for each in (how, apart) if each)])
    return replace(
        step,
        screw="; ".join(each for each in (step.screw, words) if each),
        drill="; ".join(dict.fromkeys(each for each in (step.drill, *pilots) if each)),
    )


def stopped(bench: Bench, step: Step, purpose: str, units: UnitSystem) -> Step:
    """Return a step whose drill goes no deeper than the screws whose purpose begins so: their tips stay in the wood."""
    lengths = [bench.shop.good(each.good).breadth for each in bench.fixings if each.purpose.startswith(purpose)]
    if not lengths or not min(lengths):
        return step
    return replace(step, stop=format_length(min(lengths), units, 64, mark=True))


def roughly(value: int, units: UnitSystem) -> str:
    """Write a length that nobody measures closely, to half an inch or to 5 mm."""
    return format_length(round(value / (5 * MM)) * 5 * MM if units == "metric" else value, units, 2, mark=True)


def bolted(count: int, good: str, how: str = "") -> str:
    """Write bolts as other fixings are written."""
    return f"{count} × {good}" + (f", {how}" if how else "")


_SQUARE: Final = OwnLength(INCH // 16, 2 * MM)
"""By how much the diagonals of a frame may differ (common practice, no source)."""


def square(units: UnitSystem, shop: Shop) -> str:
    """Say how a frame is checked."""
    return f"both diagonals equal within {format_length(shop.own(_SQUARE), units, 16, mark=True)}"


def listed(words: Sequence[str]) -> str:
    """Return words one after the other: ``a``, ``a and b``, ``a, b and c``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def lifters(lift: str) -> str:
    """Say who lifts, as a sentence needs it."""
    return "forks, a jack or a hoist, never hands alone" if lift == "forks" else lift


def said_once(steps: Iterable[Step]) -> tuple[Step, ...]:
    """Return steps with each caution where it first matters, and not again."""
    made: list[Step] = []
    said: set[str] = set()
    for step in steps:
        made.append(replace(step, caution="") if step.caution in said else step)
        said.add(step.caution)
    return tuple(made)
