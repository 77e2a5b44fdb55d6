"""Rounds asked about many points at once: tubes, rods, bolts, and rods with domed ends. Exact."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..model.vectors import Frame
from .prism import Points, into, out


class Pipe:
    """A round along local x, hollow if ``bore``: tube, rod, bolt, bushing. Lengths and diameters in
    mm.
    """

    def __init__(self, place: Frame, length: float, od: float, bore: float) -> None:
        self.place, self.length, self.od, self.bore = place, length, od, bore

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Which truck points (n, 3) lie in the steel by more than ``margin`` mm."""
        own = into(self.place, truck)
        radius = np.hypot(own[:, 1], own[:, 2])
        hollow = (
            radius > self.bore / 2 + margin if self.bore > 0 else np.ones(len(radius), dtype=bool)
        )
        return np.asarray(
            (own[:, 0] > margin)
            & (own[:, 0] < self.length - margin)
            & (radius < self.od / 2 - margin)
            & hollow
        )

    def away(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the steel, mm; 0 in the wall, not in the bore."""
        own = into(self.place, truck)
        radius = np.hypot(own[:, 1], own[:, 2])
        along = np.maximum(np.maximum(-own[:, 0], own[:, 0] - self.length), 0.0)
        across = np.maximum(np.maximum(radius - self.od / 2, self.bore / 2 - radius), 0.0)
        return np.asarray(np.hypot(along, across))

    def signed(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the round as if it were solid, mm; inside, less how
        far it is to the nearest face. A bore is no room for other parts.
        """
        own = into(self.place, truck)
        along = np.maximum(-own[:, 0], own[:, 0] - self.length)
        across = np.hypot(own[:, 1], own[:, 2]) - self.od / 2
        return np.asarray(
            np.where(
                (along < 0) & (across < 0),
                np.maximum(along, across),
                np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0)),
            )
        )

    def skin(self, pitch: float) -> Points:
        """Points (m, 3) on the outer surface, ``pitch`` mm apart at most, and the middle of both
        ends.
        """
        x = np.linspace(0.0, self.length, max(2, math.ceil(self.length / pitch) + 1))
        angles = np.linspace(
            0.0, math.tau, max(8, math.ceil(math.pi * self.od / pitch)), endpoint=False
        )
        along, around = (grid.ravel() for grid in np.meshgrid(x, angles, indexing="ij"))
        radius = self.od / 2
        return out(
            self.place,
            np.vstack(
                (
                    np.column_stack((along, radius * np.cos(around), radius * np.sin(around))),
                    np.array(((0.0, 0.0, 0.0), (self.length, 0.0, 0.0))),
                )
            ),
        )

    def ends(self) -> Points:
        """Both ends of its axis, (2, 3)."""
        return out(self.place, np.array(((0.0, 0.0, 0.0), (self.length, 0.0, 0.0))))

    def edges(self) -> tuple[Points, Points]:
        """Ends of straight pieces of its edges, two arrays (m, 3): chords of both end circles,
        outside them by no more than they are inside, and lines along it.
        """
        chords = max(24, math.ceil(math.pi / math.acos(1 - 0.04 / max(self.od, 0.1))))
        angles = np.linspace(0.0, math.tau, chords, endpoint=False)
        # between the polygon in the circle and the one round it
        radius = self.od / 2 / math.sqrt(math.cos(math.pi / chords))
        ring = np.column_stack((np.zeros(chords), radius * np.cos(angles), radius * np.sin(angles)))
        far = ring + np.array((self.length, 0.0, 0.0))
        some = slice(None, None, max(1, chords // 24))
        starts = np.vstack((ring, far, ring[some]))
        stops = np.vstack((np.roll(ring, -1, axis=0), np.roll(far, -1, axis=0), far[some]))
        return out(self.place, starts), out(self.place, stops)

    def samples(self, margin: float, pitch: float) -> Points:
        """Points (m, 3) that lie in the steel by ``margin`` mm, ``pitch`` apart along it, on three
        radii.
        """
        x = np.linspace(
            1.01 * margin, self.length - 1.01 * margin, max(3, int(self.length / pitch))
        )
        low = max(self.bore / 2 + 1.01 * margin, 0.0)
        radii = np.linspace(low, self.od / 2 - 1.01 * margin, 3)
        angles = np.arange(0.0, math.tau, min(0.2, 2 * pitch / self.od))
        along, out_by, around = (
            grid.ravel() for grid in np.meshgrid(x, radii, angles, indexing="ij")
        )
        return out(
            self.place, np.column_stack((along, out_by * np.cos(around), out_by * np.sin(around)))
        )


class Capsule(Pipe):
    """A round along local x with half a ball beyond each end: a body known by two points and a
    radius, as a tie rod or a spring's sweep is. Lengths in mm.
    """

    def __init__(self, place: Frame, length: float, od: float) -> None:
        super().__init__(place, length, od, 0.0)

    def signed(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the body, mm; below zero inside. Exact."""
        own = into(self.place, truck)
        beyond = np.maximum(np.maximum(-own[:, 0], own[:, 0] - self.length), 0.0)
        return np.asarray(np.hypot(beyond, np.hypot(own[:, 1], own[:, 2])) - self.od / 2)

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Which truck points (n, 3) lie in it by more than ``margin`` mm."""
        return np.asarray(self.signed(truck) < -margin)

    def away(self, truck: Points) -> Points:
        """Distance of points from it, 0 inside."""
        return np.maximum(self.signed(truck), 0.0)

    def skin(self, pitch: float) -> Points:
        """Points on the surface of round and balls."""
        radius = self.od / 2
        rows = max(3, math.ceil(radius * math.pi / 2 / pitch))
        caps = []
        for end, way in ((0.0, -1.0), (self.length, 1.0)):
            for rise in np.linspace(0.0, math.pi / 2, rows + 1)[1:]:
                count = max(1, math.ceil(math.tau * radius * math.cos(rise) / pitch))
                angles = np.linspace(0.0, math.tau, count, endpoint=False)
                flat = radius * math.cos(rise)
                x = np.full(count, end + way * radius * math.sin(rise))
                caps.append(np.column_stack((x, flat * np.cos(angles), flat * np.sin(angles))))
        return np.vstack((super().skin(pitch), out(self.place, np.vstack(caps))))
