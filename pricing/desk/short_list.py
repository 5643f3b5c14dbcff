"""The short list of a crate: designs that the search chooses from, each made and the whole job priced with it.

Every figure is that of quick cuts with all other crates as they are designed, the crate's own design among them: what
one comes to more than another is told, and no total.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.measure import UnitSystem, format_length
from nesting.base.progress import silent
from nesting.base.search import Memory, Search
from nesting.crates.cases.consignment import CartonLoad, Grouping
from nesting.crates.chosen import SHELL_AS_RULED, CaseDesign
from nesting.crates.designs import built_to
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from pricing.desk.settling import Settling
from pricing.quoting.ledger import Entry, entries_of
from pricing.quoting.quote import Quote
from pricing.quoting.work import designs_of

MOST: Final = 6
"""Designs of a short list."""
AS_RULED: Final = "as the shop's rules have it"


@dataclass(frozen=True)
class Candidate:
    """One design of a crate.

    Attributes
    ----------
    taken : Grouping
        What is chosen for that crate.
    crate : Crate
        As it is then made.
    words : str
        What of it is otherwise than the rules have it, and what it is built to.
    more : Decimal or None
        How much more the job comes to than with the design that the crate has; None where the two do not compare.
    hours : Decimal
        How much longer all work takes.
    now : bool
        Whether the crate has this design.
    entries : tuple of Entry
        What the job then comes to is the sum of.
    riding : tuple of Crate
        What then rides in it.
    """

    taken: Grouping
    crate: Crate
    words: str
    more: Decimal | None
    hours: Decimal
    now: bool
    entries: tuple[Entry, ...] = ()
    riding: tuple[Crate, ...] = ()

    @property
    def stamp(self) -> str:
        """A text that is another for another design, or other pieces in the crate."""
        return hashlib.sha256(repr(self.taken).encode()).hexdigest()[:16]


def has_designs(crate: Crate) -> bool:
    """Whether a crate has designs to choose from: what rides in a case has none, nor what is held or accepted."""
    return crate.inside_of is None and crate.standing == "good"


def short_list(asked: Settling, quote: Quote, crate: Crate, memory: Memory) -> tuple[Candidate, ...]:
    """Return the designs of a crate, that which it has first, then the cheapest for the whole job.

    Parameters
    ----------
    asked, quote : Settling, Quote
        The job, and what it came to.
    crate : Crate
        One that the quote is of.
    memory : Memory
        Of quick drafts.
    """
    design = quote.build.grouping
    if design is None or not has_designs(crate):
        return ()
    search = Search(asked.seed, "quick", progress=silent, memory=memory, draft=True)
    try:
        base = asked.quick(memory, design, draft=True)
    except FaultsFound:
        return ()
    own = _own(base.build.grouping or design, crate)
    found: list[Candidate] = []
    seen = set()
    for taken in (own, *designs_of(asked.order, asked.office, crate, search, on=asked.on)):
        if len(found) >= MOST:
            break
        try:
            made = base if taken is own else replace(asked, taken=taken).quick(memory, design, draft=True)
        except FaultsFound:
            continue
        mine = _alike(made, crate)
        if mine is None or made.build.grouping in seen:
            continue
        seen.add(made.build.grouping)
        words = words_of(taken, mine, asked.order.units)
        more = made.total - base.total if made.compares_with(base) else None
        found.append(Candidate(taken, mine, words, more, made.hours - base.hours, taken is own,
                               entries_of(made), tuple(made.build.riding(mine.crate))))  # fmt: skip
    return tuple(sorted(found, key=lambda each: (not each.now, each.more is None, each.more or 0)))


def _own(chosen: Grouping, crate: Crate) -> Grouping:
    """Return what was chosen for a crate."""
    pieces = set(crate.pieces)
    cases = tuple(load for load in chosen.cases if set(load.pieces) == pieces)
    if method_of(crate).is_case and cases:
        return Grouping(cases)
    if method_of(crate).shares:
        loads = tuple(load for load in chosen.cartons if set(load.pieces) == pieces)
        return Grouping((), cartons=loads or (CartonLoad(crate.pieces, crate.destination),))
    return Grouping((), shells=((crate.pieces[0], dict(chosen.shells).get(crate.pieces[0], SHELL_AS_RULED)),))


def _alike(quote: Quote, crate: Crate) -> Crate | None:
    """Return the crate of a quote that holds the same pieces in the same way."""
    mine = (each for each in quote.build.every if each.method == crate.method and set(each.pieces) == set(crate.pieces))
    return next((each for each in mine if method_of(each).is_case == method_of(crate).is_case), None)


def words_of(taken: Grouping, crate: Crate, units: UnitSystem) -> str:
    """Say what a design is."""
    if taken.cases:
        load = taken.cases[0]
        told = _case(load.design, units) or AS_RULED
        told += f"; {load.pieces[0]} at the back" if len(load.pieces) > 1 else ""
    elif taken.cartons:
        told = _carton(taken.cartons[0], units)
    else:
        told = "; ".join(filter(None, (built_to(crate), _patterns(dict(taken.shells[0][1].patterns)))))
    return told or AS_RULED


def _case(design: CaseDesign, units: UnitSystem) -> str:
    foam = [
        f"foam {format_length(thick, units, mark=True)} {where}"
        for thick, where in zip(design.foam, ("at the ends", "at base and top", "at back and front"), strict=True)
        if thick
    ]
    return ", ".join(
        filter(
            None,
            (
                f"opens at the {design.opens}" if design.opens else "",
                f"edges of {design.post}" if design.post else "",
                "lumber on edge" if design.on_edge else "",
                *foam,
                f"{format_length(design.clear, units, mark=True)} shims behind the foam" if design.clear else "",
                "frames on their side" if any(design.turned) else "",
                _patterns(dict(design.patterns)),
                f"{' and '.join(dict.fromkeys(face for face, *_ in design.seams))} in two" if design.seams else "",
            ),
        )
    )


def _carton(load: CartonLoad, units: UnitSystem) -> str:
    design = load.design
    if not design.foam:
        return ""
    return ", ".join(
        filter(
            None,
            (
                f"{format_length(design.thickness, units, mark=True)} of {design.foam} all round",
                design.good or "the smallest carton that takes it",
                f"{design.beside} side by side" if design.beside > 1 else "",
                "long sides in a row" if design.turned else "",
                "each in a tray" if design.trays else "",
                "back to back" if design.backs else "",
            ),
        )
    )


def _patterns(patterns: Mapping[str, int]) -> str:
    """Say which faces are divided otherwise than by themselves."""
    if not patterns:
        return ""
    ways = ", ".join(f"{face} way {number + 1}" for face, number in patterns.items())
    return f"seams laid otherwise ({ways})"
