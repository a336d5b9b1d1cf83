"""What arrays hold, for annotations: floats, whole numbers, truths, geometries."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]
Geometries: TypeAlias = NDArray[Any]
"""Of shapely's geometries: an array of objects."""
