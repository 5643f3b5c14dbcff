"""Small works that may share cartons: the best few ways to put those of one destination into cartons, with designs."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice, product
from typing import Any, Final

from nesting.crates.cartons import sharing
from nesting.crates.case_choice import plain
from nesting.crates.cases.consignment import CartonLoad, parted
from nesting.crates.cases.partition import cheapest_covers
from nesting.crates.choice.combos import Group, Option, Slot
from nesting.crates.choice.costs import Costs
from nesting.crates.chosen import CARTON_AS_RULED, CartonDesign
from nesting.crates.model import Crate
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Packing, Refused, RulesClash
from nesting.cutting.yardstick import Wanted, wanted
from nesting.order import Artwork

UNSUITED: Final = 10**9
"""What a crate costs more that no carrier or door takes: it is paid only where none of its designs is taken."""
_RUNS: Final = 4_000
"""Cartons in all that are looked at, those of equal works counted for each of their runs."""

Filled = Callable[[tuple[Artwork, ...], CartonDesign], Packing]
"""Makes the request for a carton of some works with a design."""


@dataclass
class Sharing:
    """The cartons of one destination.

    Attributes
    ----------
    pieces : sequence of Artwork
        Single copies, in an order that hangs on what they are.
    made : mapping of str to Crate
        The carton of each by itself, as the rules give it.
    packing : callable
        Makes the request for a carton.
    costs : Costs
        What everything costs.
    loads : int
        How many loads are looked at beside those of one piece as ruled.
    keep : int
        How many ways to share are wanted.
    ended : callable
        Asked between loads whether somebody wants the best so far.
    memory : dict
        What was worked out for equal works of the same shop.
    """

    pieces: Sequence[Artwork]
    made: Mapping[str, Crate]
    packing: Filled
    costs: Costs
    loads: int
    keep: int
    ended: Callable[[], bool]
    memory: dict[Hashable, Any]
    _known: dict[Hashable, tuple[int, tuple[tuple[str, Wanted], ...]] | None] = field(default_factory=dict)

    def group(self) -> Group:
        """Return the ways to share: each by itself first, then the cheapest by their own cost."""
        slots = self.slots()
        by_area = self.costs.yard.by_area
        costs = [min(option.rest + by_area(option.wants) for option in options) for options in slots.values()]
        alone = tuple((n,) for n in range(len(self.pieces)))
        covers = cheapest_covers([*slots], costs, self.kinds, self.keep)
        divisions = dict.fromkeys((alone, *(cover for _, cover in covers)))
        return tuple(tuple(slots[case] for case in division) for division in divisions)

    @cached_property
    def kinds(self) -> list[int]:
        """The first piece that each is like; one that must travel apart from another is like none."""
        alone = {number for pair in self.parted for number in pair}
        first: dict[Artwork, int] = {}
        return [
            number if number in alone else first.setdefault(plain(one), number)
            for number, one in enumerate(self.pieces)
        ]

    @cached_property
    def parted(self) -> frozenset[tuple[int, int]]:
        """Pairs of pieces that must travel apart."""
        return parted(self.pieces)

    @cached_property
    def members(self) -> dict[int, list[int]]:
        """The pieces of each kind."""
        found: dict[int, list[int]] = {}
        for n, kind in enumerate(self.kinds):
            found.setdefault(kind, []).append(n)
        return found

    def slots(self) -> dict[tuple[int, ...], Slot]:
        """Return the designs of every carton that may be filled, by the numbers of its pieces; one as ruled first."""
        place = self.pieces[0].destination or ""
        found: dict[tuple[int, ...], list[Option]] = {}
        for n, piece in enumerate(self.pieces):
            crate = self.made[piece.piece]
            sketch = sketch_of(crate)
            price = self.costs.pricer(sketch, crate.destination)
            load = CartonLoad((piece.piece,), crate.destination)
            found[n,] = [Option(UNSUITED if price is None else price, _wants(sketch), load)]
        loads = self._loads()
        for case_of, design in loads[:: max(1, -(-len(loads) // self.loads))]:
            if self.ended():
                break
            for case in islice(self._runs(case_of), _RUNS):
                held = tuple(sorted(case))
                if len(found) < _RUNS or held in found:
                    load = CartonLoad(tuple(self.pieces[n].piece for n in case), place, design)
                    if option := self._filled(case, load):
                        found.setdefault(held, []).append(option)
        return {case: tuple(options) for case, options in found.items()}

    def _loads(self) -> tuple[tuple[tuple[int, ...], CartonDesign], ...]:
        """Return what may share, by the numbers of the pieces, without what is by itself as the rules give it."""
        asked = self.packing(tuple(self.pieces), CARTON_AS_RULED)
        key = ("loads", *map(plain, self.pieces), self.parted, asked.carriage)
        if key not in self.memory:
            number = {piece.piece: n for n, piece in enumerate(self.pieces)}
            self.memory[key] = tuple(
                (tuple(number[piece] for piece in load.pieces), load.design)
                for load in sharing.candidates(self.pieces, asked.shop, asked.carriage)
                if len(load.pieces) > 1 or load.design != CARTON_AS_RULED
            )
        found: tuple[tuple[tuple[int, ...], CartonDesign], ...] = self.memory[key]
        return found

    def _runs(self, case: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        """Yield the same carton with other works of the same kinds, those of a kind next to each other."""
        kinds, members = self.kinds, self.members
        counts = Counter(kinds[n] for n in case)
        mine = list(counts)
        for starts in product(*(range(len(members[kind]) - counts[kind] + 1) for kind in mine)):
            rest = {kind: iter(members[kind][at : at + counts[kind]]) for kind, at in zip(mine, starts, strict=True)}
            yield tuple(next(rest[kinds[n]]) for n in case)

    def _filled(self, case: tuple[int, ...], load: CartonLoad) -> Option | None:
        """Return a carton as an option, equal ones worked out once; None where it cannot be filled so or sent."""
        alike = tuple(self.kinds[n] for n in case), load.design
        if alike not in self._known:
            self._known[alike] = self._worked_out(case, load)
        known = self._known[alike]
        return None if known is None else Option(*known, load)

    def _worked_out(self, case: tuple[int, ...], load: CartonLoad) -> tuple[int, tuple[tuple[str, Wanted], ...]] | None:
        """Return what a carton costs beside its parts, and these; None where it cannot be filled so or sent."""
        asked = self.packing(tuple(self.pieces[n] for n in case), load.design)
        key = ("filled", *map(plain, asked.pieces), load.design, asked.country, asked.carriage)
        if key not in self.memory:
            try:
                self.memory[key] = sharing.sketch(asked)
            except (Refused, RulesClash):
                self.memory[key] = None
        sketch: Sketch | None = self.memory[key]
        price = None if sketch is None else self.costs.pricer(sketch, load.destination)
        return None if sketch is None or price is None else (price, _wants(sketch))


def _wants(sketch: Sketch) -> tuple[tuple[str, Wanted], ...]:
    """Return the parts of a sketch by good."""
    return tuple(wanted((*sketch.parts, *sketch.sticks)).items())
