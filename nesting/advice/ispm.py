"""ISPM 15: which crates need treated and marked wood when they leave the country.

FAO / IPPC, *International Standards for Phytosanitary Measures* no. 15, *Regulation of wood packaging material in
international trade*. Wood packaging of raw wood is in scope. Exempt is what is made *entirely* of thin wood, 6 mm or
less, and what is made *wholly* of processed wood (plywood, strand board, veneer, with glue, heat or pressure). One raw
cleat thicker than that brings the whole crate into scope. A crate is one unit and bears one mark, put on only by an
accredited maker; stamped lumber does not mark a crate. This program never draws the mark.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from nesting.advice.check import Check, Verdict, inform
from nesting.base.measure import MM, millimetres
from nesting.base.rules import check_rules, rule

Need = Literal["no", "yes", "ask"]

TREATMENTS: dict[str, str] = {
    "HT": "heat: 56 °C in the core for at least 30 minutes on end",
    "MB": "methyl bromide",
    "DH": "dielectric heating: 60 °C throughout for 1 minute",
    "SF": "sulphuryl fluoride",
}
"""Treatment codes that a mark may hold (Annex 1; all but HT from memory)."""

_SOURCE = "ISPM 15, scope and section 2.1, quoted by an accredited inspection agency"
_LIMITS = "the rules of both countries on the day of dispatch decide; ask the carrier or the plant health authority"


@dataclass(frozen=True, slots=True)
class IspmRules:
    """Borders and the wood that crosses them."""

    thin: int = rule(
        6 * MM,
        unit="length",
        low=0,
        high=6 * MM,
        doc="Raw wood up to this thickness is exempt if the crate is entirely of it.",
        source=_SOURCE,
    )
    exempt_pairs: str = rule(
        "US-CA",
        unit="word",
        doc="Pairs of countries that ask nothing of each other, such as US-CA, separated by spaces.",
        source="US-Canada exempt at present (trade, from memory, as of 2025)",
    )

    def __post_init__(self) -> None:
        check_rules(self)
        for pair in self.exempt_pairs.split():
            if len(pair) != 5 or pair[2] != "-" or not (pair[:2] + pair[3:]).isalpha():
                raise ValueError(f"exempt_pairs: found {pair!r}; accepted: two country codes such as US-CA")

    def exempt(self, one: str, other: str) -> bool:
        """Return whether two countries ask nothing of each other, whichever way round they are written."""
        wanted = {one.upper(), other.upper()}
        return any({pair[:2].upper(), pair[3:].upper()} == wanted for pair in self.exempt_pairs.split())


@dataclass(frozen=True, slots=True)
class WoodMember:
    """A wooden part of a crate, inner travel frames included.

    Attributes
    ----------
    name : str
        The part.
    thickness : int
        Its thinnest side, exact grid.
    raw : bool
        Raw wood, not made of veneers, strands or particles with glue, heat or pressure.
    """

    name: str
    thickness: int
    raw: bool


@dataclass(frozen=True, slots=True)
class Treatment:
    """What a crate needs at a border.

    Attributes
    ----------
    need : {"no", "yes", "ask"}
        Whether its wood must be treated and the crate marked; ``"ask"`` where the standard's wording leaves doubt.
    marks : int
        How many marks the crate must bear: one at the most.
    members : tuple of str
        The parts that bring it into scope.
    check : Check
        The finding for people.
    """

    need: Need
    marks: int
    members: tuple[str, ...]
    check: Check


def treatment(members: Iterable[WoodMember], origin: str, destination: str, rules: IspmRules) -> Treatment:
    """Return whether a crate of these members needs treated wood and a mark between two countries.

    Parameters
    ----------
    members : iterable of WoodMember
        Every wooden part of the unit that is shipped.
    origin, destination : str
        Country codes of two letters (ISO 3166-1); an empty one means the same country as the other.

    Raises
    ------
    ValueError
        For a code that is not two letters.
    """
    for code in (origin, destination):
        if code and not (len(code) == 2 and code.isascii() and code.isalpha()):
            raise ValueError(f"found country {code!r}; accepted: a code of two letters such as US")
    parts = tuple(members)
    raw = [part for part in parts if part.raw]
    thick = tuple(part.name for part in raw if part.thickness > rules.thin)
    if not origin or not destination or origin.upper() == destination.upper():
        return _finding("no", (), "info", "stays in the country: ISPM 15 does not ask for anything")
    route = f"{origin.upper()} to {destination.upper()}"
    if rules.exempt(origin, destination):
        return _finding("no", (), "info", f"{route} is exempt at present; ask before it leaves")
    if thick:
        limit = f"{millimetres(rules.thin):g} mm"
        note = (
            f"{route}: raw wood over {limit} ({', '.join(dict.fromkeys(thick))}): all raw wood treated, one mark on "
            "the crate, put on only by an accredited maker; stamped lumber does not mark a crate; "
            "or build it wholly of plywood"
        )
        return _finding("yes", thick, "watch", note)
    if not raw:
        return _finding("no", (), "ok", f"{route}: exempt, made wholly of processed wood")
    names = tuple(part.name for part in raw)
    if len(raw) == len(parts):
        return _finding("no", (), "ok", f"{route}: exempt, made entirely of thin wood")
    note = (
        f"{route}: thin raw wood together with panels is neither entirely thin nor wholly processed: ask, or use panels"
    )
    return _finding("ask", names, "watch", note)


def _finding(need: Need, members: tuple[str, ...], verdict: Verdict, note: str) -> Treatment:
    check = inform("wood at the border", note, source=_SOURCE, limits=_LIMITS, verdict=verdict)
    return Treatment(need, 1 if need == "yes" else 0, members, check)
