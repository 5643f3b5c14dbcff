"""What an outer case would cost, estimated for very many candidate cases at once.

One case of each number of frames is made in full; from it come the room that a case needs around its frames, what it
weighs empty, and its material and work. Faces, foam and their weight grow with the case's surface, lumber and handwork
with its edges. Freight is reckoned on the estimated outside and weight by the destination's own profile, class limits
included, without what a shipment costs once however many cases it has. These are estimates for choosing; the quote then
prices the case that was built.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nesting.advice.passage import Limit
from nesting.base.measure import INCH, LB_KG
from nesting.crates.cases.attitudes import turned_size
from nesting.crates.cases.partition import CaseCosts
from nesting.crates.limits import as_ordered
from nesting.crates.model import Crate, Size
from nesting.crates.registry import case_maker
from nesting.crates.traits import Casing
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop
from pricing.studio.capacity import SCALE_PICTURES
from pricing.studio.carriages import carriage_of
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.freight_rules import SCALE_2025
from pricing.studio.freight_ways import ways_of
from pricing.studio.office import Office
from pricing.studio.pricebook import PriceBook
from pricing.studio.rates import FreightProfile, Rates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

USED_WELL: float = 0.8
"""Part of a sheet that ends in parts, for turning areas into money; our experience with the samples."""
_FOOT3 = float((12 * INCH) ** 3)


@dataclass(frozen=True, slots=True)
class _Model:
    """A case of one number of frames, taken apart into what grows with surface and with edges.

    Outriggers make it deeper by so much; they come off for a door.
    """

    around: Size
    outriggers: int
    surface: float
    edges: float
    by_surface: float
    by_edges: float
    kg_by_surface: float
    kg_by_edges: float


@dataclass(frozen=True)
class CaseCostMaker:
    """Makes the cost function of a destination; hand it to :func:`nesting.crates.case_choice.cheapest_cases`."""

    shop: Shop
    book: PriceBook
    rates: Rates
    destinations: Destinations
    countries: Mapping[str, str]

    def __call__(self, artworks: Sequence[Artwork], frames: Sequence[Crate], destination: str, /) -> CaseCosts:
        """Return the cost function for these frames."""
        place = self.destinations.get(destination)
        models = {}
        for count in range(1, min(self.shop.method.case_most, len(frames)) + 1):
            casing = Casing(
                "C",
                tuple(frames[:count]),
                tuple(artworks[:count]),
                self.shop,
                "estimate",
                destination,
                country=self.countries.get(destination, ""),
                carriage=carriage_of(place, self.rates),
            )
            models[count] = self._model(case_maker()(casing), frames[:count], artworks[:count])
        return _Costs(artworks, frames, models, place, self._carriers(place), self.shop.passage.limits())

    def _carriers(self, place: Destination) -> tuple[tuple[FreightProfile, ...], ...]:
        """Return the carriers of each way to a place, leg by leg; none where somebody comes for the crates."""
        by_name = {profile.name: profile for profile in self.rates.freight}
        try:
            ways = ways_of(place.profile or self.rates.delivery.profile, by_name)
        except ValueError:
            return ()
        return tuple(tuple(by_name[leg] for leg in way) for way in ways)

    def _model(self, case: Crate, frames: Sequence[Crate], artworks: Sequence[Artwork]) -> _Model:
        """Take a case apart."""
        size = case.outside
        inner = _inner(frames, artworks, wide=size.width >= size.height)
        around = Size(
            max(1, size.width - inner.width), max(1, size.height - inner.height), max(1, size.depth - inner.depth)
        )
        surface, edges = _grown(float(size.width), float(size.height), float(size.depth))
        faces = lumber = kg_faces = kg_lumber = 0.0
        for part in case.parts:
            good = self.shop.good(part.good)
            area = float(part.length * part.width * part.count)
            stock = good.sizes[0]
            price = float(self.book.price(stock.stock).price)
            faces += price * area / float(stock.length * stock.width) / USED_WELL
            kg_faces += good.density * area * good.thickness / (8e6**3)
        for stick in case.sticks:
            good = self.shop.good(stick.good)
            stock = good.sizes[0]
            lumber += float(self.book.price(stock.stock).price) * stick.length * stick.count / stock.length
            kg_lumber += good.density * float(stick.length * stick.count) * good.thickness * good.breadth / (8e6**3)
        work = case.work
        minutes = sum(
            float(getattr(self.rates.labour, name)) * count
            for name, count in (
                ("hole", work.holes),
                ("screw", work.screws),
                ("glue_run", work.glue_runs),
                ("assembly", work.assemblies),
                ("bolt", work.bolts),
                ("fitting", work.fittings),
            )
        )
        rate = float(self.book.price(self.rates.labour.bench_hour).price)
        off = size.depth - case.carried.depth
        return _Model(around, off, surface, edges, faces, lumber + minutes / 60 * rate, kg_faces, kg_lumber)


def _grown(width: Any, height: Any, depth: Any) -> tuple[Any, Any]:
    """Return surface and edges of a box, in square and plain grid units."""
    return 2 * (width * height + width * depth + height * depth), 4 * (width + height + depth)


def _inner(frames: Sequence[Crate], artworks: Sequence[Artwork], *, wide: bool) -> Size:
    """Return the room that frames take, those that may turn lying along the case."""
    sizes = [
        turned_size(f.outside) if a.turn and (f.outside.width < f.outside.height) == wide else f.outside
        for f, a in zip(frames, artworks, strict=True)
    ]
    return Size(max(s.width for s in sizes), max(s.height for s in sizes), sum(s.depth for s in sizes))


class _Costs:
    """The cost function of one destination."""

    def __init__(
        self,
        artworks: Sequence[Artwork],
        frames: Sequence[Crate],
        models: Mapping[int, _Model],
        place: Destination,
        carriers: Sequence[Sequence[FreightProfile]],
        ways: Sequence[Limit],
    ) -> None:
        self.count, self.models, self.place, self.carriers, self.ways = len(frames), models, place, carriers, ways
        self.frames, self.artworks = frames, artworks

    def __call__(self, cases: "NDArray[np.int16]", /) -> "NDArray[np.int64]":
        """Cost many cases; see :class:`nesting.crates.cases.partition.CaseCosts`."""
        import numpy as np

        # Frames whose case passes a way not even alone pass it in no company either: for those the way does not count,
        # and the finished case says so.
        alone = np.full((self.count, cases.shape[1]), self.count, dtype=np.int16)
        alone[:, 0] = np.arange(self.count)
        hopeless = np.array([*(self._best(alone, passing=True) < 0), False])
        best: NDArray[np.int64] = self._best(cases, passing=True)
        lost = hopeless[cases].any(axis=1)
        if lost.any():
            best[lost] = self._best(cases[lost], passing=False)
        return best

    def _best(self, cases: Any, *, passing: bool) -> Any:
        """Cost the cases with the frames standing the better way; ``passing``: only what passes the shop's own ways."""
        import numpy as np

        numbers = (cases < self.count).sum(axis=1)
        best = np.full(len(cases), -1, dtype=np.int64)
        for wide in (None, True, False):
            width, height = self._sides(wide)
            cost = self._cost(cases, numbers, width, height, passing=passing)
            better = (cost >= 0) & ((best < 0) | (cost < best))
            best[better] = cost[better]
        return best

    def _sides(self, wide: bool | None) -> tuple[Any, Any]:
        """Return every frame's width and height, those that may turn turned one way; None: as they hang."""
        import numpy as np

        sizes = [
            turned_size(f.outside)
            if wide is not None and a.turn and (f.outside.width < f.outside.height) == wide
            else f.outside
            for f, a in zip(self.frames, self.artworks, strict=True)
        ]
        width = np.array([*(s.width for s in sizes), 0], dtype=np.float64)
        height = np.array([*(s.height for s in sizes), 0], dtype=np.float64)
        return width, height

    def _cost(self, cases: Any, numbers: Any, width: Any, height: Any, *, passing: bool) -> Any:
        """Cost the cases with the frames standing one way."""
        import numpy as np

        depth = np.array([*(f.outside.depth for f in self.frames), 0], dtype=np.float64)
        kg = np.array([*(f.gross_kg for f in self.frames), 0.0])
        cost = np.full(len(cases), -1, dtype=np.int64)
        for number, model in self.models.items():
            rows = np.flatnonzero(numbers == number)
            chosen = cases[rows]
            wide = width[chosen].max(axis=1) + model.around.width
            high = height[chosen].max(axis=1) + model.around.height
            deep = depth[chosen].sum(axis=1) + model.around.depth
            surface, edges = _grown(wide, high, deep)
            money = model.by_surface * surface / model.surface + model.by_edges * edges / model.edges
            weight = (
                kg[chosen].sum(axis=1)
                + model.kg_by_surface * surface / model.surface
                + model.kg_by_edges * edges / model.edges
            )
            freight, allowed = self._freight(wide, high, deep, weight)
            through = deep - model.outriggers
            allowed &= self._enters(wide, high, through)
            if passing:
                allowed &= self._passes(wide, high, through, weight)
            cost[rows] = np.where(allowed, np.ceil((money + freight) * 100), -1).astype(np.int64)
        return cost

    def _passes(self, wide: Any, high: Any, deep: Any, kg: Any) -> Any:
        """Return which cases, kept upright, pass the shop's own door and van: :func:`nesting.advice.passage.passes`."""
        import numpy as np

        allowed = np.ones(len(kg), dtype=bool)
        for way in self.ways:
            if way.door:
                width, height = (side - way.margin for side in way.door)
                allowed &= (np.minimum(wide, deep) <= width) & (high <= height)
            if way.room:
                width, height, length = way.room
                along = (wide <= width) & (deep <= length) | (deep <= width) & (wide <= length)
                allowed &= along & (high <= height)
            if way.most_kg is not None:
                allowed &= kg <= way.most_kg
        return allowed

    def _freight(self, wide: Any, high: Any, deep: Any, kg: Any) -> tuple[Any, Any]:
        """Return what moving each case adds to a shipment, and whether a way allows it.

        Each case goes by the first way of which every leg takes it.
        """
        import numpy as np

        money, served = np.zeros(len(kg)), np.full(len(kg), not self.carriers)
        for way in self.carriers:
            cost, takes = np.zeros(len(kg)), ~served
            for profile in way:
                asked, can = _asked(profile, wide, high, deep, kg)
                cost, takes = cost + asked, takes & can
            money[takes] = cost[takes]
            served |= takes
        return money, served

    def _enters(self, wide: Any, high: Any, deep: Any) -> Any:
        """Return which cases pass the door upright, narrow side first: :func:`nesting.advice.passage.passes`."""
        import numpy as np

        door = self.place.door
        if door is None:
            return np.ones(len(deep), dtype=bool)
        width, height = (side - door.margin for side in door.door)
        return (np.minimum(wide, deep) <= width) & (high <= height)


def _asked(p: FreightProfile, wide: Any, high: Any, deep: Any, kg: Any) -> tuple[Any, Any]:
    """Return what one carrier asks more for each case, and whether it takes it."""
    import numpy as np

    pounds = kg / float(LB_KG)
    allowed = np.ones(len(kg), dtype=bool)
    longest = np.maximum(np.maximum(wide, deep), high)
    for limit, value in ((p.longest, longest), (p.highest, high), (float(p.heaviest_lb), pounds)):
        if limit:
            allowed &= value <= limit
    fuel = 1 + float(p.fuel)
    if p.kind == "pallet":
        density = pounds / (wide * high * deep / _FOOT3)
        scale = SCALE_PICTURES if p.item == "pictures" else SCALE_2025
        steps = np.array([float(low) for low, _ in scale])
        prices = np.array([float(p.per_100lb.get(name, 0)) for _, name in scale])
        priced = np.array([name in p.per_100lb for _, name in scale])  # no price is a refusal, not a gift
        level = np.searchsorted(steps, density, side="right") - 1
        return prices[level] * pounds / 100 * fuel, allowed & priced[level]
    if p.kind == "parcel":
        girth = 2 * (wide + high + deep) - longest
        allowed &= (girth <= p.length_girth) if p.length_girth else True
        if p.per_kg:
            size = np.ceil(wide / 8e4) * np.ceil(high / 8e4) * np.ceil(deep / 8e4)
            billed = np.ceil(np.maximum(kg, size / float(p.divisor)))
            return (float(p.base) + float(p.per_kg) * billed) * fuel, allowed
        size = np.ceil(wide / INCH) * np.ceil(high / INCH) * np.ceil(deep / INCH)
        billed = np.ceil(np.maximum(pounds, size / float(p.divisor)))
        return (float(p.base) + float(p.per_lb) * billed) * fuel, allowed
    if p.kind in ("air", "road", "sea"):
        size = wide * high * deep / (8e4**3)
        metres = wide * deep / (p.trailer_wide * 8e6) * float(p.metre_kg)
        return np.maximum(np.maximum(kg, metres), size / float(p.divisor)) * float(p.per_kg) * fuel, allowed
    if p.kind == "handler":
        return (float(p.per_piece) + float(p.per_kg) * kg) * fuel, allowed
    return np.zeros(len(kg)), allowed


def case_costs_of(office: Office, order: Order | None = None) -> CaseCostMaker:
    """Return what makes the costs of candidate cases for a studio, by its rules and those that an order states."""
    shop = office.shop if order is None else as_ordered(office.shop, order)
    return CaseCostMaker(shop, office.book, office.rates, office.destinations, office.countries)
