"""Crates made to fail: some pieces' crates get a check that fails, and the rest is the program's own work."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from nesting.advice.check import Check, compare
from nesting.crates.model import Crate
from nesting.crates.registry import method_of
from nesting.crates.standing import with_standing
from nesting.order import Artwork

PASSES = "two cleats more"
WEAK: Check = replace(
    compare("back, bending", 1920.0, 815.0, "psi", formula="-", source="-", limits="-"),
    structure=True,
    would_pass=PASSES,
)
"""The check that fails; its figures are invented."""


def weaken(patch: pytest.MonkeyPatch, *pieces: str, methods: Sequence[str] = ()) -> None:
    """Let the crates of pieces fail from now on, in whichever method, or in those named alone."""

    def weakened(crate: Crate, artworks: Sequence[Artwork]) -> Crate:
        if (
            set(pieces) & set(crate.pieces)
            and not method_of(crate).is_case
            and crate.method in (methods or crate.method)
        ):
            crate = replace(crate, checks=(*crate.checks, WEAK))
        return with_standing(crate, artworks)

    patch.setattr("nesting.crates.expand.with_standing", weakened)
