"""Which crates are made alike: once from the same pages, whatever their names, pieces and places."""

import re
from collections.abc import Sequence

from nesting.crates.held import accepted_line
from nesting.crates.model import Crate

_DAY = re.compile(r"\d{4}-\d\d-\d\d(?: \d\d:\d\d)?")
_OWN_DAY = "(its own day, on the page to check it by)"


def plainly(crate: Crate, text: str) -> str:
    """Return a text with a crate's own names, those of its pieces and frames, and days replaced by what is common."""
    for index, name in sorted(enumerate((*crate.pieces, *(ride for ride, _ in crate.rides))), key=_longest):
        text = re.sub(rf"(?<![\w#-]){re.escape(name)}(?![\w#-])", f"<{index}>", text)
    return _DAY.sub("<day>", text.replace(f"{crate.crate}.", ""))


def _longest(numbered: tuple[int, str]) -> tuple[int, str]:
    return -len(numbered[1]), numbered[1]


def likeness(crate: Crate) -> tuple[object, ...]:
    """Return what two crates must share to be made and packed by the same pages."""

    def plain(text: str) -> str:
        return plainly(crate, text)

    return (
        crate.method,
        crate.outside,
        crate.inside,
        crate.accepted,
        tuple((plain(part.name), part.length, part.width, part.count, part.good) for part in crate.parts),
        tuple((plain(part.name), part.length, part.count, part.good) for part in crate.sticks),
        tuple((plain(roll.name), roll.length, roll.width, roll.count, roll.good) for roll in crate.rolls),
        tuple((plain(each.part), each.box, each.half) for each in crate.placed),
        tuple((each.x, each.y, plain(each.into), each.screw, each.pilot, each.stop) for each in crate.drill),
        tuple(box for _, box in crate.rides or crate.pieces_placed),
        tuple((each.good, each.count, plain(each.purpose), each.pilot) for each in crate.fixings),
        tuple((each.good, each.box) for each in crate.gear),
        tuple((each.good, each.x, each.y, each.z) for each in crate.bolts),
        tuple(
            tuple(map(plain, (step.text, step.caution, step.drill, step.stop, step.screw, step.check)))
            for step in crate.steps
        ),
        tuple((plain(layer.piece), layer.material, plain(layer.text)) for layer in crate.layers),
        crate.marks,
        crate.raw_wood,
        crate.lift,
    )


def alike(crates: Sequence[Crate]) -> list[tuple[Crate, ...]]:
    """Gather what is made alike, each group where its first stands."""
    groups: dict[object, list[Crate]] = {}
    for crate in crates:
        groups.setdefault(likeness(crate), []).append(crate)
    return [tuple(group) for group in groups.values()]


def accepted_lines(crates: Sequence[Crate]) -> str:
    """Return what stands first on pages that crates share: the reason of each that was accepted though it fails."""
    return "; ".join(filter(None, map(accepted_line, crates)))


def accepted_in(crates: Sequence[Crate], every: Sequence[Crate]) -> str:
    """Return the same of crates and of what rides in them, each once."""
    riding = {name for crate in crates for name, _ in crate.rides}
    mine = {crate.crate for crate in crates}
    return accepted_lines([*crates, *(each for each in every if each.crate in riding - mine)])


def days_apart(crates: Sequence[Crate]) -> bool:
    """Whether crates made alike are packed on different days."""
    return len({crate.earliest_packing for crate in crates}) > 1


def without_days(text: str) -> str:
    """Return a text of the first of several crates without the day that is its alone."""
    return _DAY.sub(_OWN_DAY, text)
