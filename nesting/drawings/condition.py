"""What a condition report says of one work before anybody looks at it: known facts, what is looked at, and grades.

The packet draws it small, to be filled in by hand; the front office sends it by itself. The words stand here, once.
"""

from dataclasses import dataclass
from typing import Final
from zoneinfo import ZoneInfo

from nesting.advice.cushion import allowed
from nesting.build import Build
from nesting.crates.limits import shock_limit
from nesting.order import Artwork
from nesting.shop.surfaces import cure

GRADES: Final = ("excellent", "good", "fair", "poor")
"""The four words of a general grade: forms of museums agree on them, though no standard fixes them."""
OUT: Final = "Going out"
IN: Final = "Coming in"
GOING: Final = "condition"
COMING: Final = "what changed"
"""What is written at both times."""
CORNER: Final = "lower left"
"""The corner of the face from which damage is measured, as seen from the front."""
MEASURED: Final = f"Damage is measured from the {CORNER}."
OFTEN: Final = (
    "One report each time the work leaves its crate and each time it goes in again: 2 (n + 1) of them for n venues."
)
"""Counted from a registrar's rule: start and end, unpacking and packing again at each venue."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something of a work: its label, and what is known of it; empty where it is to be written."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Report:
    """A condition report before anybody looks at the work.

    Attributes
    ----------
    work : Artwork
        One copy.
    made : tuple of Fact
        Artist, year, medium, and edition where there is one.
    known : tuple of Fact
        Surface with its cure, what shock it takes, support and back, as far as known.
    aspects : tuple of str
        What is looked at, a line to write each.
    """

    work: Artwork
    made: tuple[Fact, ...]
    known: tuple[Fact, ...]
    aspects: tuple[str, ...]

    @property
    def title(self) -> str:
        """What the work is called."""
        return self.work.title or "Title not given"


def report_of(work: Artwork, build: Build) -> Report:
    """Return the report of a work, with all that the order and the shop's rules say of it."""
    made = [Fact("Artist", work.artist), Fact("Year", work.year), Fact("Medium", work.medium)]
    if work.edition:
        made.append(Fact("Edition", work.edition))
    known = [Fact("Surface", _surface(work, build)), Fact("Shock", _shock(work, build))]
    if work.support:
        known.append(Fact("Support", work.support))
    if work.back.kind != "solid":
        known.append(Fact("Back", work.back.kind))
    return Report(work, tuple(made), tuple(known), _aspects(work))


def _surface(work: Artwork, build: Build) -> str:
    """Return what must not be touched, and from when resin bears it."""
    if work.surface != "resin":
        return work.surface
    found = cure(work, build.shop.cure, ZoneInfo(build.shop.studio.time_zone))
    if found is None:
        return "resin, day of its last pour not known"
    return f"resin; nothing lies against it before {found.face:%Y-%m-%d}"


def _shock(work: Artwork, build: Build) -> str:
    """Return what shock the work takes, and who says so."""
    limit, whose = shock_limit((work,), build.shop)
    takes = allowed(work.longest_side, limit, build.shop.cushion)
    says = f"as {whose.partition(' for ')[0]} says" if limit and takes == limit else "taken from its size"
    return f"{takes:g} G at the most, {says}"


def _aspects(work: Artwork) -> tuple[str, ...]:
    """Return what is looked at; glazing only where there is any."""
    face = "face and glazing" if work.surface == "glazed" else "face, surface"
    edges = f"edges and {work.back.kind}" if work.back.has_bars else "edges and corners"
    return face, edges, "back, cleats, labels", "earlier repairs"


def face_size(work: Artwork, width: float, height: float) -> tuple[float, float]:
    """Return width and height of a work's face, drawn as large as it goes in a room."""
    scale = min(width / work.width, height / work.height)
    return work.width * scale, work.height * scale
