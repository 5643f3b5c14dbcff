"""The work at the saws of one job as a person goes through it: setting by setting, with what is ticked of it.

The order is that of the packet (:mod:`nesting.drawings.packet.works`). A tick is kept by what the cut is (which line on
which sheet, laid out how), not by its number: of a plan that changed, what is still the same keeps its tick.
"""

import hashlib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from pricing.store.pins import Cut, Ticking

Key = tuple[str, int, str]
"""Good, place of the layout in its plan, and the mark of a cut; bevels and trims have marks too."""
NOWHERE: Final = -1
"""Instead of a layout, for rips that follow when its sheets are cut already."""


@dataclass(frozen=True, slots=True)
class Piece:
    """What one side of a cut is.

    Attributes
    ----------
    name : str
        Of a part or panel, or a word for what is neither.
    size : str
        With its unit; empty where it has none.
    crate : str
        For which crate, by its name; empty for what is no part.
    count : int
        How many come off, all sheets alike counted.
    kind : str
        As :class:`nesting.cutting.sawing.model.Outcome` has it.
    """

    name: str
    size: str = ""
    crate: str = ""
    count: int = 1
    kind: str = "part"


@dataclass(frozen=True, slots=True)
class Row:
    """Cuts that share a line of the list, and a tick.

    Attributes
    ----------
    number : str
        Of the cut, or the first and last of several, as drawn; empty for lumber.
    where : str
        Which panel or bar, which edge of it, and how many are alike.
    off, stays : tuple of Piece
        What comes off, and what is beyond the blade.
    keys : tuple of Key
        By which the tick is kept.
    done : bool
        Whether it is made.
    """

    number: str
    where: str
    off: tuple[Piece, ...]
    stays: tuple[Piece, ...]
    keys: tuple[Key, ...]
    done: bool = False


@dataclass(frozen=True, slots=True)
class Stop:
    """One setting of a tool, with all that is cut at it.

    Attributes
    ----------
    good, title : str
        What is cut.
    tool : str
        What cuts.
    what, at : str
        What is set, and the figure, without its unit.
    how : tuple of str
        What else is to be heeded: stack, passes, clamp, push block, tilt.
    told : tuple of str
        Why, in sentences.
    hands : str
        The caution that comes first.
    caution : str
        The whole of it.
    rows : tuple of Row
        Its cuts, in order.
    layouts : tuple of int
        Whose drawings show them, from 0.
    """

    good: str
    title: str
    tool: str
    what: str
    at: str
    how: tuple[str, ...]
    told: tuple[str, ...]
    hands: str
    caution: str
    rows: tuple[Row, ...]
    layouts: tuple[int, ...]

    @property
    def keys(self) -> tuple[Key, ...]:
        """By which its ticks are kept."""
        return tuple(key for row in self.rows for key in row.keys)

    @property
    def made(self) -> int:
        """How many of its rows are made."""
        return sum(row.done for row in self.rows)

    @property
    def done(self) -> bool:
        """Whether all of it is made."""
        return self.made == len(self.rows)


@dataclass(frozen=True, slots=True)
class AtSaw:
    """All work at the saws of a build.

    Attributes
    ----------
    stops : tuple of Stop
        In the order of the work.
    repeats : mapping of (str, int) to int
        How many sheets or sticks each layout is cut from, by good and place.
    """

    stops: tuple[Stop, ...]
    repeats: Mapping[tuple[str, int], int]

    @property
    def stamp(self) -> str:
        """A text that is another for other cuts, or another order of them: what a page showed."""
        told = "\n".join(f"{key}" for stop in self.stops for row in stop.rows for key in (*row.keys, "row"))
        return hashlib.sha256(told.encode()).hexdigest()[:16]

    @property
    def left(self) -> int:
        """Which stop is the first of which something is not made, from 0; their number where all is."""
        return next((place for place, stop in enumerate(self.stops) if not stop.done), len(self.stops))

    def next_after(self, place: int) -> int:
        """Return the stop to go to from one: the next of which something is not made, else the first such, else it."""
        ahead = (each for each in range(place + 1, len(self.stops)) if not self.stops[each].done)
        left = self.left
        return next(ahead, left if left < len(self.stops) else place)

    def ticked(self, cut: Cut, pin: int) -> "AtSaw":
        """Return it with what is made of it.

        Parameters
        ----------
        cut : Cut
            What is ticked of the job, at the saw or sheet by sheet.
        pin : int
            Of which pin the plan is; 0 where it is not pinned yet.
        """
        done = self.made(cut, pin)
        return replace(
            self,
            stops=tuple(
                replace(stop, rows=tuple(replace(row, done=done.issuperset(row.keys)) for row in stop.rows))
                for stop in self.stops
            ),
        )

    def made(self, cut: Cut, pin: int) -> frozenset[Key]:
        """Return the cuts that are made: ticked by themselves, or all sheets of their layout ticked as cut.

        What was ticked of an earlier pin counts where the cut is the same and no sheet of it was finished, which a
        later version takes as existing and cuts no more.
        """
        earlier = {
            (good, layout, mark)
            for number, good, layout, mark in cut.made
            if number in cut.pins and number != pin and layout != NOWHERE and not cut.sawn.get((number, good, layout))
        }
        return frozenset(
            key
            for stop in self.stops
            for key in stop.keys
            if (pin, *key) in cut.made or key in earlier or self._whole(cut, pin, key[:2])
        )

    def _whole(self, cut: Cut, pin: int, place: tuple[str, int]) -> bool:
        """Whether all sheets of a layout are ticked as cut."""
        repeat = self.repeats.get(place)
        return repeat is not None and cut.sawn.get((pin, *place), 0) >= repeat

    def ticking(self, keys: Collection[Key], *, done: bool) -> Ticking:
        """Return what ticking some cuts, or taking their ticks back, makes of what holds.

        A layout of which every cut is made counts as cut on the page of sheets too, with all its sheets; one of which a
        cut is taken back does no more.
        """

        def tick(cut: Cut, pin: int) -> Cut:
            before = self.made(cut, pin)
            after = before | set(keys) if done else before - set(keys)
            kept = {each for each in cut.made if each[0] != pin and (done or each[1:] not in keys)}
            sawn = dict(cut.sawn)
            for place in {key[:2] for key in keys} & self.repeats.keys():
                if after.issuperset(self._of(place)):
                    sawn[pin, *place] = self.repeats[place]
                elif self._whole(cut, pin, place):
                    del sawn[pin, *place]
            now = replace(cut, sawn=sawn)
            # What counts as cut as a whole needs no ticks of its cuts beside it.
            single = {key for key in after if not self._whole(now, pin, key[:2])}
            whole = {(pin, *key) for key in after - single}
            return replace(now, made=frozenset(kept - whole | {(pin, *key) for key in single}))

        return tick

    def _of(self, place: tuple[str, int]) -> Iterator[Key]:
        return (key for stop in self.stops for key in stop.keys if key[:2] == place)
