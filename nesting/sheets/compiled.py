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

Function = TypeVar("Function", bound=Callable[..., object])


def compiled(function: Function) -> Function:
    """Compile a function on first use. Floats keep IEEE order (no fast-math), so that every machine agrees."""
    try:
        made = numba.njit(cache=True)(function)
    except RuntimeError:  # no directory for a cache can be written
        made = numba.njit(function)
    return cast("Function", made)
