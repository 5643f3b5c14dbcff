"""The battened crate: a closed crate for larger pieces, its thin faces stiffened by a grid of battens outside."""

from typing import Final

from nesting.advice.bending import Battens
from nesting.base.measure import format_length
from nesting.crates.model import Crate
from nesting.crates.opening import lid_off
from nesting.crates.shells.battens import Grid, grid_for
from nesting.crates.shells.faces import Face, seamed_face
from nesting.crates.shells.finish import finish
from nesting.crates.shells.reach import faces_of, reach_of
from nesting.crates.shells.screwing import mount
from nesting.crates.shells.shell import PLAIN, Shell, too_large
from nesting.crates.shells.shell_texts import TEXTS
from nesting.crates.traits import Method, Packing
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
    shop = packing.shop
    shell = Shell.begin(packing)
    rules, frame = shop.frame, shell.frame
    lid = _face(shell, "lid", shop.good(rules.lid))
    for good in shell.by_thickness(rules.back_light, rules.back_middling, rules.back_heavy):
        back = _face(shell, "back", good)
        behind = grid_for(back.pattern, frame.width, frame.height, shell.lines, shop)
        bending = shell.check_back(back, _stiffeners(shell, behind), (shop.good(shop.battens.good),))
        if bending.verdict != "fails":
            break
    before = grid_for(lid.pattern, frame.width, frame.height, (), shop)

    shell.lay_grid(behind, back, outwards=-1)
    shell.lay_back(back, shop.good(shop.battens.good))
    shell.stand_frame()
    mount(shell, (shop.good(shop.battens.good), back.good), behind)
    shell.line_frame()
    shell.close(lid, before)
    return finish(shell, BATTENED, back, bending, grids=(behind, before))


def _stiffeners(shell: Shell, grid: Grid) -> Battens:
    """Return what of the grid counts in bending: a crosspiece behind each cleat, where no seam batten interrupts it.

    Uprights stand between crosspieces and don't count.
    """
    shop = shell.packing.shop
    cleats = [cleat for own in shell.cleats for cleat in own]
    start, end = min(c.x for c in cleats), max(c.x + c.length for c in cleats)
    unbroken = all(
        any(b.rect.x <= start and end <= b.rect.x + b.rect.dx for b in grid.of("batten") if b.covers(line))
        for line in shell.lines
    )
    return Battens(0, 1, shop.battens.width, shop.good(shop.battens.good).thickness) if unbroken else PLAIN


def _face(shell: Shell, name: str, good: Good) -> Face:
    """Return a face, seamed where it must be; its seams keep clear of the crosspieces that take mounting screws."""
    shop, frame = shell.packing.shop, shell.frame
    reach = (shop.battens.width + shop.battens.seam_width) // 2 + 1
    zones = tuple((line - reach, line + reach) for line in shell.lines)
    copies = 2 if good.good == shop.frame.lid else 1
    face = seamed_face(name, good, frame, shop, keep_clear=zones, copies=copies)
    if face is None:
        units = shell.packing.units
        wide, high = (format_length(v, units, mark=True) for v in (frame.width, frame.height))
        accepted = (
            f"a larger sheet of {good.good}, or narrower panels in battens.panel_least: no seams divide the {name}"
        )
        raise too_large(shell, f"battened, {wide} x {high}", accepted)
    return face


BATTENED: Final = Method(
    "battened", "battened crate", "battened crates", TEXTS, battened,
    protection=2,
    hangs=True,
    opens=lid_off,
    trips="battened_trips",
    suits=suits,
)  # fmt: skip
