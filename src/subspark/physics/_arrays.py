"""Types of arrays that this floor takes and gives."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

BoolArray: TypeAlias = npt.NDArray[np.bool_]
FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.intp]

Floats: TypeAlias = npt.ArrayLike
"""What a parameter of real numbers accepts: a number, a sequence or an array."""


def floats(values: Floats) -> FloatArray:
    """Give ``values`` as an array of float64, without copying where they are one already."""
    return np.asarray(values, dtype=np.float64)
