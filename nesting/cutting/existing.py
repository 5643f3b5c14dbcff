"""Parts that exist already: which of them are used for which wanted part, which are left over, what is still to cut.

A part is the same part whatever crate it was cut for: good, finished size and, where it is wanted, the grain decide.
A part that was wanted either way round may lie either way in its sheet, so it never serves where the grain counts.
Those that need the grain choose first: nobody else's parts serve them, so the most parts possible are used.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from nesting.cutting.given import OpenSheet
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Sheet
from nesting.cutting.sticks import Stick

P = TypeVar("P", Part, StickPart)


@dataclass(frozen=True, slots=True)
class Used(Generic[P]):
    """Parts that exist and are used.

    Attributes
    ----------
    part : Part or StickPart
        What is wanted, with the count that is served so.
    label : str
        The name on the label of what exists.
    """

    part: P
    label: str


@dataclass(frozen=True, slots=True)
class Match(Generic[P]):
    """What exists of one good, held against what is wanted of it.

    Attributes
    ----------
    used : tuple of Used
        In the order of what is wanted.
    left_over : tuple of Part or StickPart
        What exists and nobody wants.
    to_cut : tuple of Part or StickPart
        What is wanted and does not exist.
    """

    used: tuple[Used[P], ...]
    left_over: tuple[P, ...]
    to_cut: tuple[P, ...]


def match_parts(wanted: Sequence[Part], existing: Sequence[Part]) -> Match[Part]:
    """Match parts of one sheet good; a part that carries its own name already is the first choice."""
    return _match(
        wanted,
        existing,
        lambda part: (max(part.length, part.width), min(part.length, part.width)),
        (
            lambda want, have: want.grain == "length" and _along(want, have) and want.name == have.name,
            lambda want, have: want.grain == "length" and _along(want, have),
            lambda want, have: want.grain == "any" and want.name == have.name,
            lambda want, _: want.grain == "any",
        ),
    )


def match_sticks(wanted: Sequence[StickPart], existing: Sequence[StickPart]) -> Match[StickPart]:
    """Match parts of one stick good by their length."""
    return _match(
        wanted, existing, lambda part: (part.length, 0), (lambda want, have: want.name == have.name, lambda *_: True)
    )


def _along(want: Part, have: Part) -> bool:
    """Tell whether the grain of what exists is known and runs as it is wanted."""
    return have.grain == "length" and (have.length, have.width) == (want.length, want.width)


def _match(
    wanted: Sequence[P],
    existing: Sequence[P],
    size: Callable[[P], tuple[int, int]],
    choices: Iterable[Callable[[P, P], bool]],
) -> Match[P]:
    """Give what exists to what is wanted, choice after choice."""
    places = defaultdict[tuple[int, int], list[int]](list)
    for place, have in enumerate(existing):
        places[size(have)].append(place)
    left, lacking = [have.count for have in existing], [want.count for want in wanted]
    taken = defaultdict[tuple[int, str], int](int)
    for choice in choices:
        for number, want in enumerate(wanted):
            for place in places.get(size(want), ()):
                count = min(lacking[number], left[place])
                if count and choice(want, existing[place]):
                    lacking[number] -= count
                    left[place] -= count
                    taken[number, existing[place].name] += count
    return Match(
        tuple(Used(replace(wanted[number], count=count), label) for (number, label), count in sorted(taken.items())),
        tuple(replace(have, count=count) for have, count in zip(existing, left, strict=True) if count),
        tuple(replace(want, count=count) for want, count in zip(wanted, lacking, strict=True) if count),
    )


OPEN = "open "
"""What the names of open stock begin with on layouts, so that nobody takes it for stock to buy."""


def open_sheets(good: str, free: Iterable[OpenSheet], stock: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """Return the open sheets of a good as stock that costs nothing; whole ones are trimmed as those that are bought."""
    trims = {(each.length, each.width): each.trim for each in stock if each.source == "buy"}
    return tuple(
        Sheet(
            OPEN + each.name, each.length, each.width, 0, each.count, trims.get((each.length, each.width)), "open",
            good=good,
        )
        for each in free
        if each.good == good and each.width and each.count
    )  # fmt: skip


def open_sticks(good: str, free: Iterable[OpenSheet]) -> tuple[Stick, ...]:
    """Return the open sticks of a good as stock that costs nothing."""
    return tuple(
        Stick(OPEN + each.name, each.length, 0, each.count, "open")
        for each in free
        if each.good == good and not each.width and each.count
    )
