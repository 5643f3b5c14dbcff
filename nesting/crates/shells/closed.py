"""The closed crate: a plywood frame with a solid back and a solid lid; the piece hangs on the back."""

from typing import Final

from nesting.advice.check import Check, table_pounds
from nesting.base.measure import format_length, format_weight
from nesting.crates.model import Crate
from nesting.crates.opening import lid_off
from nesting.crates.shells.faces import Face, whole_face
from nesting.crates.shells.finish import finish
from nesting.crates.shells.reach import reach_of, within_sheets
from nesting.crates.shells.screwing import mount
from nesting.crates.shells.shell import Shell, too_large
from nesting.crates.shells.shell_texts import TEXTS
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
    shell = Shell.begin(packing)
    back, bending = _back(shell)
    lid = _face(shell, "lid", shop.good(shop.frame.lid))

    shell.lay_back(back)
    shell.stand_frame()
    mount(shell, (back.good,), None)
    shell.line_frame()
    shell.close(lid, None)
    return finish(shell, CLOSED, back, bending)


def _back(shell: Shell) -> tuple[Face, Check]:
    """Pick the back: the thinnest that holds in bending, but no thinner than the shop's rule on weight asks."""
    rules, weight = shell.packing.shop.frame, table_pounds(shell.load.kg)
    ruled = rules.back_light
    if weight > rules.back_heavy_lb:
        ruled = rules.back_heavy
    elif weight > rules.back_middling_lb:
        ruled = rules.back_middling
    least = shell.packing.shop.good(ruled).thickness
    found: list[tuple[Face, Check]] = []
    for good in shell.by_thickness(rules.back_light, rules.back_middling, rules.back_heavy):
        if good.thickness < least:
            continue
        face = _face(shell, "back", good)
        found.append((face, shell.check_back(face)))
        if found[-1][1].verdict != "fails":
            break
    return found[-1]


def _face(shell: Shell, name: str, good: Good) -> Face:
    """Return a face in one panel, or refuse it."""
    face = whole_face(name, good, shell.frame, shell.packing.shop)
    if face is None:
        units = shell.packing.units
        wide, high = (format_length(v, units, mark=True) for v in (shell.frame.width, shell.frame.height))
        accepted = f"battened, whose seams lie on battens: a {name} of {wide} x {high} is larger than every {good.good}"
        raise too_large(shell, f"closed, {wide} x {high}", accepted)
    return face


CLOSED: Final = Method(
    "closed", "closed crate", "closed crates", TEXTS, closed,
    protection=1,
    hangs=True,
    opens=lid_off,
    trips="closed_trips",
    suits=suits,
    otherwise="battened",
)  # fmt: skip
