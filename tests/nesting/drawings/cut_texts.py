"""The list of cuts as exact text, and a saw that cuts a sheet from that text alone: the proof of the order of cuts.

One line a cut: its number, rip or crosscut, the panel's letter, the fence setting and the edge against the fence, what
comes off, and what stays::

    3 rip A fence 4 3/8 from bottom: K1.rail; stays: panel A

Lengths are exact here. One that is on no 1/64 in (or 0.1 mm) is written rounded with the exact figure in brackets.
"""

import re
from dataclasses import dataclass, field

from nesting.base.measure import UnitSystem, format_length, format_length_exact, parse_length
from nesting.drawings.cut_list import outcome
from tests.benchmarks.cut_order import CutStep

_LINE = re.compile(
    r"(?P<number>\d+) (?P<action>trim|rip|crosscut) (?P<panel>[A-Z]+) fence (?P<fence>.+?) "
    r"from (?P<edge>left|right|bottom|top): (?P<off>.+?); stays: (?P<stays>.+)"
)
_HEAD = re.compile(r"A is the sheet, (?P<length>.+?) × (?P<width>.+?), kerf (?P<kerf>.+)")


class CutListError(ValueError):
    """A cut list that cannot be followed: says which line and why."""


@dataclass(frozen=True, slots=True)
class Freed:
    """What a replayed list leaves: part, offcut or waste, its name, and its size along and across the sheet."""

    kind: str
    name: str
    dx: int
    dy: int


def exact(value: int, units: UnitSystem) -> str:
    """Write a length: plain on 1/64 in or 0.1 mm, else rounded with the exact figure in brackets."""
    shown = format_length(value, units, 64)
    if parse_length(shown, units) == value:
        return shown
    return f"{format_length(value, units)} ({format_length_exact(value, units)})"


def read_exact(text: str, units: UnitSystem) -> int:
    """Read what :func:`exact` wrote."""
    bracket = re.fullmatch(r"[^(]*\(([^)]*)\)", text.strip())
    return parse_length(bracket[1] if bracket else text, units)


def head(length: int, width: int, kerf: int, units: UnitSystem) -> str:
    """Return the line above a list: what panel A is, and the kerf that the numbers have in them."""
    return f"A is the sheet, {exact(length, units)} × {exact(width, units)}, kerf {exact(kerf, units)}"


def line(step: CutStep, units: UnitSystem) -> str:
    """Return one cut as a line of text."""
    return (
        f"{step.number} {step.action} {step.panel} fence {exact(step.fence, units)} from {step.edge}: "
        f"{outcome(step.off)}; stays: {outcome(step.stays)}"
    )


def cut_list(steps: tuple[CutStep, ...], length: int, width: int, kerf: int, units: UnitSystem) -> str:
    """Return the whole list as text, its head first."""
    return "\n".join([head(length, width, kerf, units), *(line(step, units) for step in steps)])


def replay(text: str, units: UnitSystem, *, whole: str = "") -> list[Freed]:
    """Cut a sheet by a printed list and nothing else.

    Parameters
    ----------
    text : str
        What :func:`cut_list` made.
    units : {"inch", "metric"}
        What bare numbers mean.
    whole : str
        What the sheet is where the list has no cut: a part's name, ``"offcut"`` or ``"waste"``.

    Returns
    -------
    list of Freed
        Everything that is not cut further, in the order in which it is freed.

    Raises
    ------
    CutListError
        When a line cannot be read, names a panel that is not there, or asks for more than the panel has.
    """
    lines = [each for each in text.splitlines() if each.strip()]
    match = _HEAD.fullmatch(lines[0].strip()) if lines else None
    if match is None:
        raise CutListError("the list does not say what panel A is")
    length, width, kerf = (read_exact(match[key], units) for key in ("length", "width", "kerf"))
    saw = _Saw(kerf, units, {"A": (length, width)})
    if len(lines) == 1:
        saw.lay(whole, length, width)
    else:
        for each in lines[1:]:
            saw.cut(each.strip())
        if saw.at_hand:
            raise CutListError(f"panels {', '.join(sorted(saw.at_hand))} are never finished")
    return saw.freed


@dataclass(slots=True)
class _Saw:
    """A sheet being cut by a list: panels at hand by letter, and what is finished."""

    kerf: int
    units: UnitSystem
    at_hand: dict[str, tuple[int, int]]
    freed: list[Freed] = field(default_factory=list)

    def cut(self, text: str) -> None:
        """Make the cut that a line asks for."""
        cut = _LINE.fullmatch(text)
        if cut is None:
            raise CutListError(f"cannot read the line: {text}")
        if cut["panel"] not in self.at_hand:
            raise CutListError(f"{text}: there is no panel {cut['panel']}")
        dx, dy = self.at_hand.pop(cut["panel"])
        fence = read_exact(cut["fence"], self.units)
        along, trim = cut["edge"] in ("left", "right"), cut["action"] == "trim"
        has = dx if along else dy
        if not trim and (cut["action"] == "rip") == along:
            raise CutListError(f"{text}: a {cut['action']} has no fence at the {cut['edge']}")
        if not 0 < fence <= has:
            raise CutListError(f"{text}: {fence} is outside a panel of {has}")
        # A trim's figure has the kerf in it, and what comes off is waste.
        rest = has - fence if trim else max(0, has - fence - self.kerf)
        try:
            if not trim:
                self.lay(cut["off"], *((fence, dy) if along else (dx, fence)))
            self.lay(cut["stays"], *((rest, dy) if along else (dx, rest)))
        except CutListError as error:
            raise CutListError(f"{text}: {error}") from None

    def lay(self, word: str, dx: int, dy: int) -> None:
        """Put down what the list says a piece is, with the size that it has by now."""
        if word == "nothing" or min(dx, dy) <= 0:
            if (word != "nothing" or min(dx, dy) > 0) and word != "waste":
                raise CutListError(f"{word} of {dx} x {dy}")
        elif word.startswith("panel "):
            letter = word.removeprefix("panel ")
            if letter in self.at_hand:
                raise CutListError(f"there is a panel {letter} already")
            self.at_hand[letter] = (dx, dy)
        else:
            self.freed.append(Freed(word if word in ("offcut", "waste") else "part", word, dx, dy))
