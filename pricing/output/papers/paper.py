"""A kind of paper: what it is called, which consignments need it, how it is made and what it lacks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from nesting.base.writing import PLAIN, Writing
from nesting.drawings.packet.paper import PaperName
from pricing.output.papers.consignment import Consignment


@dataclass(frozen=True, slots=True)
class Look:
    """How papers look.

    Attributes
    ----------
    paper : {"letter", "a4"}
        What they are printed on.
    pictures : mapping of str to bytes
        Pictures by piece, and the studio's own under ``LOGO``; see :mod:`pricing.output.offer.pictures`.
    writing : Writing
        How their figures and days are written.
    """

    paper: PaperName = "letter"
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    writing: Writing = PLAIN


@dataclass(frozen=True, slots=True)
class Paper:
    """A kind of paper.

    Attributes
    ----------
    name : str
        Of its file, without ending: small letters and hyphens.
    title : str
        What people call it.
    wanted : callable
        Whether a consignment needs it.
    make : callable
        Makes it as PDF; several where there are several of one kind, such as one for each buyer.
    missing : callable
        What it lacks and leaves as a line to write on, a sentence each.
    count : callable
        How many of it there are, without making them.
    """

    name: str
    title: str
    wanted: Callable[[Consignment], bool]
    make: Callable[[Consignment, Look], Sequence[bytes]]
    missing: Callable[[Consignment], Sequence[str]]
    count: Callable[[Consignment], int] = lambda _: 1
