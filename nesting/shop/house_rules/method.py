"""Rules by which a packing method is picked."""

from dataclasses import dataclass
from typing import Final

from nesting.advice.passage import LIMITS, Limit
from nesting.base.measure import INCH
from nesting.base.rules import COMMON_PRACTICE, Checked, rule

_METRIC: Final = tuple(name for name in LIMITS if not name.endswith(" in") and "trailer" not in name)
"""Limits whose names hold no inches; a container is called by its feet everywhere."""


@dataclass(frozen=True, slots=True)
class MethodRules(Checked):
    """How ``auto`` picks a packing method."""

    carton_size: int = rule(
        24 * INCH,
        unit="length",
        low=0,
        high=60 * INCH,
        doc="Longest side that may travel in a carton.",
        source=COMMON_PRACTICE,
    )
    carton_lb: float = rule(
        10.0, unit="lb", low=0.0, high=70.0, doc="Heaviest piece that may travel in a carton.", source=COMMON_PRACTICE
    )
    closed_size: int = rule(
        48 * INCH,
        unit="length",
        low=0,
        high=120 * INCH,
        doc="Longest side of a piece for a plain closed crate; larger pieces get battens.",
        source=COMMON_PRACTICE,
    )
    travel_from: int = rule(
        2,
        unit="count",
        low=1,
        high=99,
        doc="Travel frames in an outer case are chosen when this many larger pieces share a destination.",
        source=COMMON_PRACTICE,
    )
    case_most: int = rule(
        5, unit="count", low=1, high=12, doc="Most travel frames in one outer case.", source=COMMON_PRACTICE
    )


@dataclass(frozen=True, slots=True)
class PassageRules(Checked):
    """What a finished crate must get through: the studio's own door and van, and others by name."""

    door_width: int = rule(
        34 * INCH,
        unit="length",
        low=12 * INCH,
        high=400 * INCH,
        doc="Clear width of the studio's own door; a crate that does not pass is said before anything is cut.",
        source="a [[36 in slab leaves about 34 in|910 mm slab leaves about 860 mm]] clear, from memory: measure yours",
    )
    door_height: int = rule(
        83 * INCH, unit="length", low=24 * INCH, high=400 * INCH, doc="Clear height of the studio's own door."
    )
    van_length: int = rule(
        0, unit="length", low=0, high=800 * INCH, doc="Clear length of the studio's own van; 0 for none."
    )
    van_width: int = rule(53 * INCH, unit="length", low=12 * INCH, high=120 * INCH, doc="Clear width of the van.")
    van_height: int = rule(74 * INCH, unit="length", low=12 * INCH, high=130 * INCH, doc="Clear height of the van.")
    margin: int = rule(INCH // 2, unit="length", low=0, high=4 * INCH, doc="Room for hands at the studio's door.")
    ways: tuple[str, ...] = rule(
        (),
        unit="words",
        doc=f"Others that every crate is checked against; known are: [[{', '.join(LIMITS)}|{', '.join(_METRIC)}]].",
    )

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        unknown = [name for name in self.ways if name not in LIMITS]
        if unknown:
            raise ValueError(f"ways: found {', '.join(unknown)}; accepted: {', '.join(LIMITS)}")

    def limits(self) -> tuple[Limit, ...]:
        """Return every limit that a crate is held against, the studio's own door first."""
        own = [Limit("the studio's door", "door", door=(self.door_width, self.door_height), margin=self.margin)]
        if self.van_length:
            own.append(Limit("the studio's van", "van", room=(self.van_width, self.van_height, self.van_length)))
        return (*own, *(LIMITS[name] for name in self.ways))
