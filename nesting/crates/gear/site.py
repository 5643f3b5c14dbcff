"""The site: what gear needs to know of the crate that it goes on."""

from dataclasses import dataclass

from nesting.base.measure import UnitSystem, format_length
from nesting.crates.bench import Bench
from nesting.crates.model import Box, Role
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Site:
    """A closed or battened crate without its gear.

    Attributes
    ----------
    shop, units
        Rules and goods; how figures are written.
    width, height, depth : int
        Outside of its body.
    thick : int
        Of the frame strips.
    back, strip : int
        Inside of the back, and how far what lies inside the strips reaches from there: to the lid, or its ledge.
    behind : int
        From the inside of the back to the pieces: room of the setting blocks.
    foot : int
        From an outside corner along a stile to the end of corner block and liner: blocks keep clear of it.
    gussets : tuple of Box
        Over the joints of the frame.
    laminated : bool
        Whether lumber is laminated: for another country, where the shop's rule says so.
    ledge : int
        How much further the strips reach than what lies inside them.
    """

    shop: Shop
    units: UnitSystem
    width: int
    height: int
    depth: int
    thick: int
    back: int
    strip: int
    behind: int
    foot: int
    gussets: tuple[Box, ...] = ()
    laminated: bool = False
    ledge: int = 0

    @property
    def block(self) -> int:
        """Thickness of blocks."""
        return self.shop.good(self.shop.joinery.block_good).thickness

    @property
    def step(self) -> int:
        """Step to which gear is set: coarser than screws, so that a tape finds it."""
        return 4 * self.shop.joinery.snap

    def up(self, value: int) -> int:
        """Return a length rounded up to that step."""
        return -(-value // self.step) * self.step

    def say(self, value: int, denominator: int = 16) -> str:
        """Write a length."""
        return format_length(value, self.units, denominator, mark=True)


@dataclass(frozen=True, slots=True)
class Weighed:
    """What a crate weighs with all that is on it, and where its centre of gravity lies in the body's coordinates."""

    gross_kg: float
    centre: tuple[int, int, int]


def part_at(bench: Bench, role: Role, x: int, y: int, z: int) -> str:
    """Return the name of the part of a role that a point lies in.

    Raises
    ------
    LookupError
        Where none does: gear is only planned where the frame is.
    """
    for placed in bench.placed:
        b = placed.box
        inside = b.x <= x <= b.x + b.dx and b.y <= y <= b.y + b.dy and b.z <= z <= b.z + b.dz
        if placed.role == role and inside:
            return placed.part
    raise LookupError(f"no {role} at {x}, {y}, {z}")
