"""The closed crate: a plywood frame with a solid back and a solid lid; the piece hangs on the back."""

from typing import Final

from nesting.advice.check import table_pounds
from nesting.base.measure import format_length, format_weight
from nesting.crates.model import Crate
from nesting.crates.opening import lid_off
from nesting.crates.shells.building import built
from nesting.crates.shells.catalogue import Catalogue
from nesting.crates.shells.faces import Face, backs_of, whole_face
from nesting.crates.shells.finish import lid_check
from nesting.crates.shells.frame import Frame, frame_for, framed
from nesting.crates.shells.plan import Plan, plan_for
from nesting.crates.shells.reach import brought_within, reach_of, within_sheets
from nesting.crates.shells.seams import Stock
from nesting.crates.shells.shell import ask, behind_of, refuse_deep, too_large
from nesting.crates.shells.shell_texts import TEXTS, TEXTS_BOLTED
from nesting.crates.traits import Method, Packing
from nesting.crates.weigh import piece_weight
from nesting.shop.goods import Good


def suits(packing: Packing) -> str:
    """Say why the shop's rules take a closed crate: no larger than its limit, and each face out of one sheet."""
    shop, units = packing.shop, packing.units
    reach = reach_of(packing)
    if reach > shop.method.closed_size or not within_sheets(packing):
        return ""
    kg = sum(piece_weight(artwork, shop).kg for artwork in packing.pieces)
    side, weight = format_length(reach, units, mark=True), format_weight(kg, units, mark=True)
    return f"{side} and {weight}: over a carton, up to {format_length(shop.method.closed_size, units, mark=True)}"


def closed(packing: Packing) -> Crate:
    """Make a closed crate.

    Raises
    ------
    Refused
        Where a piece cannot be mounted, or a face is larger than every sheet: seams need battens under them.
    RulesClash
        Where the shop's rules cannot be kept together.
    """
    shop = packing.shop
    packing = brought_within(
        framed(packing), [Stock.of(good, shop.saw) for good in (*backs_of(shop), shop.good(shop.frame.lid))]
    )
    plan = plan_for(packing)
    behind = behind_of(plan, 1)
    refuse_deep(plan, behind)
    load, goods = plan.load, _backs(plan)
    ask(plan, goods, ())
    frame = frame_for(load.width, load.height, load.depth, packing.shop, packing.units, behind=behind)
    backs = tuple(_face(plan, frame, "back", good) for good in goods)
    return built(Catalogue(plan, backs, frame, battened=False), _lid, CLOSED)


def _backs(plan: Plan) -> list[Good]:
    """Return what the back may be of, the thinnest first: no thinner than the shop's rule on weight asks."""
    shop, weight = plan.packing.shop, table_pounds(plan.load.kg)
    rules = shop.frame
    ruled = rules.back_light
    if weight > rules.back_heavy_lb:
        ruled = rules.back_heavy
    elif weight > rules.back_middling_lb:
        ruled = rules.back_middling
    least = shop.good(ruled).thickness
    return [good for good in backs_of(shop) if good.thickness >= least]


def _lid(catalogue: Catalogue) -> tuple[Face, None]:
    """Return the shop's lid, or a thicker one where it would not bear its own weight; the thickest if none does."""
    plan, frame, shop = catalogue.plan, catalogue.frame, catalogue.plan.packing.shop
    ruled = shop.good(shop.frame.lid)
    lid = _face(plan, frame, "lid", ruled)
    for good in (ruled, *(good for good in backs_of(shop) if good.thickness > ruled.thickness)):
        lid = _face(plan, frame, "lid", good)
        if lid_check(plan.packing, lid, None, frame).verdict == "ok":
            break
    return lid, None


def _face(plan: Plan, frame: Frame, name: str, good: Good) -> Face:
    """Return a face in one panel, or refuse it."""
    face = whole_face(name, good, frame, plan.packing.shop)
    if face is None:
        wide, high = (format_length(v, plan.packing.units, mark=True) for v in (frame.width, frame.height))
        accepted = f"battened, whose seams lie on battens: a {name} of {wide} x {high} is larger than every {good.good}"
        raise too_large(plan, f"closed, {wide} x {high}", accepted)
    return face


CLOSED: Final = Method(
    "closed", "closed crate", "closed crates", TEXTS, closed,
    protection=1,
    hangs=True,
    texts_bolted=TEXTS_BOLTED,
    opens=lid_off,
    trips="closed_trips",
    suits=suits,
    otherwise="battened",
)  # fmt: skip
