"""Designs that somebody took for crates of a job, as its content keeps them: words for people, then the design itself.

A design is kept by the pieces in its crate. It counts while these are packed together, and lies still otherwise.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any, Final

from nesting.build import Build
from nesting.crates.cases.consignment import CartonLoad, CaseLoad, Grouping
from nesting.crates.chosen import CartonDesign, CaseDesign, ShellDesign
from pricing.desk.content import Content
from pricing.quoting.keeping import left_aside

_KINDS: Final = {"case": CaseDesign, "shared": CartonDesign, "shell": ShellDesign}


def key_of_pieces(pieces: tuple[str, ...]) -> str:
    """Return by what a design is kept."""
    return " + ".join(sorted(pieces))


def written(taken: Grouping, words: str) -> str:
    """Write the design of one crate."""
    if taken.shells:
        (piece, shell), *_ = taken.shells
        facts: dict[str, Any] = {"kind": "shell", "pieces": [piece], "design": asdict(shell)}
    else:
        kind = "case" if taken.cases else "shared"
        load: CaseLoad | CartonLoad = taken.cases[0] if taken.cases else taken.cartons[0]
        facts = {"kind": kind, "pieces": load.pieces, "design": asdict(load.design)}
    return f"{' '.join(words.split())}\n{json.dumps(facts, ensure_ascii=False, sort_keys=True)}"


def words_of(text: str) -> str:
    """Return a design that was taken in words."""
    return text.partition("\n")[0]


def read_design(text: str) -> Grouping | None:
    """Read what :func:`written` wrote; None where this program has no such design."""
    try:
        facts = json.loads(text.partition("\n")[2])
        kind, pieces = facts["kind"], tuple(map(str, facts["pieces"]))
        design = _KINDS[kind](**{name: _tuples(value) for name, value in facts["design"].items()})
        if isinstance(design, ShellDesign):
            return Grouping((), shells=((pieces[0], design),))
        if isinstance(design, CaseDesign):
            return Grouping((CaseLoad(pieces, design=design),))
        return Grouping((), cartons=(CartonLoad(pieces, design=design),))
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None


def _tuples(value: Any) -> Any:
    """Return lists of JSON as the tuples that they were."""
    return tuple(map(_tuples, value)) if isinstance(value, list) else value


def taken_of(content: Content) -> Grouping | None:
    """Return the designs that were taken for a job's crates; None where none were."""
    return together(content.designs)


def together(designs: Mapping[str, str]) -> Grouping | None:
    """Return designs together; of a piece in two crates the first counts."""
    found = [each for each in map(read_design, designs.values()) if each is not None]
    cases = [load for each in found for load in each.cases]
    cartons = [load for each in found for load in each.cartons]
    shells = dict(shell for each in found for shell in each.shells)
    if not (cases or cartons or shells):
        return None
    return Grouping(_apart(cases), cartons=_apart(cartons), shells=tuple(shells.items()))


def _apart(loads: list[Any]) -> tuple[Any, ...]:
    """Return the loads whose pieces are in none before."""
    seen: set[str] = set()
    kept = []
    for load in loads:
        if seen.isdisjoint(load.pieces):
            kept.append(load)
            seen.update(load.pieces)
    return tuple(kept)


def with_design(content: Content, pieces: tuple[str, ...], text: str) -> Content:
    """Return a job with a design taken for the crate of some pieces; without one where the text is empty."""
    key = key_of_pieces(pieces)
    others = {name: each for name, each in content.designs.items() if name != key}
    return replace(content, designs={**others, key: text} if text else others)


def adrift(content: Content, build: Build) -> list[tuple[str, str]]:
    """Return the designs that were taken and that the job's crates do not have, by their pieces, in words."""
    found = []
    for key, text in content.designs.items():
        taken = read_design(text)
        if taken is None or left_aside(taken, build):
            found.append((key, words_of(text)))
    return found
