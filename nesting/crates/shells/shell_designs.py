"""Designs of a shell to choose from for whoever sees all crates of an order, and what each takes.

The judge of one crate knows no sheets: it puts first what costs least by area. Which design is cheapest in an order
depends on what else is cut from the same sheets. So a few are told here: the first of the short list and those that
come next, other divisions of seamed faces, and a frame a little smaller where its faces then take fewer sheets.
"""

from collections.abc import Hashable, Iterator
from dataclasses import replace
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.crates.chosen import SHELL_AS_RULED, ShellDesign
from nesting.crates.model import Crate
from nesting.crates.shells.building import alike, short_list
from nesting.crates.shells.catalogue import Judged
from nesting.crates.shells.faces import Face
from nesting.crates.shells.frame import framed
from nesting.crates.shells.reach import faces_of, smaller_frames
from nesting.crates.shells.seams import Stock
from nesting.crates.sketch import Sketch, sketch_of
from nesting.crates.traits import Method, Packing, Refused, RulesClash
from nesting.shop.needs import UnfitMaterialError
from nesting.shop.shop import MissingGoodError

_NEXT: Final = 3
"""How many designs of a short list are told beside its first."""


def designs(packing: Packing, method: Method) -> tuple[ShellDesign, ...]:
    """Return what a crate may be built to, what the rules give by themselves first.

    Parameters
    ----------
    packing : Packing
        The crate; what is chosen in it is passed over.
    method : Method
        By which it is packed.

    Returns
    -------
    tuple of ShellDesign
        At least one, what is most often worth its sketch first. :func:`sketch` says which of them can be built and bear
        as much.
    """
    packing = replace(packing, shell=SHELL_AS_RULED)
    if _made(packing, method) is None or (listed := short_list(packing, method)) is None:
        return (SHELL_AS_RULED,)
    lid, found = listed
    first = found[0]
    told = [SHELL_AS_RULED]
    told += [ShellDesign(larger_by=by) for by in _within(packing, first, lid)]
    told += [ShellDesign(design=key) for key in _next(found)]
    told += _divided(first.design.back, lid)
    return tuple(told)


def sketch(packing: Packing, method: Method, design: ShellDesign) -> Sketch | None:
    """Return what a crate takes that is built to a design; None where it cannot be, or fails what the first does not.

    Parameters
    ----------
    packing, method
        As for :func:`designs`. Equal pieces share what was found, by the packing's memory.
    design : ShellDesign
        What is chosen.
    """
    key = ("sketch", *_asked(packing, method), design)
    if key not in packing.memory:
        made = _made(replace(packing, shell=design), method)
        ruled = made if design == SHELL_AS_RULED else _made(replace(packing, shell=SHELL_AS_RULED), method)
        fit = made is not None and (ruled is None or _bears_as(made, ruled, design))
        packing.memory[key] = (packing.crate, sketch_of(made) if made is not None and fit else None)
    name, found = packing.memory[key]
    return found if found is None or name == packing.crate else _renamed(found, name, packing.crate)


def _asked(packing: Packing, method: Method) -> tuple[Hashable, ...]:
    """Return what a crate depends on beside its design, within one order."""
    return (method.name, alike(packing), packing.country, packing.carriage, packing.units, packing.carton)


def _made(packing: Packing, method: Method) -> Crate | None:
    """Return the crate of a packing, or None where it cannot be made; equal pieces share theirs."""
    key = ("made", *_asked(packing, method), packing.shell)
    if key not in packing.memory:
        try:
            packing.memory[key] = method.make(packing) if method.make is not None else None
        except (Refused, RulesClash, MissingGoodError, UnfitMaterialError, FaultsFound):
            # Whoever makes the crate tells why.
            packing.memory[key] = None
    made: Crate | None = packing.memory[key]
    return made


def _bears_as(made: Crate, ruled: Crate, design: ShellDesign) -> bool:
    """Whether a crate is of the design that was asked and no worse than the one by the rules."""
    key = made.design.key if made.design is not None else ""
    failing, before = ({c.name for c in crate.checks if c.verdict == "fails"} for crate in (made, ruled))
    bolted, was = (any(bolt.frees for bolt in crate.bolts) for crate in (made, ruled))
    return key.startswith(design.design) and failing <= before and bolted == was


def _next(found: tuple[Judged, ...]) -> Iterator[str]:
    """Yield the keys of the designs that come after the first of a short list, those that bear all."""
    keys = dict.fromkeys(judged.design.key for judged in found[1:] if judged.passes)
    keys.pop(found[0].design.key, None)
    yield from list(keys)[:_NEXT]


def _divided(back: Face, lid: Face) -> Iterator[ShellDesign]:
    """Yield designs whose seamed faces are divided otherwise than they are, back and lid alike where they can be."""
    for number in range(1, max(len(back.choices), len(lid.choices))):
        faces = [face for face in (back, lid) if number < len(face.choices)]
        if any(face.choices[number] != face.pattern for face in faces):
            yield ShellDesign(tuple((face.name, number) for face in faces))


def _within(packing: Packing, first: Judged, lid: Face) -> Iterator[int]:
    """Yield by how much frames are larger than their pieces whose faces take fewer sheets, the largest first."""
    shop = packing.shop
    faces = (first.design.back, lid)
    stocks = [Stock.of(face.good, shop.saw) for face in faces]
    best = [0, 0]
    for by in smaller_frames(packing, [stock.sure for stock in stocks]):
        smaller = framed(replace(packing, shell=ShellDesign(larger_by=by)))
        spared = [_spared(faces_of(smaller), face, stock) for face, stock in zip(faces, stocks, strict=True)]
        if min(spared) >= 0 and any(a > b for a, b in zip(spared, best, strict=True)):
            best = spared
            yield by


def _spared(sides: tuple[int, int], face: Face, stock: Stock) -> int:
    """Return how many more faces of these sides a sheet takes than of a face as it is, or by how many panels fewer."""
    across, up = sides
    if not face.seamed:
        return stock.sure.takes(across, up) - stock.takes(face.width, face.height)
    fewest = min(-(-across // a) * -(-up // b) for size in stock.sure.sizes for a, b in (size, reversed(size)))
    return len(face.pattern.panels) - fewest


def _renamed(found: Sketch, before: str, now: str) -> Sketch:
    """Return a sketch whose parts bear the name of another crate."""

    def name(of: str) -> str:
        return now + of.removeprefix(before)

    parts = tuple(
        replace(part, name=name(part.name), panel_of=name(part.panel_of) if part.panel_of else None)
        for part in found.parts
    )
    return replace(found, parts=parts, sticks=tuple(replace(each, name=name(each.name)) for each in found.sticks))
