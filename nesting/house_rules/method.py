"""Rules by which a packing method is picked."""

from dataclasses import dataclass

from nesting.house_rules.checked import Checked
from nesting.measure import INCH
from nesting.rules import COMMON_PRACTICE, rule


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
    """What a finished crate must get through."""

    ways: tuple[str, ...] = rule(
        ("door 36 x 84 in",),
        unit="words",
        doc="Doors, lifts and vans that every crate is checked against; the first is the studio's own door.",
    )
