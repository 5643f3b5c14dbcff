"""Generated consignments: invented works, one or two invented places, everything from the seed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

from nesting.base.measure import INCH
from nesting.order import Artwork, Back, Order
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office

ON = date(2027, 4, 1)
PLACES = Destinations(
    (
        Destination("Dockside", "US", 72 * INCH, 96 * INCH, dock=True, km=Decimal(600), profile="pallet"),
        Destination("Lane", "US", km=Decimal(150), forklift=True, profile="van"),
    )
)


def office() -> Office:
    """Return a studio with built-in files, the two places, and a door of its own that lets every case out."""
    plain = Office(destinations=PLACES)
    ways = replace(plain.shop.passage, door_width=94 * INCH, door_height=108 * INCH)
    return replace(plain, shop=replace(plain.shop, passage=ways))


def consignment(seed: int, least: int = 3, most: int = 6) -> Order:
    """Make the consignment of a seed: works of 8 to 60 in, some alike, at one place or two."""
    random = Random(seed)
    places = random.choice([["Dockside"], ["Lane"], ["Dockside", "Dockside", "Lane"]])
    works: list[Artwork] = []
    for number in range(1, random.randint(least, most) + 1):
        if works and random.random() < 0.3:
            width, height = works[-1].width, works[-1].height
        else:
            low, high = random.choice([(8, 22), (20, 46), (40, 60)])
            width, height = (random.randint(2 * low, 2 * high) * INCH // 2 for _ in range(2))
        works.append(work(f"W-{number:02d}", width, height, random.choice(places), random))
    return Order(f"consignment {seed}", tuple(works), currency="USD")


def work(piece: str, width: int, height: int, place: str, random: Random) -> Artwork:
    """Make one panel, its back solid, its weight estimated from what it is made of."""
    return Artwork(
        piece,
        width,
        height,
        random.choice([4, 6, 8]) * INCH // 4,
        surface=random.choice(["resin", "paint"]),
        support="birch panel",
        back=Back(),
        destination=place,
        turn=random.random() < 0.5,
    )


def large(seed: int, count: int) -> Order:
    """Make so many travel frames for one place, 36 to 60 in a side."""
    random = Random(seed)
    works = []
    for number in range(1, count + 1):
        width, height = (random.randint(72, 120) * INCH // 2 for _ in range(2))
        works.append(work(f"W-{number:02d}", width, height, "Dockside", random))
    return Order(f"large consignment {seed}", tuple(works), currency="USD")
