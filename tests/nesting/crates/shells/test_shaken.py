"""Shaken: whose limit counts, what is held and accepted, and the version on pads beside it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.advice.shock import DROP, TOPPLE
from nesting.base.measure import INCH, LB_KG
from nesting.crates.bench import Bench
from nesting.crates.expand import expand
from nesting.crates.gear.isolation import Isolation, Runners, place_pads, runners_of
from nesting.crates.limits import shock_limit
from nesting.crates.model import Box, Crate, Placed
from nesting.crates.shells.shaken import FRAMED, isolation_of, pads_for, shaken, shock_checks
from nesting.crates.traits import Packing
from nesting.order import Artwork, Order
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.gear_verifier import gear_faults
from tests.structure_geometry import geometry_faults

SHOP = default_shop()


def piece(name: str = "A-01", limit: str | None = None, **more: object) -> Artwork:
    """Make a piece of 24 x 30 in and 18 lb, whose crate drops 18 in."""
    made: dict[str, object] = {"width": 24 * INCH, "height": 30 * INCH, "depth": 2 * INCH, "method": "battened"}
    made |= {"weight_kg": 18 * LB_KG, "shock_limit": None if limit is None else Decimal(limit)}
    return Artwork(name, **(made | more))  # type: ignore[arg-type]  # by name


def one(artwork: Artwork, shop: Shop = SHOP) -> Crate:
    (crate,) = expand(Order("an order", (artwork,)), shop)
    return crate


def geared(**rules: object) -> Shop:
    return replace(SHOP, gear=replace(SHOP.gear, **rules))  # type: ignore[arg-type]  # by name


def told(crate: Crate) -> dict[str, tuple[str, bool]]:
    return {check.name: (check.verdict, check.structure) for check in crate.checks if check.name in (DROP, TOPPLE)}


def keys(crate: Crate) -> list[str]:
    return [other.key for other in crate.others]


def test_without_a_limit_no_crate_is_held_and_the_one_on_pads_is_offered() -> None:
    crate = one(piece())
    assert crate.standing == "good"
    assert told(crate) == {DROP: ("info", False), TOPPLE: ("info", False)}
    assert crate.design is not None
    assert keys(crate)[-1] == f"{crate.design.key}-pads"
    padded = crate.others[-1]
    assert padded.text.startswith(f"{crate.design.text}, isolated on 4 pads of pe-plank-2 2 in thick under two skids")
    assert padded.tare_kg > crate.tare_kg
    assert padded.minutes > crate.design.minutes
    assert padded.cost > crate.design.cost
    assert len(crate.others) <= 2


def test_a_crate_that_falls_softly_is_offered_no_pads() -> None:
    """Over 200 lb half of 9 in (ASTM D4169-09): 4-1/2 over 1/4 in is 18 G, less than the 30 of a large piece."""
    crate = one(piece(width=60 * INCH, height=60 * INCH, weight_kg=Decimal(70)))
    assert told(crate)[DROP] == ("ok", False)
    assert not [key for key in keys(crate) if key.endswith("-pads")]


@pytest.mark.parametrize(
    ("orders", "shops", "counts"),
    [
        ((None, None), 0.0, (0.0, "")),
        (("40", "30"), 0.0, (30.0, "the order for A-02")),
        ((None, "50"), 40.0, (40.0, "the shop's rule")),
        (("35", None), 40.0, (35.0, "the order for A-01")),
    ],
)
def test_the_least_limit_counts(orders: tuple[str | None, ...], shops: float, counts: tuple[float, str]) -> None:
    pieces = tuple(piece(f"A-{n:02d}", limit) for n, limit in enumerate(orders, 1))
    assert shock_limit(pieces, geared(shock_limit=shops)) == counts


def test_a_crate_beyond_a_stated_limit_is_built_on_pads_that_keep_it() -> None:
    """44 lb and more drop 18 in: 3 x 18 / 2 = 27 G on pads of 2 in, by t = C h / G with C 3."""
    free, crate = one(piece()), one(piece(limit="40"))
    assert crate.standing == "good"
    assert told(crate) == {DROP: ("ok", True), TOPPLE: ("info", False)}
    (drop,) = [check for check in crate.checks if check.name == DROP]
    assert (drop.demand, drop.capacity) == (18, 40), "with its skids it weighs over 61 lb, and drops 12 in"
    assert crate.design is not None
    assert free.design is not None
    assert crate.design.key == f"{free.design.key}-pads"
    assert crate.design.text == f"{free.design.text}, on 4 foam pads under its skids"
    assert crate.tare_kg > free.tare_kg
    assert crate.outside.height == free.outside.height + 2 * INCH + 7 * INCH // 2
    assert crate.shell.height == free.shell.height
    assert sum(p.role == "skid pad" for p in crate.placed) == 4
    assert [s.caution for s in crate.steps if "pads of pe-plank-2" in s.text]
    assert any("never drag or push it on its pads" in s.text for s in crate.steps)
    assert not geometry_faults(crate, [piece(limit="40")], SHOP)
    assert not gear_faults(crate, SHOP)
    assert one(piece(limit="120")).design == free.design
    assert one(piece(), geared(shock_limit=40.0)).design == crate.design


def test_where_the_shop_wants_no_pads_a_crate_beyond_a_stated_limit_is_held() -> None:
    crate = one(piece(limit="40"), geared(isolate="never"))
    assert crate.standing == "held"
    (why,) = crate.held_for
    assert (why.check, why.allowed, why.would_pass) == (DROP, "40 G", FRAMED)


def test_a_topple_counts_where_nothing_keeps_a_crate_upright() -> None:
    crate = one(piece(limit="40"), geared(standing=False))
    assert crate.standing == "held"
    assert [why.check for why in crate.held_for] == [TOPPLE]
    assert one(piece(), geared(standing=False)).standing == "good"


def test_where_no_pads_will_do_the_reason_says_why() -> None:
    """By own van a case is kept to 15 G, for it falls less deep; a crate of 47 lb is too light for such soft pads."""
    light = Order("an order", (piece(limit="15", weight_kg=4 * LB_KG),))
    (crate,) = expand(light, SHOP, carriage={"": "own van"})
    (why,) = crate.held_for
    assert why.would_pass.startswith(f"{FRAMED}, but not pads: 46.9 lb is too light ")
    assert not [key for key in keys(crate) if key.endswith("-pads")]


def test_a_travel_frame_is_named_only_where_one_could_be_made() -> None:
    """Kept to 5 G the case itself would be held; and a French cleat is too short for the screws of a heavy piece."""
    (why,) = one(piece(limit="5")).held_for
    assert why.would_pass.startswith(f"nothing that is made here (not {FRAMED}: cushion, shock ")
    assert "; not pads: foam " in why.would_pass
    narrow = one(piece(limit="40", width=5 * INCH), geared(isolate="never"))
    assert [why.would_pass for why in narrow.held_for] == [
        f"nothing that is made here (not {FRAMED}: a French cleat 4 in long has no room for 3 removal screws)"
    ]


def test_a_shop_without_pads_is_offered_none() -> None:
    crate = one(piece(limit="40"), geared(isolate="never"))
    assert crate.held_for[0].would_pass == FRAMED
    assert not [key for key in keys(crate) if key.endswith("-pads")]
    (left,) = [warning for warning in crate.warnings if "wants no pads under skids" in warning]
    assert left.startswith("a drop passes on about 72 G to what is screwed to its back, more than 40 G,")
    assert not [warning for warning in one(piece(limit="40")).warnings if "wants no pads" in warning]
    always = one(piece(limit="120"), geared(isolate="always"))
    assert keys(always)[-1].endswith("-pads")


def test_an_acceptance_lapses_when_the_limit_changes() -> None:
    shop = geared(isolate="never")
    held = one(piece(limit="40"), shop)
    accepted = one(piece(limit="40", accept_held=f"{held.code}: it goes by hand"), shop)
    assert (accepted.standing, accepted.accepted) == ("accepted", "it goes by hand")
    assert one(piece(limit="39", accept_held=f"{held.code}: it goes by hand"), shop).standing == "held"
    give = geared(rigid_give=INCH // 8, isolate="never")
    assert one(piece(limit="40", accept_held=f"{held.code}: it goes by hand"), give).standing == "held"


def test_a_limit_changes_neither_design_nor_method() -> None:
    """No other back mends a shock: the crate stays what the shop chose, at its cheapest."""
    shop = geared(isolate="never")
    free, bound = one(piece(method="auto"), shop), one(piece(method="auto", limit="40"), shop)
    assert bound.standing == "held"
    assert (bound.method, bound.reason, bound.parts) == (free.method, free.reason, free.parts)
    assert (free.design, free.method) == (bound.design, "closed")


def test_equal_pieces_with_other_limits_get_their_own_standing() -> None:
    order = Order("an order", (piece("A-01"), piece("A-02", "40"), piece("A-03", "130")))
    assert [crate.standing for crate in expand(order, geared(isolate="never"))] == ["good", "held", "good"]
    pads = [any(p.role == "skid pad" for p in crate.placed) for crate in expand(order, SHOP)]
    assert pads == [False, True, False]


def test_pads_under_skids_that_a_crate_has_are_planned_from_these() -> None:
    packing = Packing("K1", (piece(limit="40"),), SHOP, "test")
    case = shaken(packing, 20.0, 36 * INCH)
    made = isolation_of(packing, case, (36 * INCH, 6 * INCH), ())
    assert isinstance(made, Isolation)
    assert made.made
    boxes = [Box(x * INCH, -7 * INCH // 2, -INCH, 3 * INCH, 7 * INCH // 2, 8 * INCH) for x in (4, 29)]
    placed = [Placed("K1.skid", n, box, "skid") for n, box in enumerate(boxes)]
    found = isolation_of(packing, case, (36 * INCH, 6 * INCH), placed)
    assert isinstance(found, Isolation)
    assert (found.made, found.runners) == (False, Runners(3 * INCH, 8 * INCH))


def on_skids() -> Bench:
    """Put two skids, 3 in wide and 8 in long, on a bench."""
    bench = Bench("K1", SHOP)
    for x in (4, 29):
        for ply in range(2):
            at = x * INCH + ply * 3 * INCH // 2
            bench.stick("skid", "2x4", Box(at, -7 * INCH // 2, -INCH, 3 * INCH // 2, 7 * INCH // 2, 8 * INCH), "skid",
                        along="z")  # fmt: skip
    return bench


@pytest.mark.parametrize(
    ("limit", "isolate", "stands"),
    [("40", "auto", True), ("120", "auto", False), (None, "auto", False), ("40", "never", False),
     (None, "always", True), ("5", "auto", False)],
)  # fmt: skip
def test_a_crate_is_built_on_pads_where_the_rule_wants_them(limit: str | None, isolate: str, stands: bool) -> None:
    packing = Packing("K1", (piece(limit=limit),), geared(isolate=isolate), "test")
    found = pads_for(packing, 20.0, (36 * INCH, 36 * INCH, 6 * INCH), on_skids().placed)
    assert (found is not None) is stands


def test_on_its_pads_a_crate_keeps_the_limit_and_is_offered_no_others() -> None:
    """44 lb drop 18 in: 3 x 18 / 2 = 27 G on pads of 2 in."""
    packing, bench = Packing("K1", (piece(limit="40"),), SHOP, "test"), on_skids()
    outside = (36 * INCH, 36 * INCH, 6 * INCH)
    assert [c.verdict for c in shock_checks(packing, 20.0, outside, bench.placed)] == ["fails", "info"]
    found = pads_for(packing, 20.0, outside, bench.placed)
    assert found is not None
    place_pads(bench, runners_of(bench.placed), found)
    checks = shock_checks(packing, 20.0 + found.kg, outside, bench.placed)
    assert [(c.name, c.verdict, c.structure) for c in checks] == [
        (DROP, "ok", True), (TOPPLE, "info", False),
        ("skid pads, static stress", "ok", True), ("skid pads, buckling", "ok", True),
    ]  # fmt: skip
    assert checks[0].demand == 27
    case = shaken(packing, 20.0, 36 * INCH, bench.placed)
    assert case.pads == 2 * INCH
    assert isolation_of(packing, case, (36 * INCH, 6 * INCH), bench.placed) is None
    # Three times as heavy, its pads would bottom out, and hold it.
    heavy = shock_checks(packing, 60.0, outside, bench.placed)
    assert [c.verdict for c in heavy[2:]] == ["fails", "ok"]
