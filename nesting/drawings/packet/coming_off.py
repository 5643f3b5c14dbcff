"""In which order parts come off sheets and lumber: that of the cuts, in which one peels their labels."""

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.build import Build
from nesting.crates.bevels import bevelled
from nesting.drawings.packet.works import lumber_works, sheet_works


@dataclass(frozen=True, slots=True)
class Off:
    """A part as it comes off.

    Attributes
    ----------
    name : str
        Of the part.
    cut : int
        Number of its cut among those of its good; 0 for lumber, whose cuts have none.
    """

    name: str
    cut: int = 0


def coming_off(build: Build) -> Iterator[Off]:
    """Yield every copy of every part in the order of the cuts; a blank that is ripped in two, at that rip.

    What is a whole sheet, or exists already, comes off no cut.
    """
    blanks = bevelled(build.crates)
    for each in sheet_works(build):
        for cut in each.plan.cuts:
            for side in (cut.off, cut.stays):
                if side.kind == "part" and side.name not in blanks:
                    yield from [Off(side.name, cut.number)] * cut.repeat
        rips = (cut for setting in each.bevels for cut in setting.cuts)
        for cut in rips:
            yield from [Off(cut.off.name, cut.number)] * cut.repeat
    yield from _lumber(build)


def _lumber(build: Build) -> Iterator[Off]:
    """Yield every copy of what comes off lumber, stop by stop."""
    for each in lumber_works(build):
        for stop in each.work.settings:
            for bar in stop.cuts:
                for name in (*bar.parts, *([bar.left] if bar.left else [])):
                    yield from [Off(name)] * bar.repeat
