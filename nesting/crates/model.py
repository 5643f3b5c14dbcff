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
    "bearing pad",
    "case face",
    "case lumber",
    "cushion",
    "spacer",
    "skid",
    "outrigger",
    "backing block",
    "skid block",
    "lid ledge",
    "skid pad",
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

    Attributes
    ----------
    x, y : int
        From the back's left edge and from its bottom edge, seen from outside.
    into : str
        Part that takes the screw, or the piece.
    screw : str
        As a builder writes it.
    pilot, stop : str
        The drill for the thread, and where the stop stands on it, for people.
    tip_margin : int
        Least distance of the tip from what it must not reach.
    clearance : str
        The drill for the hole through what is held, for people; empty where none is drilled.
    bores : tuple of int
        The same three as lengths: through what is held, for the thread, depth of the stop; empty where not known.
    """

    x: int
    y: int
    into: str
    screw: str
    pilot: str = ""
    tip_margin: int = 0
    stop: str = ""
    clearance: str = ""
    bores: tuple[int, int, int] | tuple[()] = ()


FittingRole = Literal["handle", "gel", "strap", "buckle"]


@dataclass(frozen=True, slots=True)
class Fitting:
    """One bought thing on or in a crate that has a place of its own.

    Attributes
    ----------
    good : str
        What it is.
    role : str
        What it does.
    box : Box
        The room that it takes.
    text : str
        Where it is, for people.
    """

    good: str
    role: FittingRole
    box: Box
    text: str = ""


@dataclass(frozen=True, slots=True)
class Bolt:
    """One bolt through wood.

    Attributes
    ----------
    good : str
        What it is; its good's breadth is its length under the head.
    x, y, z : int
        Where its head bears.
    way : tuple of int
        Which way it goes from there, such as (1, 0, 0).
    through : tuple of str
        Parts that it goes through, in that order.
    nut : str
        Good of its nut or T-nut, where that is not bought with it.
    washer : str
        Good of the washer under the nut; empty without one.
    hole : int
        Drill for it.
    bore : int
        How deep its nut is sunk from the far side; 0 where it is not.
    frees : {"", "crate"}
        Whether the crate is open when it is drawn.
    """

    good: str
    x: int
    y: int
    z: int
    way: tuple[int, int, int]
    through: tuple[str, ...]
    nut: str = ""
    washer: str = ""
    hole: int = 0
    bore: int = 0
    frees: Literal["", "crate"] = ""


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
    """One numbered instruction of two lines at most, and what stands beside it.

    Attributes
    ----------
    text : str
        What is done.
    caution : str
        Where hands meet blade, weight, glue or dust.
    drill, stop : str
        Drill, and where the stop on it stands; other settings of a tool.
    screw : str
        What is driven, with count and spacing.
    check : str
        What is looked at or measured before going on.
    """

    text: str
    caution: str = ""
    drill: str = ""
    stop: str = ""
    screw: str = ""
    check: str = ""


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
    bolts: int = 0
    fittings: int = 0
    seals: int = 0


Standing = Literal["good", "held", "accepted"]
Stands = Literal["", "free", "longer skids", "pallet", "A-frame"]


@dataclass(frozen=True, slots=True)
class HeldFor:
    """One reason why a crate is held: a check of what holds the piece, which no design passes.

    Attributes
    ----------
    check : str
        Its name.
    found, allowed : str
        With their units; both empty where the reason is another crate's.
    would_pass : str
        What would pass.
    """

    check: str
    found: str
    allowed: str
    would_pass: str

    @property
    def told(self) -> str:
        """The check with its figures."""
        if not self.found:
            return self.check
        nothing = self.allowed.partition(" ")[0] == "0"
        return (
            f"{self.check} {self.found}, where nothing is allowed"
            if nothing
            else (f"{self.check} {self.found} of {self.allowed}")
        )

    @property
    def sentence(self) -> str:
        """The reason as one line."""
        passing = f"; would pass: {self.would_pass}" if self.would_pass else ""
        return f"{self.told}{passing}"


@dataclass(frozen=True, slots=True)
class Designed:
    """The design that a crate was built to, or one that came next to it.

    Attributes
    ----------
    key : str
        Equal for equal designs.
    back, battens : str
        Goods; no battens where it has none.
    cleat : int
        How many layers its mounting cleats have.
    text : str
        What it is, in a few words.
    tare_kg, minutes : float
        What the crate weighs, and what its making by hand takes, by the lights of the shop floor.
    cost : int
        By the judge that chose it, in the judge's own whole unit.
    """

    key: str
    back: str
    battens: str = ""
    cleat: int = 1
    text: str = ""
    tare_kg: float = 0.0
    minutes: float = 0.0
    cost: int = 0


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
    standing : {"good", "held", "accepted"}
        Held where no design passes its checks: then it is not cut; accepted where the studio took it all the same.
    held_for : tuple of HeldFor
        Why; empty where it is good.
    accepted : str
        The studio's written reason; empty where it did not accept it.
    code : str
        Digest of pieces, failing checks and design, which an acceptance must bear; empty where it is good.
    design : Designed or None
        What was chosen of the catalogue; None where the method has none.
    others : tuple of Designed
        The next best, at most two.
    gear : tuple of Fitting
        What it is lifted by, held by and breathes through, where that was bought.
    bolts : tuple of Bolt
        Every bolt.
    body : Size or None
        Its outside without skids and handles; None where it has neither. Coordinates count from the body's lower left
        corner: skids lie below zero, and what reaches out at the sides or behind does too.
    stands : str
        How it keeps upright in transit; empty where nobody asked.
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
    standing: Standing = "good"
    held_for: tuple[HeldFor, ...] = ()
    accepted: str = ""
    code: str = ""
    design: Designed | None = None
    others: tuple[Designed, ...] = ()
    gear: tuple[Fitting, ...] = ()
    bolts: tuple[Bolt, ...] = ()
    body: Size | None = None
    stands: Stands = ""

    @property
    def shell(self) -> Size:
        """Its outside without skids and handles."""
        return self.body or self.outside

    @property
    def carried(self) -> Size:
        """Its outside as it goes through a door: outriggers, which are bolted on, come off for it."""
        staying = [each.box for each in self.placed if each.role != "outrigger"]
        if len(staying) == len(self.placed):
            return self.outside
        deep = max(box.z + box.dz for box in staying) - min(box.z for box in staying)
        return Size(self.outside.width, self.outside.height, deep)

    @property
    def gross_kg(self) -> float:
        """Net and tare together, each rounded to 0.1 kg first so that the printed figures add up."""
        return round(round(self.net_kg, 1) + round(self.tare_kg, 1), 1)
