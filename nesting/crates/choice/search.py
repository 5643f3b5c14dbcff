"""Designing a whole order: which pieces share a case or a carton, and how each crate is made, with the saw in the loop.

First every piece is packed as the shop's rules have it. Then three questions are open: which frames share a case (the
best few divisions of each destination, by an estimate), which pieces share a carton, and which design each crate has.
Each design is sketched and priced by itself, and the combination is chosen by what the parts of all crates cost on the
same sheets (:mod:`nesting.crates.choice.combos`). The best few, and what the rules give, are then costed for good by
whoever can make them. What the rules give is always among them, so no order is dearer than without a search.

What was worked out for equal frames and equal pieces is used again. Rows of the order in another order change names
only: crates are looked at in an order that hangs on what is in them.
"""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, Final

from nesting.advice.carriage import COMMON
from nesting.base.faults import FaultsFound
from nesting.base.search import EFFORTS, USUAL, Effort, Search
from nesting.crates.case_choice import CaseSearch, PlaceSearch, Ways, by_size, cheapest_cases, may_stay_out, plain
from nesting.crates.cases import case_designs, shape
from nesting.crates.cases.case_cuts import divided
from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.cases.partition import CaseCosts
from nesting.crates.choice.combos import Alternative, Combination, Found, Group, Option, Slot, Steps, best_combinations
from nesting.crates.choice.costs import Costs, Goes
from nesting.crates.choice.shared import UNSUITED, Sharing
from nesting.crates.choice.weighing import Weighing
from nesting.crates.choose import packed_as
from nesting.crates.chosen import CARTON_AS_RULED, SHELL_AS_RULED, CartonDesign, CaseDesign, ShellDesign
from nesting.crates.expand import expand, riding
from nesting.crates.kept import MANY, kept, kept_frames, room_for
from nesting.crates.limits import as_ordered
from nesting.crates.model import Crate
from nesting.crates.registry import method, method_of
from nesting.crates.shells import shell_designs
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Casing, Method, Packing, Refused, RulesClash
from nesting.cutting.yardstick import Wanted, wanted
from nesting.order import Artwork, Order
from nesting.shop.shop import MissingGoodError, Shop


@dataclass(frozen=True, slots=True)
class Look:
    """How far a search looks, in steps.

    Attributes
    ----------
    divisions : int
        Ways to divide a destination's frames among cases.
    sketches, fewest : int
        Designs of cases in all, shared alike among the cases that are looked at, and of each at the least.
    reordered : int
        Of the best designs of a case, how many are tried with its frames in another order.
    shells : int
        Designs of another crate.
    loads : int
        Fillings of cartons at each destination.
    wholes : int
        Choices that are costed for good, what the rules give apart.
    steps : Steps
        Of the search over combinations.
    divided : int
        In how many ways faces are divided that a sheet takes whole, of as many bodies of a case as are reordered.
    """

    divisions: int
    sketches: int
    fewest: int
    reordered: int
    shells: int
    loads: int
    wholes: int
    steps: Steps
    divided: int = 0


LOOKS: Final[Mapping[Effort, Look]] = {
    "quick": Look(1, 12, 3, 0, 1, 60, 1, Steps(4, 300, 60, 2)),
    "normal": Look(6, 180, 6, 2, 12, 400, 3, Steps(12, 6_000, 600, 4)),
    "thorough": Look(16, 2_000, 6, 3, 12, 400, 10, Steps(40, 20_000, 3_000, 8)),
}
_SKETCHED: Final = 0.5
"""Part of the work that is done when all is sketched, for people."""
_MILLE: Final = 1000
_LISTED: Final = 24
"""Designs of a case that are sketched where it is looked at alone."""
_DIVIDED: Final = 6
"""Ways in which the faces of a body are divided where sheets are charged as bought."""

Sketched = tuple[int, tuple[tuple[str, Wanted], ...], tuple[int, ...], CaseDesign]
"""A design of a case: what it costs beside its parts, these parts, the order of its frames, and how it is made."""


def design_order(
    order: Order, shop: Shop, costs: Costs, *, goes: Goes | None = None, search: Search = USUAL
) -> Grouping | None:
    """Choose which pieces share a case or a carton, and how each crate of an order is made.

    Parameters
    ----------
    order : Order
        Its words (together, apart, set, method) and the shop's ``method.case_most`` are kept; near sizes are a wish.
    shop : Shop
        Goods and rules.
    costs : Costs
        What everything costs, in one whole unit.
    goes : Goes, optional
        Where it goes, and who takes it there.
    search : Search
        Its effort says how far is looked; its memory keeps sketches.

    Returns
    -------
    Grouping or None
        To be built with :func:`nesting.build.build`. None where the order has faults: the build then tells them all.

    Notes
    -----
    The choice is the cheapest of those that were costed for good, what the rules give among them. Before that costs
    are by first fit, so a better one may be passed over; nothing is claimed of the best.
    """
    try:
        return _Designing(order, shop, costs, goes or Goes(), search).run()
    except (FaultsFound, Refused, RulesClash, MissingGoodError):
        return None


def short_list(  # 6 arguments: an order, a crate of it as it was made, and by what its designs are judged
    order: Order, shop: Shop, costs: Costs, crate: Crate, load: CaseLoad | None, *, goes: Goes, search: Search
) -> tuple[Grouping, ...]:
    """Return the designs of one crate that an order chooses from, each as what is chosen for that crate and no other.

    Parameters
    ----------
    order, shop, costs, goes, search
        As for :func:`design_order`.
    crate : Crate
        Of that order. What the studio accepted, or is held, has the design of the rules alone; what rides has none.
    load : CaseLoad or None
        Of a case: what rides in it.

    Returns
    -------
    tuple of Grouping
        As ruled first, then those that cost least by themselves.
    """
    try:
        return _Designing(order, shop, costs, goes, search).listed(crate, load)
    except (FaultsFound, Refused, RulesClash, MissingGoodError):
        return ()


@dataclass(frozen=True, slots=True)
class _Cased:
    """A case, as the value of an option."""

    load: CaseLoad


@dataclass(frozen=True, slots=True)
class _Shelled:
    """Another crate, as the value of an option, by its first piece."""

    piece: str
    design: ShellDesign


@dataclass(frozen=True, slots=True)
class _Sketch:
    """A sketch of a case, with its parts and those of its frames together."""

    sketch: Sketch
    parts: tuple[tuple[str, Wanted], ...]


_Made = tuple[int | None, tuple[tuple[str, Wanted], ...], tuple[int, ...], CaseDesign]
"""As :data:`Sketched`; without a cost where no carrier or door takes it."""


@dataclass
class _Drawing:
    """Designs of one case on their way to options."""

    casing: Casing
    costs: Costs
    key: Hashable
    memory: dict[Hashable, Any]
    made: list[_Made] = field(default_factory=list)

    def __post_init__(self) -> None:
        inner = [sketch_of(frame) for frame in self.casing.frames]
        self.within = sum(self.costs.pricer(each, None) or 0 for each in inner)
        self.wants = [wanted((*each.parts, *each.sticks)) for each in inner]

    def add(self, order: tuple[int, ...], design: CaseDesign) -> None:
        """Sketch and price a design with the frames in some order; what cannot be made is left out."""
        design = replace(design, turned=tuple(design.turned[n] for n in order) if design.turned else ())
        key = ("sketch", self.key, order, design)
        if key not in self.memory:
            self.memory[key] = self._sketch(order, design)
        found: _Sketch | None = self.memory[key]
        if found is not None:
            price = self.costs.pricer(found.sketch, self.casing.destination)
            self.made.append((None if price is None else price + self.within, found.parts, order, design))

    def add_cheapest(self, order: tuple[int, ...], designs: Iterable[CaseDesign]) -> None:
        """Add the design that is the cheapest by itself, cut by first fit, if it is cheaper than all so far.

        All others would only stand in the way of combinations that differ in more than a seam.
        """
        before = len(self.made)
        for design in designs:
            self.add(order, design)
        least = min(map(self._alone, self.made[:before]), default=UNSUITED)
        added = sorted((self._alone(each), n) for n, each in enumerate(self.made[before:]))
        self.made[before:] = [self.made[before + n] for cost, n in added[:1] if cost < least]

    def _alone(self, made: _Made) -> int:
        """Return what a design costs by itself, its parts cut by first fit."""
        price, parts, *_ = made
        cut = self.costs.yard.fill(parts)
        return UNSUITED if price is None or cut is None else price + cut

    def _sketch(self, order: tuple[int, ...], design: CaseDesign) -> "_Sketch | None":
        """Return the sketch of a design; None where it cannot be made."""
        casing = replace(
            self.casing,
            frames=tuple(self.casing.frames[n] for n in order),
            artworks=tuple(self.casing.artworks[n] for n in order),
            design=design,
        )
        try:
            sketch = shape.sketch(casing)
        except (Refused, RulesClash):
            return None
        return _Sketch(sketch, _together([wanted((*sketch.parts, *sketch.sticks)), *self.wants]))

    def best(self, most: int) -> list[CaseDesign]:
        """Return the designs that are cheapest by themselves, in the order in which they were made."""
        costs = [
            (price + self.costs.yard.by_area(parts), n)
            for n, (price, parts, _, _) in enumerate(self.made)
            if price is not None
        ]
        return [self.made[n][3] for n in sorted(n for _, n in sorted(costs)[:most])]

    def told(self) -> Iterator[Sketched]:
        """Yield what was made; of what no carrier or door takes only the first, or all where nothing is taken."""
        taken = any(price is not None for price, *_ in self.made)
        for number, (price, parts, order, design) in enumerate(self.made):
            if price is not None:
                yield price, parts, order, design
            elif not taken or not number:
                yield UNSUITED + self.within, parts, order, design


@dataclass
class _Designing:
    """One search."""

    order: Order
    shop: Shop
    costs: Costs
    goes: Goes
    search: Search
    known: dict[Hashable, Any] = field(default_factory=dict)
    estimated: dict[str, CaseCosts] = field(default_factory=dict)

    def __post_init__(self) -> None:
        # What less effort finds is a candidate with more of it: so more never ends with a dearer choice.
        efforts = EFFORTS[: EFFORTS.index(self.search.effort) + 1]
        self.looks = [LOOKS[each] for each in efforts] if self.costs.whole is not None else [LOOKS[efforts[-1]]]
        if 2 * self.costs.yard.back < _MILLE:
            # Where what is left of a sheet brings back most of its price, no seam is worth the sheet that it saves.
            # Apart, since combinations that differ in a seam alone take the place of others.
            again = Steps(6, 2_000, 200, 2)
            self.looks += [
                replace(look, divided=_DIVIDED, wholes=2, steps=again) for look in self.looks if look.reordered
            ][-1:]
        self.look = self.looks[-1]
        self.in_units = as_ordered(self.shop.in_units(self.order.units), self.order)
        memory, units, pieces = self.search.memory, self.shop.works_in(self.order.units), len(self.order.copies())
        self.riding = riding(self.order, self.shop, kept_frames(memory, self.in_units, units, pieces))
        self.frames = {piece.piece: (piece, frame) for piece, frame in self.riding}
        self.at = {copy.piece: n for n, copy in enumerate(self.order.copies())}
        self.copies = {copy.piece: copy for copy in self.order.copies()}
        self.free = may_stay_out([piece for piece, _ in self.riding], self.shop)
        self.designs = self.look.fewest
        self.memory = kept(memory, ("designs", MANY), self.in_units, units, self.goes.judge)
        self.crates = kept(memory, ("crates", room_for(len(self.at))), self.in_units, units, self.goes.judge)
        self.sharing = {
            bundle.pieces[0].piece
            for bundle, choice in packed_as(self.order, self.in_units)
            if bundle.single and method(choice.method).shares
        }

    def run(self) -> Grouping:
        """Search."""
        ruled = self._cases(Ways(near_only=True, anyhow=True, longer=False))
        expanded = expand(
            self.order, self.shop, grouping=ruled.grouping if ruled.places else None, countries=self.goes.countries,
            judge=self.goes.judge, carriage=self.goes.carriage, unpacked=[], made=self.crates,
        )  # fmt: skip
        crates = [crate for crate in expanded if crate.standing != "held"]
        strays = self._strays(crates)
        outcomes: list[_Outcome] = []
        for look in self.looks:
            if look.divided and self._ended():
                break
            self.look, self.known = look, {}
            groups = [*self._places(ruled), *self._others(crates)]
            if look.divided and groups == outcomes[-1].groups:
                break
            found = best_combinations(
                groups, self.costs.yard, strays, look.steps, self._ended, plainer=self.costs.whole is not None
            )
            outcomes.append(_Outcome(look, groups, found))
        self.search.progress("designs", _SKETCHED)
        return self._cheapest(outcomes)

    def _ended(self) -> bool:
        """Whether somebody wants the best so far."""
        return self.search.stop is not None and self.search.stop.asked

    def _cases(self, ways: Ways) -> CaseSearch:
        return cheapest_cases(self.order, self.shop, self._estimates, ways, self.riding)

    def _estimates(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str) -> CaseCosts:
        """Return what cases of a destination cost by estimate, made once."""
        if destination not in self.estimated:
            self.estimated[destination] = self.costs.cases(artworks, frames, destination)
        return self.estimated[destination]

    # Travel frames

    def _places(self, ruled: CaseSearch) -> Iterator[Group]:
        """Yield a group for each destination with frames: the best ways to divide them, as ruled first."""
        if not ruled.places:
            return
        free = self._cases(Ways(keep=self.look.divisions, anyhow=True, longer=False))
        divided = []
        for place, wide in sorted(zip(ruled.places, free.places, strict=True), key=lambda both: both[0].destination):
            divisions = [place.partition.cases, wide.partition.cases, *(cases for _, cases in wide.partition.others)]
            several = 1 if self._accepted(place.pieces) else self.look.divisions + 1
            divided.append((place, list(dict.fromkeys(divisions))[:several]))
        cases = {
            self._key(load) for place, divisions in divided for division in divisions for load in place.loads(division)
        }
        self.designs = max(self.look.fewest, self.look.sketches // len(cases))
        for at, (place, divisions) in enumerate(divided):
            self.search.progress("designs", _SKETCHED * at / len(divided), place.destination)
            yield tuple(self._division(place, division) for division in divisions)

    def _division(self, place: PlaceSearch, cases: Sequence[Sequence[int]]) -> Alternative:
        """Return the slots of one way to divide a destination's frames."""
        return tuple(self._case_slot(load) for load in place.loads(sorted(map(tuple, cases))))

    def _case_slot(self, load: CaseLoad) -> Slot:
        """Return the designs of a case with its frames; of a piece that may stay out, its own crate first."""
        alone: Slot = ()
        if len(load.pieces) == 1 and self.free.issuperset(load.pieces):
            alone = self._alone_options(self.copies[load.pieces[0]])
        if any(self.frames[piece][1].standing == "held" for piece in load.pieces):
            # What is held is cut by nobody and in no sum; it is made as the rules have it.
            return alone or (Option(0, (), _Cased(load)),)
        options = (*alone, *self._case_options(load))
        return options[:1] if self._accepted(load.pieces) else options

    def _accepted(self, pieces: Iterable[str]) -> bool:
        """Whether the studio accepts by name what some pieces travel in: then it stays as the rules have it."""
        return any(self.copies[piece].accept_held for piece in pieces)

    def _case_options(self, load: CaseLoad) -> Slot:
        """Return the designs of one case, those of equal frames worked out once."""
        key = self._key(load)
        if key not in self.known:
            self.known[key] = tuple(self._sketched(load))
        found: tuple[Sketched, ...] = self.known[key]
        return tuple(
            Option(
                rest,
                wants,
                _Cased(replace(load, pieces=tuple(load.pieces[n] for n in order), design=design)),
            )
            for rest, wants, order, design in found
        )

    def _key(self, load: CaseLoad) -> Hashable:
        """Return what equal cases have in common, whatever their pieces are called."""
        return ("case", load.destination, *(plain(self.frames[piece][0]) for piece in load.pieces))

    def _sketched(self, load: CaseLoad) -> Iterator[Sketched]:
        """Yield the designs of a case with its frames, as ruled first."""
        frames = [self.frames[piece] for piece in load.pieces]
        casing = Casing(
            "C", tuple(frame for _, frame in frames), tuple(piece for piece, _ in frames), self.in_units, "",
            load.destination, self.shop.works_in(self.order.units), self.goes.countries.get(load.destination, ""),
            self.goes.carriage.get(load.destination, COMMON),
        )  # fmt: skip
        key = (*(plain(piece) for piece, _ in frames), casing.country, casing.carriage)
        drawing = _Drawing(casing, self.costs, key, self.memory)
        given = tuple(range(len(frames)))
        if ("designs", key) not in self.memory:
            self.memory["designs", key] = case_designs.designs(casing), case_designs.orders(casing)
        designs, orders = self.memory["designs", key]
        for design in designs[: self.designs]:
            if drawing.made and self._ended():
                break
            drawing.add(given, design)
        best = drawing.best(self.look.reordered)
        if self.look.divided:
            self._divide(drawing, given)
        for order in orders:
            if order != given:
                for design in best:
                    drawing.add(order, design)
        return drawing.told()

    def _divide(self, drawing: _Drawing, order: tuple[int, ...]) -> None:
        """Add designs of the cheapest bodies with faces divided, where these come out cheaper by themselves."""
        bodies = dict.fromkeys(replace(each, patterns=()) for each in drawing.best(3 * self.look.reordered))
        for design in list(bodies)[: self.look.reordered]:
            key = ("divided", drawing.key, design)
            if key not in self.memory:
                self.memory[key] = divided(replace(drawing.casing, design=design), self.look.divided)
            drawing.add_cheapest(order, self.memory[key])

    # Other crates

    def _others(self, crates: Sequence[Crate]) -> Iterator[Group]:
        """Yield a group for the cartons of each destination, and one with all other crates that ride in no case."""
        mine = [crate for crate in crates if crate.inside_of is None and not self._cased(crate)]
        mine.sort(key=lambda crate: (crate.destination, self._contents(crate), self.at[crate.pieces[0]]))
        small = [
            crate
            for crate in mine
            if crate.pieces[0] in self.sharing and method_of(crate).shares and not self._accepted(crate.pieces)
        ]
        for place in sorted({crate.destination for crate in small}):
            yield self._shared([crate for crate in small if crate.destination == place])
        if others := [crate for crate in mine if crate not in small]:
            yield (tuple(self._shell_options(crate) for crate in others),)

    def _shared(self, cartons: Sequence[Crate]) -> Group:
        """Return the ways in which the works of some cartons may share them."""
        made = {crate.pieces[0]: crate for crate in cartons}
        pieces = sorted(
            (self.copies[piece] for piece in made), key=lambda piece: (*by_size(piece), self.at[piece.piece])
        )

        def packing(contents: tuple[Artwork, ...], design: CartonDesign) -> Packing:
            return replace(self._packing("C", contents), carton=design)

        look = self.look
        return Sharing(pieces, made, packing, self.costs, look.loads, look.divisions, self._ended, self.memory).group()

    def _packing(self, name: str, pieces: tuple[Artwork, ...]) -> Packing:
        """Return the request for a crate."""
        place = pieces[0].destination or ""
        return Packing(
            name, pieces, self.in_units, "", place, self.shop.works_in(self.order.units),
            self.goes.countries.get(place, ""), self.goes.judge, self.memory, self.goes.carriage.get(place, COMMON),
        )  # fmt: skip

    def _cased(self, crate: Crate) -> bool:
        """Whether a crate is a case, or what it holds may ride in one."""
        return method_of(crate).encase is not None or any(piece in self.frames for piece in crate.pieces)

    def _strays(self, crates: Sequence[Crate]) -> tuple[tuple[str, Wanted], ...]:
        """Return the parts of frames, and of their cases, that ride only because nothing else takes their pieces."""
        found = [
            crate
            for crate in crates
            if (crate.inside_of is not None or method_of(crate).encase is not None)
            and self.frames.keys().isdisjoint(crate.pieces)
        ]
        return _together([wanted((*crate.parts, *crate.sticks)) for crate in found])

    def _contents(self, crate: Crate) -> str:
        return repr([plain(self.copies[piece]) for piece in crate.pieces])

    def _shell_options(self, crate: Crate) -> Slot:
        """Return the designs of a crate that is no case; as it was made first."""
        pieces = tuple(self.copies[piece] for piece in crate.pieces)
        key = ("shell", crate.method, crate.destination, *map(plain, pieces))
        if key not in self.known:
            self.known[key] = tuple(self._shell_sketches(crate, pieces))
        found: tuple[tuple[int, tuple[tuple[str, Wanted], ...], ShellDesign], ...] = self.known[key]
        options = tuple(Option(rest, wants, _Shelled(crate.pieces[0], design)) for rest, wants, design in found)
        return options[:1] if self._accepted(crate.pieces) else options

    def _shell_sketches(
        self, crate: Crate, pieces: tuple[Artwork, ...]
    ) -> Iterator[tuple[int, tuple[tuple[str, Wanted], ...], ShellDesign]]:
        packing = self._packing(crate.crate, pieces)
        how: Method = method_of(crate)
        ruled = sketch_of(crate)
        price = self.costs.pricer(ruled, crate.destination)
        yield (
            UNSUITED if price is None else price,
            _together([wanted((*ruled.parts, *ruled.sticks))]),
            SHELL_AS_RULED,
        )
        for design in shell_designs.designs(packing, how)[: self.look.shells]:
            if self._ended():
                break
            sketch = None if design == SHELL_AS_RULED else shell_designs.sketch(packing, how, design)
            other = None if sketch is None else self.costs.pricer(sketch, crate.destination)
            if sketch is not None and other is not None:
                yield other, _together([wanted((*sketch.parts, *sketch.sticks))]), design

    def _alone_options(self, artwork: Artwork) -> Slot:
        """Return the designs of the crate that a piece has which does not ride."""
        by_itself = replace(self.order, artworks=(replace(artwork, together=(), apart=(), set_name=None),))
        key = ("alone", artwork.destination, plain(artwork))
        if key not in self.known:
            try:
                crates = expand(
                    by_itself, self.shop, grouping=Grouping(()), countries=self.goes.countries,
                    judge=self.goes.judge, carriage=self.goes.carriage, made=self.crates,
                )  # fmt: skip
            except FaultsFound:
                crates = ()
            self.known[key] = crates
        crates = self.known[key]
        if len(crates) != 1 or method_of(crates[0]).rides or crates[0].standing == "held":
            return ()
        return self._shell_options(replace(crates[0], pieces=(artwork.piece,)))

    # One crate alone

    def listed(self, crate: Crate, load: CaseLoad | None) -> tuple[Grouping, ...]:
        """Return the designs of one crate, as ruled first, then the cheapest."""
        self.look, self.designs = LOOKS["normal"], _LISTED
        method_of_it = method_of(crate)
        if crate.inside_of is not None or crate.standing != "good":
            return ()
        if load is not None:
            options = self._case_options(load)
        elif method_of_it.shares:
            options = self._carton_options(crate)
        else:
            options = self._shell_options(crate)
        costs = [self._alone(option) for option in options]
        best = sorted(range(len(options)), key=lambda n: (n > 0, costs[n], n))
        return tuple(_chosen_alone(options[n].value) for n in best)

    def _alone(self, option: Option) -> int:
        """Return what an option costs by itself, its parts cut by first fit."""
        cut = self.costs.yard.fill(option.wants)
        return UNSUITED if cut is None else option.rest + cut

    def _carton_options(self, crate: Crate) -> Slot:
        """Return the designs of one carton with its works."""
        pieces = [self.copies[piece] for piece in crate.pieces]

        def packing(contents: tuple[Artwork, ...], design: CartonDesign) -> Packing:
            return replace(self._packing("C", contents), carton=design)

        made = dict.fromkeys(crate.pieces, crate)  # of works that share, none is looked at by itself
        sharing = Sharing(pieces, made, packing, self.costs, self.look.loads, 1, self._ended, self.memory)
        return sharing.slots().get(tuple(range(len(pieces))), ())

    # What was found

    def _told(self, groups: Sequence[Group], tried: int, chosen: Combination) -> Grouping:
        """Return what a combination stands for."""
        values = [
            slot[option].value
            for group, number, options in zip(groups, chosen.alternatives, chosen.options, strict=True)
            for slot, option in zip(group[number], options, strict=True)
        ]
        cases = [value.load for value in values if isinstance(value, _Cased)]
        cartons: list[CartonLoad] = [value for value in values if isinstance(value, CartonLoad)]
        shells = [
            (value.piece, value.design)
            for value in values
            if isinstance(value, _Shelled) and value.design != SHELL_AS_RULED
        ]
        return Grouping(
            tuple(sorted(cases, key=lambda load: min(self.at[piece] for piece in load.pieces))),
            "the cheapest found by the cuts of the whole order",
            tuple(
                sorted(
                    (load for load in cartons if len(load.pieces) > 1 or load.design != CARTON_AS_RULED),
                    key=lambda load: min(self.at[piece] for piece in load.pieces),
                )
            ),
            tuple(sorted(shells, key=lambda each: self.at[each[0]])),
            tried,
        )

    def _cheapest(self, outcomes: Sequence["_Outcome"]) -> Grouping:
        """Return the choice that costs the least for good, or by estimate where nobody costs it so."""
        tried = sum(each.found.compared for each in outcomes)
        weighing = None if self.costs.whole is None else Weighing(self.costs.whole)
        for look, groups, found in ((each.look, each.groups, each.found) for each in outcomes):
            ruled = _ruled(groups)
            told = partial(self._told, groups, tried)
            if weighing is None:
                better = bool(found.best) and (found.ruled is None or found.best[0].cost < found.ruled.cost)
                return told(found.best[0] if better else ruled)
            if found.best and (weighing.costed or told(found.best[0]) != told(ruled)):
                weighing.weigh(told, ruled, found, look.wholes)
        if weighing is not None and weighing.costed:
            return weighing.best
        return self._told(outcomes[-1].groups, tried, _ruled(outcomes[-1].groups))


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What one look found."""

    look: Look
    groups: Sequence[Group]
    found: Found


def _chosen_alone(value: Any) -> Grouping:
    """Return an option as what is chosen for its crate and no other."""
    if isinstance(value, _Cased):
        return Grouping((value.load,))
    if isinstance(value, CartonLoad):
        return Grouping((), cartons=(value,))
    return Grouping((), shells=((value.piece, value.design),))


def _ruled(groups: Sequence[Group]) -> Combination:
    """Return what the rules give."""
    return Combination(0, tuple(0 for _ in groups), tuple(tuple(0 for _ in group[0]) for group in groups))


def _together(every: Sequence[Mapping[str, Wanted]]) -> tuple[tuple[str, Wanted], ...]:
    """Return what several want together."""
    counts: dict[str, dict[Any, int]] = {}
    for each in every:
        for good, sizes in each.items():
            of_good = counts.setdefault(good, {})
            for size, count in sizes:
                of_good[size] = of_good.get(size, 0) + count
    return tuple((good, tuple(sorted(sizes.items()))) for good, sizes in sorted(counts.items()))
