"""The closed crate: a plywood frame with a solid back and a solid lid; the piece hangs on the back."""

from nesting.advice.check import Check, table_pounds
from nesting.base.measure import format_length
from nesting.crates.model import Crate
from nesting.crates.shells.faces import Face, whole_face
from nesting.crates.shells.finish import finish
from nesting.crates.shells.screwing import mount
from nesting.crates.shells.shell import Shell, too_large
from nesting.crates.traits import Packing
from nesting.shop.goods import Good


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
    return finish(shell, "closed", back, bending)


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
