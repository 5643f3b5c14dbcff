"""Building a shell to the best design that can be built, from the outside of its back to its lid."""

from dataclasses import replace
from typing import Protocol

from nesting.advice.check import Check
from nesting.crates.model import Crate, Designed
from nesting.crates.shells.battens import Lay, grid_for
from nesting.crates.shells.catalogue import Catalogue, Judged, would_pass
from nesting.crates.shells.faces import Face
from nesting.crates.shells.finish import finish
from nesting.crates.shells.gearing import closed_with_gear
from nesting.crates.shells.screwing import mount
from nesting.crates.shells.shaken import left_to_people, on_pads, upon
from nesting.crates.shells.shell import Shell, behind_of, refuse_deep
from nesting.crates.traits import Method, Packing, Refused
from nesting.order import Artwork

_SHOWN = 2
"""Designs that are shown beside the one that was built."""


class LidChooser(Protocol):
    """Chooses the lid of a catalogue's shell and the battens on it."""

    def __call__(self, catalogue: Catalogue, /) -> tuple[Face, Lay | None]:
        """Choose."""


def built(catalogue: Catalogue, choose: LidChooser, method: Method) -> Crate:
    """Build a shell to the cheapest design of a catalogue's short list that its pieces can be screwed into.

    Parameters
    ----------
    choose : callable
        Chooses the lid.
    method : Method
        Of the crate.

    Raises
    ------
    Refused
        Where no design of the list has room for the pieces' screws.
    """
    lid, over_lid, found = _chosen(catalogue, choose, method)
    wanted = catalogue.plan.packing.shell.design
    # What was chosen for the whole order comes first; where it cannot be built, the judge's order stands.
    found = tuple(sorted(found, key=lambda judged: judged.design.key != wanted)) if wanted else found
    refused: Refused | None = None
    nearest: Crate | None = None
    for judged in found:
        if nearest is not None and not judged.passes:
            break
        try:
            crate, crowded = _build(catalogue, judged, lid, over_lid, method)
        except Refused as no_room:
            refused = refused or no_room
            continue
        made = _told(catalogue, crate, judged, found)
        # What already says what would pass is no matter of the back: no other design mends it.
        if not crowded and not any(map(_of_design, made.checks)):
            return made
        nearest = nearest or made
    if nearest is None:
        raise refused or RuntimeError("a short list is never empty")
    return nearest


def _chosen(catalogue: Catalogue, choose: LidChooser, method: Method) -> tuple[Face, Lay | None, tuple[Judged, ...]]:
    """Return lid and short list; equal pieces of one order share theirs."""
    packing = catalogue.plan.packing
    key = (method.name, alike(packing), replace(packing.shell, design=""))
    if key not in packing.memory:
        packing.memory[key] = (*choose(catalogue), catalogue.short_list())
    lid, over_lid, found = packing.memory[key]
    return lid, over_lid, found


def short_list(packing: Packing, method: Method) -> tuple[Face, tuple[Judged, ...]] | None:
    """Return the lid and the short list that a crate was built from; None where it was not or its method has none."""
    found = packing.memory.get((method.name, alike(packing), replace(packing.shell, design="")))
    return (found[0], found[2]) if found is not None else None


def alike(packing: Packing) -> tuple[Artwork, ...]:
    """Return the pieces of a packing without what makes no difference to how they are packed."""
    return tuple(
        replace(a.as_made(), piece="-", copy_of=None, set_name=None, destination=None, together=(), apart=(),
                accept_held="", buyer="", gallery="") for a in packing.pieces
    )  # fmt: skip


def _of_design(check: Check) -> bool:
    """Whether a check fails that another design might pass."""
    return check.structure and check.verdict == "fails" and not check.would_pass


def _told(catalogue: Catalogue, made: Crate, judged: Judged, found: tuple[Judged, ...]) -> Crate:
    """Say of a crate what design it has, which came next, and what would pass where none does."""
    plan = catalogue.plan
    others = [each for each in found if each is not judged and each.passes]
    checks = made.checks
    if failing := tuple(filter(_of_design, checks)):
        told = would_pass(failing, plan)
        checks = tuple(replace(check, would_pass=told) if check in failing else check for check in checks)
    design = upon(made, judged.designed(plan, judged, made.tare_kg))
    padded = on_pads(plan.packing, made, design)
    # Designs that differ in nothing but where the seams of the back lie bear one key: the cheapest of them is shown.
    shown: dict[str, Designed] = {}
    for each in others:
        if len(shown) == _SHOWN - (padded is not None):
            break
        other = upon(made, each.designed(plan, judged, made.tare_kg))
        if other.key != design.key:
            shown.setdefault(other.key, other)
    return replace(
        made,
        checks=checks,
        design=design,
        others=(*shown.values(), *([padded] if padded else [])),
        warnings=(*made.warnings, *left_to_people(plan.packing, made)),
    )


def _build(catalogue: Catalogue, judged: Judged, lid: Face, over_lid: Lay | None, method: Method) -> tuple[Crate, bool]:
    """Build to one design; tell too whether its cleats have no room for all of their screws."""
    plan, design = catalogue.plan, judged.design
    refuse_deep(plan, behind_of(plan, design.layers))
    shell = Shell.begin(plan, judged)
    before = None
    if over_lid is not None:
        before = grid_for(lid.pattern, plan.width, plan.height, over_lid, plan.packing.shop)
    shell.plan_lid(lid, before)
    behind = catalogue.grid(design)
    if behind is not None:
        shell.lay_grid(behind, design.back, outwards=-1)
    shell.lay_back(design.back)
    shell.stand_frame()
    mount(shell, behind)
    geared = closed_with_gear(shell, lid, before)
    return finish(geared, method, lid, behind=behind, before=before), shell.crowded
