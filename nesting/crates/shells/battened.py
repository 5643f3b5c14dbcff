"""The battened crate: a closed crate for larger pieces, its thin faces stiffened by a grid of battens outside."""

from collections.abc import Iterator, Sequence
from math import inf
from typing import Final, Literal

from nesting.base.measure import format_length
from nesting.crates.model import Crate
from nesting.crates.opening import lid_off
from nesting.crates.shells.battens import Lay, bands_of, fits, grid_for, longest_batten, set_out
from nesting.crates.shells.building import built
from nesting.crates.shells.catalogue import MORE, Catalogue, room_for_washers
from nesting.crates.shells.faces import Face, backs_of, seamed_faces
from nesting.crates.shells.finish import lid_check
from nesting.crates.shells.frame import Frame, frame_for, framed
from nesting.crates.shells.plan import Plan, plan_for
from nesting.crates.shells.reach import faces_of, reach_of
from nesting.crates.shells.shell import ask, behind_of, refuse_deep, too_large
from nesting.crates.shells.shell_texts import TEXTS_BATTENED, TEXTS_BOLTED
from nesting.crates.traits import Method, Packing, RulesClash
from nesting.shop.goods import Good


def suits(packing: Packing) -> str:
    """Say why the shop's rules take battens: for whatever is larger than a closed crate takes."""
    units, limit = packing.units, packing.shop.method.closed_size
    if (reach := reach_of(packing)) > limit:
        side, most = (format_length(value, units, mark=True) for value in (reach, limit))
        return f"{side} is over {most}: thin faces stiffened by battens"
    faces = " x ".join(format_length(value, units, mark=True) for value in faces_of(packing))
    return f"faces of {faces} are larger than a sheet: their seams lie on battens"


def battened(packing: Packing) -> Crate:
    """Make a battened crate.

    Raises
    ------
    Refused
        Where a piece cannot be mounted, or a face cannot be divided into panels that a sheet takes.
    RulesClash
        Where the shop's rules cannot be kept together.
    """
    packing = framed(packing)
    shop, plan = packing.shop, plan_for(packing)
    behind = behind_of(plan, 1)
    refuse_deep(plan, behind)
    load, goods = plan.load, backs_of(shop)
    frame = frame_for(load.width, load.height, load.depth, shop, packing.units, behind=behind)
    backs = tuple(face for good in goods for face in _faces(plan, frame, "back", good))
    catalogue = Catalogue(plan, backs, frame, battened=True)
    ask(plan, goods, catalogue.goods)
    return built(catalogue, _lid, BATTENED)


def _lid(catalogue: Catalogue) -> tuple[Face, Lay]:
    """Choose the lid and its battens: the lightest that let it bear its own weight, or what comes nearest.

    Of the shop's good for lids, or of a thicker one of its backs where none of that good holds.
    """
    plan, shop = catalogue.plan, catalogue.plan.packing.shop
    ruled = shop.good(shop.frame.lid)
    found: list[tuple[tuple[float, float, int], Face, Lay]] = []
    for good in (ruled, *(good for good in backs_of(shop) if good.thickness > ruled.thickness)):
        found += _lids(catalogue, _faces(plan, catalogue.frame, "lid", good))
        if found and min(ratio for (ratio, *_), _, _ in found) <= 1:
            break
    if not found:
        raise RulesClash("battens of the shop's rules do not lie on the lid", "other rules under [battens]")
    _, lid, lay = min(found, key=lambda each: each[0])
    return lid, lay


def _lids(catalogue: Catalogue, lids: Sequence[Face]) -> list[tuple[tuple[float, float, int], Face, Lay]]:
    """Return lids with battens, each with its ratio (1 where it holds), the volume of its battens, and a number."""
    plan, shop = catalogue.plan, catalogue.plan.packing.shop
    found: list[tuple[tuple[float, float, int], Face, Lay]] = []
    for lid in lids:
        for lays in _over(catalogue, lid):
            for lay in lays:
                grid = grid_for(lid.pattern, plan.width, plan.height, lay, shop)
                ratio = lid_check(plan.packing, lid, grid, catalogue.frame).ratio
                volume = sum(b.rect.dx * b.rect.dy for b in grid.battens) * lay.good.thickness
                found.append(((max(1.0, inf if ratio is None else ratio), volume, len(found)), lid, lay))
                if ratio is not None and ratio <= 1:
                    # More battens of the same kind only weigh more.
                    break
    return found


def _over(catalogue: Catalogue, lid: Face) -> Iterator[Iterator[Lay]]:
    """Yield battens over a lid that differ in their number only, the fewest first; in one piece where any are."""
    plan, shop = catalogue.plan, catalogue.plan.packing.shop
    rules = shop.battens
    goods = [g for g in catalogue.goods if not lid.seamed or g.thickness >= shop.good(rules.seam_good).thickness]
    for good in goods or [shop.good(rules.seam_good)]:
        longest = longest_batten(good, shop)
        whole = [runs for runs, along in (("y", plan.height), ("x", plan.width)) if along <= longest]
        for width in dict.fromkeys((rules.width, rules.seam_width)):
            for runs in whole or ("y", "x"):
                yield _more(catalogue, lid, "y" if runs == "y" else "x", good, width)


def _more(catalogue: Catalogue, lid: Face, runs: Literal["x", "y"], good: Good, width: int) -> Iterator[Lay]:
    """Yield more and more battens one way, from as many as the shop's rules ask."""
    plan, shop = catalogue.plan, catalogue.plan.packing.shop
    across = plan.width if runs == "y" else plan.height
    seams = sorted({s.at for s in lid.pattern.seams if s.runs == runs})
    tried = 0
    for extra in range(40):
        lay = Lay(runs, set_out(across, catalogue.frame.thickness, seams, extra, width, shop), width, good)
        if not fits(lay, lid.pattern, across, shop) or tried > MORE:
            return
        if bands_of(lay, lid.pattern, shop) and catalogue.near_enough(lay, lid, across):
            tried += 1
            yield lay


def _faces(plan: Plan, frame: Frame, name: str, good: Good) -> tuple[Face, ...]:
    """Return the ways to make a face, seamed where it must be; its seams keep clear of the rows of mounting screws."""
    shop = plan.packing.shop
    # The washers of a row clear the batten over a seam; whether battens under the row do is for each design to find.
    reach = shop.whole_up(shop.battens.seam_width // 2 + room_for_washers(shop) + 1)
    zones = tuple((line - reach, line + reach) for line in plan.lines)
    copies = 2 if good.good == shop.frame.lid else 1
    number = dict(plan.packing.shell.patterns).get(name, 0)
    found = seamed_faces(name, good, frame, shop, keep_clear=zones, copies=copies, number=number)
    if not found:
        units = plan.packing.units
        wide, high = (format_length(v, units, mark=True) for v in (frame.width, frame.height))
        accepted = (
            f"a larger sheet of {good.good}, or narrower panels in battens.panel_least: no seams divide the {name}"
        )
        raise too_large(plan, f"battened, {wide} x {high}", accepted)
    return found


BATTENED: Final = Method(
    "battened", "battened crate", "battened crates", TEXTS_BATTENED, battened,
    protection=2,
    hangs=True,
    texts_bolted=TEXTS_BOLTED,
    opens=lid_off,
    trips="battened_trips",
    suits=suits,
)  # fmt: skip
