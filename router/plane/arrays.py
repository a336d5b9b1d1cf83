"""What arrays hold, for annotations: floats, whole numbers, truths, geometries; and arrays in a row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]
Geometries: TypeAlias = NDArray[Any]
"""Of shapely's geometries: an array of objects."""


def end_to_end(arrays: Sequence[Any]) -> Any:
    """Return arrays one after the other; where all but one are empty, that one itself and no copy."""
    filled = [each for each in arrays if len(each)]
    return filled[0] if len(filled) == 1 else np.concatenate(arrays)
