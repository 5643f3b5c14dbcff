"""The crate as a value: parts, where each goes, hardware, drill points, steps and checks.

Coordinates of a crate, seen from its front (the lid, or the face of the piece): ``x`` from left to right, ``y`` from
bottom to top, ``z`` from the outside of the back (0) to the front. All integers of the exact grid. An outer case uses
the same axes; its travel frames are placed by :attr:`Crate.rides`.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from nesting.advice.check import Check
from nesting.cutting.parts import Part, Piecework, RollPart, StickPart

Role = Literal[
    "rail",
    "stile",
    "back",
    "lid",
    "liner",
    "corner block",
    "cleat",
    "french cleat",
    "batten",
    "seam batten",
    "slat",
    "gusset",
    "setting block",
    "case face",
    "case lumber",
    "cushion",
    "spacer",
    "skid",
    "outrigger",
    "board",
    "other",
]


@dataclass(frozen=True, slots=True)
class Size:
    """Outside or inside measure: width (x), height (y), depth (z)."""

    width: int
    height: int
    depth: int

    def __post_init__(self) -> None:
        if min(self.width, self.height, self.depth) <= 0:
            raise ValueError(f"a size must be more than zero each way, not {self}")


@dataclass(frozen=True, slots=True)
class Box:
    """A cuboid in crate coordinates: lower corner and extent."""

    x: int
    y: int
    z: int
    dx: int
    dy: int
    dz: int

    def __post_init__(self) -> None:
        if min(self.dx, self.dy, self.dz) <= 0:
            raise ValueError(f"a box must have extent each way, not {self}")

    @property
    def volume(self) -> int:
        """Volume in cubic grid units."""
        return self.dx * self.dy * self.dz

    def meets(self, other: "Box") -> bool:
        """Whether the insides of two boxes share any space (touching faces do not)."""
        return (
            self.x < other.x + other.dx
            and other.x < self.x + self.dx
            and self.y < other.y + other.dy
            and other.y < self.y + self.dy
            and self.z < other.z + other.dz
            and other.z < self.z + self.dz
        )


@dataclass(frozen=True, slots=True)
class Placed:
    """One copy of a part where it goes.

    Attributes
    ----------
    part : str
        Name of the part (a name in ``Crate.parts`` or ``Crate.sticks``).
    index : int
        Which copy, from 0.
    box : Box
        Its bounding cuboid.
    role : str
        What it does.
    profile : tuple of (int, int)
        For a bevelled part: its (y, z) outline, extruded along x; empty for a plain cuboid.
    half : {"", "hanging", "piece"}
        Which half of a French cleat: both come from one blank, so both bear the name and copy of that blank.
    """

    part: str
    index: int
    box: Box
    role: Role
    profile: tuple[tuple[int, int], ...] = ()
    half: Literal["", "hanging", "piece"] = ""


@dataclass(frozen=True, slots=True)
class Drill:
    """A mounting screw's point on the outside of the back.

    ``x`` is from the back's left edge, ``y`` from its bottom edge, seen from outside; ``pilot`` and ``stop``, the drill
    and where the stop stands on it, are for people.
    """

    x: int
    y: int
    into: str
    screw: str
    pilot: str = ""
    tip_margin: int = 0
    stop: str = ""


Frees = Literal["", "crate", "piece"]


@dataclass(frozen=True, slots=True)
class Fixing:
    """One kind of screw (or staple, nail) used for one purpose.

    Attributes
    ----------
    good : str
        What it is.
    count : int
        How many.
    purpose : str
        What it joins, for people.
    pilot : str
        Its pilot drill.
    frees : {"", "crate", "piece"}
        What is freed when it is drawn: the crate is open, or a piece comes off its mounting; empty where it stays in.
    piece : str
        Which piece, where one is freed.
    """

    good: str
    count: int
    purpose: str
    pilot: str = ""
    frees: Frees = ""
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered instruction; ``caution`` stands beside it."""

    text: str
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Layer:
    """One packing layer of a piece, from the surface outwards."""

    piece: str
    material: str
    text: str


@dataclass(frozen=True, slots=True)
class Work:
    """Counts of hand operations for the labour estimate; saw work is counted from the layouts."""

    holes: int = 0
    screws: int = 0
    staples: int = 0
    glue_runs: int = 0
    wraps: int = 0
    mountings: int = 0
    assemblies: int = 0


@dataclass(frozen=True, slots=True)
class Crate:
    """A crate, carton, travel frame or outer case, ready to cut, build and weigh.

    Attributes
    ----------
    crate : str
        ``"K1"``, ``"K2"``, ...
    method : str
        Name of its packing method; what it is like is for :func:`nesting.crates.registry.method_of` to say.
    reason : str
        Why this method: the rule that chose it, or that the order asked for it.
    pieces : tuple of str
        Copies it carries (``"A-01"`` or ``"A-01#2"``).
    inside_of : str or None
        The outer case that a travel frame rides in.
    outside, inside : Size
        Extremes, skids and battens included; free room inside the frame.
    net_kg, tare_kg : float
        Artworks; the crate itself (for an outer case, its travel frames included).
    spread_kg : float
        Uncertainty of the gross weight.
    centre : tuple of int
        Centre of gravity in crate coordinates.
    parts, sticks, rolls, piecework
        What it is made of.
    placed : tuple of Placed
        Every copy of every part and stick where it goes.
    pieces_placed : tuple of (str, Box)
        Each piece's own cuboid in crate coordinates.
    rides : tuple of (str, Box)
        Travel frames in an outer case, each with its cuboid in the case's coordinates.
    for_buyer : tuple of str
        What stays with whoever hangs the pieces, such as the hanging halves of French cleats.
    cleat_drill : tuple of Drill
        Screws through the cleats into the pieces, in the coordinates of ``drill``; ``into`` names the piece, and the
        margin is what is left to its face.
    """

    crate: str
    method: str
    reason: str
    pieces: tuple[str, ...]
    outside: Size
    inside: Size
    net_kg: float
    tare_kg: float
    inside_of: str | None = None
    destination: str = ""
    spread_kg: float = 0.0
    centre: tuple[int, int, int] = (0, 0, 0)
    parts: tuple[Part, ...] = ()
    sticks: tuple[StickPart, ...] = ()
    rolls: tuple[RollPart, ...] = ()
    piecework: tuple[Piecework, ...] = ()
    placed: tuple[Placed, ...] = ()
    pieces_placed: tuple[tuple[str, Box], ...] = ()
    rides: tuple[tuple[str, Box], ...] = ()
    for_buyer: tuple[str, ...] = ()
    drill: tuple[Drill, ...] = ()
    cleat_drill: tuple[Drill, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    layers: tuple[Layer, ...] = ()
    steps: tuple[Step, ...] = ()
    checks: tuple[Check, ...] = ()
    warnings: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    lift: str = ""
    raw_wood: bool = False
    earliest_packing: datetime | None = None
    work: Work = field(default_factory=Work)

    @property
    def gross_kg(self) -> float:
        """Net and tare together, each rounded to 0.1 kg first so that the printed figures add up."""
        return round(round(self.net_kg, 1) + round(self.tare_kg, 1), 1)
