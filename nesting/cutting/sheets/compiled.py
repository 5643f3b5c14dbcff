"""Compiling: numba with a disk cache wherever one can be written, and without one where none can.

numba keeps compiled code beside the source, or, where that is read-only, in the user's cache directory. Where neither
can be written it refuses to cache at all; then the code is compiled anew in every process, which takes some ten
seconds. No setting of the process is changed.
"""

from collections.abc import Callable
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


def compiled(signature: object) -> Callable[[Function], Function]:
    """Compile a function when its module is loaded. Floats keep IEEE order (no fast-math): every machine agrees."""

    def compile_it(function: Function) -> Function:
        try:
            made = numba.njit(signature, cache=True)(function)
        except RuntimeError:  # no directory for a cache can be written
            made = numba.njit(signature)(function)
        return cast("Function", made)

    return compile_it
