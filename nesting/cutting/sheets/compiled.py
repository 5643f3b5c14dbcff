"""Compiling: numba with a disk cache wherever one can be written, and without one where none can.

numba keeps compiled code beside the source, or, where that is read-only, in the user's cache directory. Where neither
can be written it refuses to cache at all; then the code is compiled anew in every process, which takes some ten
seconds. Whoever listens to this module's log is told so as it begins. No setting of the process is changed.
"""

import logging
from collections.abc import Callable
from functools import cache
from typing import Any, TypeVar, cast

import numba
import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Words = npt.NDArray[np.int32]
Arrays = tuple[npt.NDArray[Any], ...]

# The same for the compiler, which is told what each function takes: left to itself it compiles one anew for each
# constant that it is called with.
INT, REAL, TRUTH, NOTHING = numba.int64, numba.float64, numba.boolean, numba.void
ROW, TABLE, CUBE = numba.int64[::1], numba.int64[:, ::1], numba.int64[:, :, ::1]
REALS, REAL_TABLE = numba.float64[::1], numba.float64[:, ::1]
WORDS, WORD_CUBES = numba.int32[::1], numba.int32[:, :, :, ::1]
TOGETHER: Any = numba.types.Tuple

Function = TypeVar("Function", bound=Callable[..., object])

_LOG = logging.getLogger(__name__)


def compiled(signature: object) -> Callable[[Function], Function]:
    """Compile a function when its module is loaded. Floats keep IEEE order (no fast-math): every machine agrees."""
    return _compiled(signature, {})


def inner(signature: object) -> Callable[[Function], Function]:
    """Compile a function that only compiled ones call: what Python would call it by is not made."""
    return _compiled(signature, {"no_cpython_wrapper": True, "no_cfunc_wrapper": True})


def _compiled(signature: object, options: dict[str, bool]) -> Callable[[Function], Function]:
    njit: Any = numba.njit  # its own types know nothing of wrappers left out

    def compile_it(function: Function) -> Function:
        how_often = "once"
        try:
            made = njit(signature, cache=True, **options)(function)
        except RuntimeError:  # no directory for a cache can be written
            made = njit(signature, **options)(function)
            how_often = "in every run, since no folder is there to keep it in"
        if made.stats.cache_misses:
            _tell(how_often)
        return cast("Function", made)

    return compile_it


@cache
def _tell(how_often: str) -> None:
    """Tell those who listen, when the first function is compiled, that more are to come."""
    _LOG.info("Compiling the search for this machine, %s: some ten seconds.", how_often)
