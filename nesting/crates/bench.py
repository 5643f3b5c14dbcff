"""The bench: where a crate is put together part by part while it is worked out.

A method puts boxes on the bench; the bench names the parts, counts equal ones together and remembers where each copy
goes. Nothing here knows a crate: it is the bookkeeping that every method shares.
"""

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Literal

from nesting.crates.model import Bolt, Box, Fitting, Fixing, Frees, Placed, Role
from nesting.cutting.parts import Grain, Part, Piecework, StickPart
from nesting.shop.shop import Shop

Axis = Literal["x", "y", "z"]


def extent(box: Box, axis: Axis) -> int:
    """Return a box's extent along an axis."""
    return box.dx if axis == "x" else box.dy if axis == "y" else box.dz


def other_axes(axis: Axis) -> tuple[Axis, Axis]:
    """Return the two axes across the given one."""
    return {"x": ("y", "z"), "y": ("x", "z"), "z": ("x", "y")}[axis]  # type: ignore[return-value]  # mypy widens the literals


@dataclass(slots=True)
class Bench:
    """Parts, places and hardware of one crate while it grows.

    Attributes
    ----------
    crate : str
        Prefix of every part's name.
    shop : Shop
        Its goods give thicknesses.
    """

    crate: str
    shop: Shop
    placed: list[Placed] = field(default_factory=list)
    fittings: list[Fitting] = field(default_factory=list)
    bolts: list[Bolt] = field(default_factory=list)
    _known: dict[tuple[object, ...], str] = field(default_factory=dict)
    _parts: dict[str, Part] = field(default_factory=dict)
    _sticks: dict[str, StickPart] = field(default_factory=dict)
    _counts: Counter[str] = field(default_factory=Counter)
    _used: Counter[str] = field(default_factory=Counter)
    _fixings: dict[tuple[str, str], Fixing] = field(default_factory=dict)

    def copy(self) -> "Bench":
        """Return a bench with the same on it, to try what goes on next."""
        return replace(
            self,
            placed=[*self.placed],
            fittings=[*self.fittings],
            bolts=[*self.bolts],
            _known={**self._known},
            _parts={**self._parts},
            _sticks={**self._sticks},
            _counts=Counter(self._counts),
            _used=Counter(self._used),
            _fixings={**self._fixings},
        )

    # arguments: what a part is, where it lies and how it is turned, by keyword from there on
    def panel(
        self,
        name: str,
        good: str,
        box: Box,
        role: Role,
        *,
        flat: Axis,
        along: Axis | None = None,
        panel_of: str | None = None,
        seam: int | None = None,
    ) -> str:
        """Put down one copy of a sheet part and return its full name.

        Parameters
        ----------
        name : str
            Short name; a part of the same name and size is counted with the earlier ones, another size gets a number.
        good : str
            Its thickness must be the box's extent along ``flat``.
        along : {"x", "y", "z"}, optional
            The axis that the face grain follows where the shop wants strips along the grain; none for a face, which
            may be cut either way.
        panel_of, seam
            As in :class:`nesting.cutting.parts.Part`.

        Raises
        ------
        ValueError
            If the box is not as thick as the good.
        """
        thickness = self.shop.good(good).thickness
        if extent(box, flat) != thickness:
            raise ValueError(f"{self.crate}.{name}: {extent(box, flat)} thick, but {good} measures {thickness}")
        a, b = (extent(box, axis) for axis in other_axes(flat))
        grain: Grain = "any"
        if along is None:
            length, width = max(a, b), min(a, b)
        else:
            length, width = (a, b) if other_axes(flat)[0] == along else (b, a)
            if self.shop.joinery.grain_along and self.shop.good(good).grain:
                grain = "length"
        key = (name, length, width, good, grain, panel_of, seam)
        if (known := self._known.get(key)) is None:
            known = self._known[key] = self._unused(name)
            self._parts[known] = Part(known, length, width, good, 1, grain, panel_of, seam)
        return self._place(known, box, role)

    def stick(self, name: str, good: str, box: Box, role: Role, *, along: Axis) -> str:
        """Put down one copy of a length of lumber and return its full name."""
        key = (name, extent(box, along), good)
        if (known := self._known.get(key)) is None:
            known = self._known[key] = self._unused(name)
            self._sticks[known] = StickPart(known, extent(box, along), good)
        return self._place(known, box, role)

    def _unused(self, name: str) -> str:
        """Return the full name of a part that differs from all before: a number after it where the name is taken."""
        base, number = f"{self.crate}.{name}", 1
        full = base
        while full in self._parts or full in self._sticks:
            number += 1
            full = f"{base}-{number}"
        return full

    def _place(self, name: str, box: Box, role: Role) -> str:
        index = self._counts[name]
        self._counts[name] = index + 1
        self.placed.append(Placed(name, index, box, role))
        return name

    def use(self, good: str, count: int) -> None:
        """Count piecework: hardware, glue, tape."""
        self.shop.good(good)
        if count > 0:
            self._used[good] += count

    def fit(self, fitting: Fitting, count: int = 1) -> None:
        """Put down a bought thing where it goes; ``count`` of its good's use units are used, such as mm of strap."""
        self.use(fitting.good, count)
        self.fittings.append(fitting)

    def bolt(self, bolt: Bolt, purpose: str) -> None:
        """Put a bolt where it goes, with its nut and washer; equal purposes add up among the fixings."""
        for good in (bolt.nut, bolt.washer):
            if good:
                self.use(good, 1)
        self.fix(bolt.good, 1, purpose, frees=bolt.frees)
        self.bolts.append(bolt)

    def fix(self, good: str, count: int, purpose: str, pilot: str = "", *, frees: Frees = "", piece: str = "") -> None:
        """Count screws (or staples) for one purpose; equal purposes add up. The rest is as in :class:`Fixing`."""
        if count <= 0:
            return
        self.use(good, count)
        before = self._fixings.get((good, purpose))
        whole = count + (before.count if before else 0)
        self._fixings[good, purpose] = Fixing(good, whole, purpose, pilot, frees, piece)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Sheet parts with their counts, in the order in which they were first put down."""
        return tuple(
            Part(p.name, p.length, p.width, p.good, self._counts[p.name], p.grain, p.panel_of, p.seam)
            for p in self._parts.values()
        )

    @property
    def sticks(self) -> tuple[StickPart, ...]:
        """Lumber with its counts."""
        return tuple(StickPart(s.name, s.length, s.good, self._counts[s.name]) for s in self._sticks.values())

    @property
    def goods(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What sheet parts and lumber are of, each good once."""
        return (
            tuple(dict.fromkeys(part.good for part in self._parts.values())),
            tuple(dict.fromkeys(stick.good for stick in self._sticks.values())),
        )

    @property
    def piecework(self) -> tuple[Piecework, ...]:
        """Hardware by number, in the order of the shop's goods."""
        return tuple(Piecework(good, self._used[good]) for good in self.shop.by_name if self._used[good])

    @property
    def fixings(self) -> tuple[Fixing, ...]:
        """Screws and staples by purpose."""
        return tuple(self._fixings.values())

    def screws(self) -> int:
        """Screws in all, whatever for."""
        return sum(
            f.count for f in self._fixings.values() if self.shop.material(self.shop.good(f.good).material).is_screw
        )
