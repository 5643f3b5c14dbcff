"""The closed crate: a plywood frame with a solid back and a solid lid; the piece hangs on the back."""

from nesting.advice.check import table_pounds
from nesting.crates.faces import Face, whole_face
from nesting.crates.finish import finish
from nesting.crates.model import Crate
from nesting.crates.registry import Packing
from nesting.crates.shell import Shell, too_large
from nesting.goods import Good
from nesting.measure import format_length


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
    back = _face(shell, "back", _back(shell))
    lid = _face(shell, "lid", shop.good(shop.frame.lid))

    shell.lay_back(back)
    shell.stand_frame()
    shell.mount((back.good,), None)
    shell.line_frame()
    shell.close(lid, None)
    return finish(shell, "closed", back, shell.check_back(back.good))


def _back(shell: Shell) -> Good:
    """Pick the back: the thinnest that holds in bending, raised by the shop's rule on weight."""
    shop = shell.packing.shop
    rules, weight = shop.frame, table_pounds(shell.load.kg)
    holds = shell.choose_back((rules.back_light, rules.back_middling, rules.back_heavy))
    if weight > rules.back_heavy_lb:
        ruled = shop.good(rules.back_heavy)
    elif weight > rules.back_middling_lb:
        ruled = shop.good(rules.back_middling)
    else:
        ruled = shop.good(rules.back_light)
    return max((ruled, holds), key=lambda good: good.thickness)


def _face(shell: Shell, name: str, good: Good) -> Face:
    """Return a face in one panel, or refuse it."""
    face = whole_face(name, good, shell.frame, shell.packing.shop)
    if face is None:
        units = shell.packing.units
        wide, high = (format_length(v, units, mark=True) for v in (shell.frame.width, shell.frame.height))
        found = f"a closed crate with a {name} of {wide} x {high}, larger than every sheet of {good.good}"
        raise too_large(shell, found, "battened, whose seams lie on battens, or a larger sheet in the shop")
    return face
