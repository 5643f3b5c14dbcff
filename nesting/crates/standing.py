"""Standing: whether a crate is good, held because no design passes its checks, or accepted all the same.

A held crate is not cut. The studio accepts it by name, in the order, with the code that it is told and a written
reason. The code is a digest of the pieces as the order states them, the failing checks with their figures, and the
design: when one of them changes, so does the code, and the crate is held again.
"""

from collections.abc import Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Final

from nesting.advice.check import Check, figure
from nesting.crates.model import Crate, HeldFor, Standing
from nesting.order import Artwork

_CODE: Final = 8
"""Letters of a code."""


def with_standing(crate: Crate, pieces: Sequence[Artwork]) -> Crate:
    """Return a crate with its standing: held where a check of what holds the piece fails, unless it is accepted.

    Parameters
    ----------
    pieces : sequence of Artwork
        What it carries; for a case, what the frames in it carry.
    """
    failing = [check for check in crate.checks if check.structure and check.verdict == "fails"]
    if not failing:
        return crate
    code = _code(crate, pieces, failing)
    reason = _accepted(pieces, code)
    standing: Standing = "accepted" if reason else "held"
    return replace(crate, standing=standing, held_for=tuple(map(_held_for, failing)), accepted=reason, code=code)


def held_with(case: Crate, frames: Sequence[Crate]) -> Crate:
    """Return a case that is held because a frame in it is; itself where none is."""
    held = [frame for frame in frames if frame.standing == "held"]
    if not held:
        return case
    why = tuple(HeldFor(f"{frame.crate}, which rides in it, is held", "", "", "") for frame in held)
    return replace(case, standing="held", held_for=(*case.held_for, *why))


def held_by(frame: Crate, case: Crate) -> Crate:
    """Return a frame that is held because its case is; itself where the case is not, or where it is held anyway."""
    if case.standing != "held" or frame.standing == "held":
        return frame
    why = HeldFor(f"{case.crate}, in which it rides, is held", "", "", "")
    return replace(frame, standing="held", held_for=(why,))


def _held_for(check: Check) -> HeldFor:
    """Return a failing check as a reason."""
    found, allowed = (f"{figure(value)} {check.unit}".strip() for value in (check.demand or 0.0, check.capacity or 0.0))
    return HeldFor(check.name, found, allowed, check.would_pass)


def _code(crate: Crate, pieces: Sequence[Artwork], failing: Sequence[Check]) -> str:
    """Return the digest of pieces, failing checks and design; copies of one row share theirs."""
    told = [
        (
            a.copy_of or a.piece, a.width, a.height, a.depth, str(a.weight_kg), a.surface, a.support, a.pour_depth,
            a.back,
        )
        for a in pieces
    ]  # fmt: skip
    # Only where one is stated, so that what was accepted before anybody could state one stays accepted.
    limits = [f"shock {a.shock_limit} G" for a in pieces if a.shock_limit is not None]
    design = crate.design.key if crate.design else (crate.method, crate.outside)
    checks = [(check.name, check.unit, figure(check.demand or 0), figure(check.capacity or 0)) for check in failing]
    return sha256(repr((told, design, checks, *limits)).encode()).hexdigest()[:_CODE]


def _accepted(pieces: Sequence[Artwork], code: str) -> str:
    """Return the written reason that bears this code; empty where none does."""
    for piece in pieces:
        codes, _, reason = piece.accept_held.partition(":")
        if code in _codes(codes) and reason.strip():
            return " ".join(reason.split())
    return ""


def _codes(given: str) -> list[str]:
    """Return the codes that an order gives, where a frame and its case are accepted for one reason."""
    return given.lower().replace(",", " ").split()


def lapsed(piece: Artwork, crate: Crate) -> bool:
    """Whether an acceptance that the order states for a piece does not fit its crate, or not any more."""
    given = _codes(piece.accept_held.partition(":")[0])
    return bool(given) and crate.code not in given
