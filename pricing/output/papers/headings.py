"""Headings of the Harmonized System, as advice: what the words of a work suggest. A licensed customs broker decides.

World Customs Organization, *Harmonized System*, edition 2022, chapter 97 with its notes, and heading 49.11 (headings
and subheadings from memory). What makes a print or a cast no work of chapter 97: 19 CFR 10.48 and note 3 to the chapter
(prints pulled from plates made wholly by hand), United States customs ruling NY 854208 of 1990 (a printed base under
paint), the first twelve casts (19 CFR 10.48(b)).
"""

import re
from dataclasses import dataclass
from typing import Final

from nesting.order import Artwork

OLD: Final = 100
"""Above this age in years a work has a subheading of its own."""
MOST_CASTS: Final = 12
"""Casts that the United States take as sculpture; other countries take fewer, the European Union eight (memory)."""
_PULLED: Final = re.compile(
    r"\b(?:lithograph|etching|engraving|woodcut|linocut|mezzotint|drypoint|screen ?print|monotype|monoprint)"
)
_PRINTED: Final = re.compile(
    r"\b(?:gicl[ée]e|ink ?jet|poster|photograph|printed|prints? on|(?:uv|digital|pigment|photo|c)[- ]print)\w*"
)
_SCULPTED: Final = re.compile(r"\b(?:sculpture|statue|bronze|carv|assemblage)")
_PAINTED: Final = re.compile(
    r"\b(?:paint|oils?\b|acrylic|resin|watercolou?r|gouache|tempera|encaustic|pastel|drawing|charcoal|graphite|pencil"
    r"|inks?\b|pigment)"
)
_NUMBER: Final = re.compile(r"\d+")
_YEAR: Final = re.compile(r"\b(1[5-9]\d\d|20\d\d)\b")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of the Harmonized System.

    Attributes
    ----------
    code : str
        Such as ``9701.91``; empty where nothing can be said.
    about : str
        What it is for, or why nothing can be said.
    typed : bool
        Whether the order or the studio says it; advice otherwise.
    """

    code: str
    about: str
    typed: bool = False

    @property
    def line(self) -> str:
        """The heading as a paper says it."""
        if self.typed:
            return f"heading {self.code}, as stated by the sender"
        return f"heading {self.code} as advice" if self.code else f"no heading as advice: {self.about}"


def advised(work: Artwork, kind: str, year: int) -> Heading:
    """Return the heading that a work's medium suggests.

    Parameters
    ----------
    work : Artwork
        Its medium, else its support, is read; its edition and year too.
    kind : str
        Original, replica, reproduction or copy; empty where nobody said.
    year : int
        The present one.
    """
    words = (work.medium or work.support).lower()
    old = (made := _YEAR.search(work.year)) is not None and year - int(made[1]) > OLD
    found = Heading("", "the medium is not known")
    if _PRINTED.search(words):
        found = _printed(words)
    elif kind == "reproduction":
        found = Heading("", "a reproduction is not a work of chapter 97")
    elif _PULLED.search(words):
        found = Heading("9702.10" if old else "9702.90", "original engravings, prints and lithographs")
    elif _SCULPTED.search(words):
        found = _sculpted(work.edition, kind, old=old)
    elif _PAINTED.search(words):
        found = Heading("9701.21" if old else "9701.91", "paintings, drawings and pastels made wholly by hand")
    return found


def _printed(words: str) -> Heading:
    if _PAINTED.search(_PRINTED.sub("", words)):
        return Heading("", "paint or resin over a printed base may be 4911, not 9701")
    return Heading("4911.91", "pictures and photographs, printed")


def _sculpted(edition: str, kind: str, *, old: bool) -> Heading:
    number = _NUMBER.search(edition)
    if number and int(number[0]) > MOST_CASTS:
        return Heading("", f"cast {number[0]} is beyond the first {MOST_CASTS}, and not 9703")
    if kind in ("replica", "copy"):
        return Heading("", f"a {kind} of a sculpture is not 9703")
    return Heading("9703.10" if old else "9703.90", "original sculptures")
