"""Shaken: the shock that a shell passes on, the limit it is held against, and the version of it that stands on pads."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from nesting.advice.check import Check
from nesting.advice.shock import Padded, Shaken, check_pads, check_shock
from nesting.crates.gear.isolation import KEY, Isolation, NoPads, Resting, Runners, isolate, runners_of, wanted
from nesting.crates.limits import shock_limit
from nesting.crates.model import Box, Crate, Designed, Placed
from nesting.crates.traits import Packing
from nesting.shop.needs import foam_of

FRAMED = "a travel frame in an outer case (a padded inner frame)"
"""The other way out."""


def shaken(packing: Packing, gross_kg: float, height: int, placed: Iterable[Placed] = ()) -> Shaken:
    """Return a shell as its shock is judged.

    Parameters
    ----------
    height : int
        Of the shell as it stands.
    placed : iterable of Placed
        Its parts, pads under its skids among them where it has any.
    """
    limit, whose = shock_limit(packing.pieces, packing.shop)
    longest = max(a.longest_side for a in packing.pieces)
    pads = _pads_of(placed)
    thick = max(box.y + box.dy for box in pads) - min(box.y for box in pads) if pads else 0
    return Shaken(gross_kg, height, longest, packing.shop.gear.rigid_give, limit, whose, thick)


def _pads_of(placed: Iterable[Placed]) -> list[Box]:
    return [p.box for p in placed if p.role == "skid pad"]


def shock_checks(
    packing: Packing,
    gross_kg: float,
    outside: tuple[int, int, int],
    placed: Sequence[Placed],
    *,
    topples: bool = False,
) -> tuple[Check, ...]:
    """Tell what a shell passes on at the drop and topple of the way it travels, and whether its pads bear that.

    Parameters
    ----------
    outside : tuple of int
        Width, height and depth of the shell.
    placed : sequence of Placed
        Its parts, skids and pads among them where it has any.
    topples : bool
        Whether nothing keeps it upright: then the topple counts against a stated limit as the drop does.
    """
    shop = packing.shop
    width, height, depth = outside
    case = replace(shaken(packing, gross_kg, height, placed), topples=topples)
    told = check_shock(case, shop.cushion, packing.units)
    if any(check.verdict == "fails" for check in told):
        way_out = _way_out(packing, isolation_of(packing, case, (width, depth), placed))
        told = check_shock(case, shop.cushion, packing.units, way_out=way_out)
    pads = _pads_of(placed)
    if not pads:
        return told
    low = min(box.y for box in pads)
    area = sum(box.dx * box.dz for box in pads if box.y == low)
    side = min(min(box.dx, box.dz) for box in pads)
    padded = Padded(area, side, case.pads, shop.case.pad_slender, foam_of(shop, shop.good(shop.gear.pad_good)))
    return (*told, *check_pads(gross_kg, padded, packing.units))


def _way_out(packing: Packing, pads: Isolation | NoPads | None) -> str:
    """Say what would pass instead: pads, a frame in a case, both or neither; each is tried before it is told."""
    unframed = packing.unframed(packing)
    if isinstance(pads, Isolation):
        no_frame = f", but not {FRAMED}: {unframed}"
        return f"{pads.text(packing.units)}{no_frame if unframed else f', or {FRAMED}'}"
    no_pads = f"not pads: {pads.reason}" if pads else ""
    if not unframed:
        return f"{FRAMED}, but {no_pads}" if no_pads else FRAMED
    told = filter(None, (f"not {FRAMED}: {unframed}", no_pads))
    return f"nothing that is made here ({'; '.join(told)})"


def isolation_of(
    packing: Packing, case: Shaken, base: tuple[int, int], placed: Iterable[Placed]
) -> Isolation | NoPads | None:
    """Plan the pads that a shell may stand on.

    Parameters
    ----------
    case : Shaken
        The shell without pads.
    base : tuple of int
        Width and depth of its underside.
    placed : iterable of Placed
        Its parts, skids among them where it has any.

    Returns
    -------
    Isolation, NoPads or None
        None where it stands on pads, where the drop passes on no more than is allowed, or where the shop wants none.
    """
    shop = packing.shop
    if case.pads:
        return None
    within = case.drop(shop.cushion)[1] <= case.allowed(shop.cushion)
    if shop.gear.isolate == "never" or (within and shop.gear.isolate != "always"):
        return None
    skids = runners_of(placed)
    runners = Runners(min(box.dx for box in skids), min(box.dz for box in skids)) if skids else None
    resting = Resting(
        case.gross_kg, case.allowed(shop.cushion), *base, runners, laminated=shop.laminates(packing.country)
    )
    return isolate(resting, shop, packing.units)


def pads_for(
    packing: Packing, gross_kg: float, outside: tuple[int, int, int], placed: Sequence[Placed]
) -> Isolation | None:
    """Return the pads that a shell is built on: where the shop's rule wants them and they reach what is allowed.

    Parameters
    ----------
    gross_kg, outside, placed
        Of the shell with its skids, without pads.
    """
    shop = packing.shop
    width, height, depth = outside
    case = shaken(packing, gross_kg, height)
    felt, allowed = case.drop(shop.cushion)[1], case.allowed(shop.cushion)
    if not wanted(shop.gear.isolate, stated=case.limit > 0, felt=felt, allowed=allowed):
        return None
    found = isolation_of(packing, case, (width, depth), placed)
    return found if isinstance(found, Isolation) else None


def left_to_people(packing: Packing, made: Crate) -> tuple[str, ...]:
    """Say what is left to people where the shop wants no pads and a drop passes on more than is allowed."""
    shop = packing.shop
    case = shaken(packing, made.gross_kg, made.shell.height, made.placed)
    felt, allowed = case.drop(shop.cushion)[1], case.allowed(shop.cushion)
    if shop.gear.isolate != "never" or felt <= allowed:
        return ()
    told = (
        f"a drop passes on about {felt:.0f} G to what is screwed to its back, more than {allowed:g} G, and the shop's "
        "rule wants no pads under skids: carry it by hand, never set it down hard"
    )
    return (told,)


def on_pads(packing: Packing, made: Crate, design: Designed) -> Designed | None:
    """Return a shell's design standing on pads, where its drop passes on more than is allowed and pads mend that."""
    size = made.shell
    case = shaken(packing, made.gross_kg, size.height, made.placed)
    found = isolation_of(packing, case, (size.width, size.depth), made.placed)
    if not isinstance(found, Isolation):
        return None
    return replace(
        design,
        key=f"{design.key}{KEY}",
        text=f"{design.text}, {found.text(packing.units)}",
        tare_kg=design.tare_kg + found.kg,
        minutes=round(design.minutes + packing.judge.hand_minutes(found.bill), 1),
        cost=design.cost + packing.judge.cost(found.bill),
    )


def upon(made: Crate, design: Designed) -> Designed:
    """Return a design as a shell is built to it: with the pads that the shell stands on, where it does."""
    pads = {(box.x, box.z) for box in _pads_of(made.placed)}
    if not pads:
        return design
    return replace(design, key=f"{design.key}{KEY}", text=f"{design.text}, on {len(pads)} foam pads under its skids")
