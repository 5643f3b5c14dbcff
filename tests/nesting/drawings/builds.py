"""Builds for the drawing tests: real crates, and layouts made by a few plain lines instead of a search."""

import random
from collections.abc import Sequence
from decimal import Decimal

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, UnitSystem
from nesting.build import Build, Supply, gather
from nesting.crates.expand import expand
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.rolls import Roll, RollPlan, lay_rolls
from nesting.cutting.sheets import Cut, Layout, Node, Offcut, PartLeaf, Sheet, SheetLayout, Waste
from nesting.cutting.sticks import Stick
from nesting.cutting.sticks.plan import StickLayout, StickPlan
from nesting.order import Artwork, Back, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop


def supply_of(shop: Shop) -> Supply:
    """Return every stock size of a shop at made-up costs."""
    sheets, sticks, rolls = ([g for g in shop.goods if g.form == form] for form in ("sheet", "stick", "roll"))
    return Supply(
        {g.good: tuple(Sheet(s.stock, s.length, s.width, 5000) for s in g.sizes) for g in sheets},
        {g.good: tuple(Stick(s.stock, s.length, 500) for s in g.sizes) for g in sticks},
        {g.good: tuple(Roll(s.stock, s.width, s.length, 2000, good=g.good) for s in g.sizes) for g in rolls},
    )


def plain_layout(good: str, parts: Sequence[Part], sheet: Sheet, kerf: int) -> Layout:
    """Lay parts in strips, one after the other: no search, but every cut a saw can make."""
    pieces = sorted(
        ((p.length, p.width, False, p.name) if p.length <= sheet.length and p.width <= sheet.width
         else (p.width, p.length, True, p.name) for p in parts for _ in range(p.count)),
        key=lambda each: (-each[1], -each[0], each[3]),
    )  # fmt: skip
    sheets: list[list[tuple[int, list[tuple[int, bool, str]]]]] = []
    free = 0
    along = 0
    for dx, dy, turned, name in pieces:
        if sheets and sheets[-1] and along >= dx and dy <= sheets[-1][-1][0]:
            sheets[-1][-1][1].append((dx, turned, f"{name}|{dy}"))
        else:
            if not sheets or free < dy:
                sheets.append([])
                free = sheet.width
            sheets[-1].append((dy, [(dx, turned, f"{name}|{dy}")]))
            free -= dy + kerf
            along = sheet.length
        along -= dx + kerf
    return Layout(
        good, kerf, tuple(SheetLayout(sheet, _strips(s, sheet, kerf), 1) for s in sheets), 0, 0, 0, proven=False
    )


def _strips(strips: list[tuple[int, list[tuple[int, bool, str]]]], sheet: Sheet, kerf: int) -> Node:
    left = sheet.width - sum(height + kerf for height, _ in strips) + kerf
    node: Node = Offcut() if left - kerf > 0 else Waste()
    whole = left == 0
    for height, row in reversed(strips):
        inner = _row(row, height, sheet.length, kerf)
        node = inner if whole and height == strips[-1][0] and node == Waste() else Cut("rip", height, inner, node)
        whole = False
    return node


def _row(row: list[tuple[int, bool, str]], height: int, length: int, kerf: int) -> Node:
    left = length - sum(dx + kerf for dx, _, _ in row)
    node: Node = Offcut() if left > 0 else Waste()
    for dx, turned, named in reversed(row):
        name, across = named.split("|")
        leaf: Node = PartLeaf(name, turned)
        if int(across) < height:
            leaf = Cut("rip", int(across), leaf, Waste())
        node = Cut("cross", dx, leaf, node)
    return node


def plain_sticks(good: str, parts: Sequence[StickPart], stick: Stick, kerf: int) -> StickPlan:
    """Cut sticks first fit, longest part first."""
    bins: list[tuple[int, list[str]]] = []
    for part in sorted(parts, key=lambda p: (-p.length, p.name)):
        for _ in range(part.count):
            for index, (free, names) in enumerate(bins):
                if free >= part.length:
                    bins[index] = (free - part.length - kerf, [*names, part.name])
                    break
            else:
                bins.append((stick.length - part.length - kerf, [part.name]))
    layouts = tuple(StickLayout(stick, tuple(names), 1) for _, names in bins)
    return StickPlan(good, kerf, layouts, 0, 0, 0, proven=False, stopped=None)


def plain_build(order: Order, shop: Shop | None = None) -> Build:
    """Build an order with real crates and plain layouts.

    Raises
    ------
    FaultsFound
        Where the order cannot be packed.
    """
    shop = shop or default_shop()
    supply = supply_of(shop)
    expanded = expand(order, shop)
    crates = tuple(crate for crate in expanded if crate.standing != "held")
    held = tuple(crate for crate in expanded if crate.standing == "held")
    sheet_parts, stick_parts, roll_parts = gather(crates)
    goods = [good.good for good in shop.goods]
    layouts = tuple(
        plain_layout(good, sheet_parts[good], supply.sheets[good][-1], shop.saw.kerf)
        for good in sorted(sheet_parts, key=goods.index)
    )
    plans = tuple(
        plain_sticks(good, stick_parts[good], max(supply.sticks[good], key=lambda s: s.length), shop.saw.stick_kerf)
        for good in sorted(stick_parts, key=goods.index)
    )
    rolls = [part for good in sorted(roll_parts, key=goods.index) for part in roll_parts[good]]
    plan = lay_rolls(rolls, [roll for each in supply.rolls.values() for roll in each]) if rolls else RollPlan()
    return Build(order, shop, crates, layouts, plans, plan, supply, held=held)


_TITLES = (
    "Low Tide",
    "",
    "A title that is rather longer than any label or table column has room for, on purpose",
    "Ночь",
    "Čas & <sníh>",
)


def random_order(seed: int, *, most: int = 4) -> Order:
    """Return a studio's order of a few pieces, of all sizes and methods."""
    rng = random.Random(seed)
    works = []
    for index in range(rng.randint(1, most)):
        big = rng.random() < 0.45
        low, high = (30, 84) if big else (6, 30)
        width, height = (rng.randint(low * 8, high * 8) * INCH // 8 for _ in range(2))
        if min(width, height) > 60 * INCH:
            width = 48 * INCH
        back = rng.choice([Back("solid"), Back("solid"), Back("strainer", 5 * INCH // 2, 3 * INCH // 2)])
        works.append(
            Artwork(
                f"{rng.choice('ABG')}-{index + 1:02d}",
                width,
                height,
                2 * INCH,
                title=rng.choice(_TITLES),
                weight_kg=Decimal(max(1, width * height // (180 * INCH * INCH))),
                quantity=rng.choice([1, 1, 1, 2]),
                method=rng.choice(["auto", "auto", "closed", "battened", "travel"]),
                surface=rng.choice(["resin", "paint", "glazed"]),
                back=back,
                destination=rng.choice([None, "Harbour Gallery", "Hillside Gallery"]),
                notes=rng.choice(["", "Fragile corner at the lower left; the owner asks for a call before opening."]),
            )
        )
    units: UnitSystem = rng.choice(["inch", "metric"])
    return Order(f"order {seed}", tuple(works), units)


def random_builds(count: int, start: int = 0) -> list[Build]:
    """Return that many builds of random orders; orders that a method refuses are passed over."""
    made: list[Build] = []
    seed = start
    while len(made) < count:
        try:
            made.append(plain_build(random_order(seed)))
        except FaultsFound:
            assert seed < start + 20 * count + 50, "too many orders are refused to be random"
        seed += 1
    return made
