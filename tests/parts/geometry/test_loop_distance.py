"""Many points in a loop, and how far from it, against shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from soapstone.parts.geometry import prism
from soapstone.parts.model.body import Edge


@pytest.mark.parametrize("count", [0, 1, 5000])
def test_away_is_shapely_s_distance_whatever_the_block(
    count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    corners = ((0.0, 0.0), (80.0, 5.0), (60.0, 50.0), (10.0, 30.0))
    loop = tuple(
        Edge("", p, bulge) for p, bulge in zip(corners, (0.0, 0.4, -0.3, 0.0), strict=True)
    )
    flat = prism.Flat(loop)
    points = np.random.default_rng(1).uniform(-50, 120, (count, 2))
    ring = shapely.LinearRing(flat.a)
    wanted = shapely.distance(shapely.points(points), ring) if count else np.empty(0)
    for block in (1, 1000, prism.BLOCK):
        monkeypatch.setattr(prism, "BLOCK", block)
        assert flat.away(points) == pytest.approx(wanted, abs=1e-9)
    area = shapely.Polygon(flat.a)
    assert list(flat.inside(points)) == [area.contains(shapely.Point(p)) for p in points]
