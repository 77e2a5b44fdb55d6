"""Arrays by what they hold; every room's numbers, truths and places in a row are these."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
"""Numbers, in the unit and shape that whoever takes or gives them says."""
Mask = NDArray[np.bool_]
"""Truths: which rows, which points."""
Index = NDArray[np.intp]
"""Places in another array."""
Integers = NDArray[np.int64]
"""Whole numbers: corners of triangles, numbers of edges and surfaces."""
