"""Bodies and round bars at one position of the axle, as gaps are looked for between them."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from ..geometry.closest import Edges, RoundBar, drum, pieces
from ..geometry.pipe import Pipe
from ..geometry.prism import Points
from .motion import PITCH, Rigid

ALONG = 12
"""Places of a bar's axis that are held against a body's box."""
SLACK = 1.0
"""A round reaches this much out of the box of its points at most, mm."""


class Posed:
    """A rigid body at one position: turn, shift, its moved middle; its moved surface on demand."""

    def __init__(self, body: Rigid, turn: Points, shift: Points) -> None:
        self.body, self.turn, self.shift = body, turn, shift
        self.middle = turn @ body.center + shift

    @cached_property
    def cloud(self) -> Points:
        """Surface points at this position, (N, 3), mm, truck axes."""
        return np.asarray(self.body.cloud @ self.turn.T + self.shift)

    @cached_property
    def corners(self) -> Points:
        """Corners of its own box in truck axes, (8, 3), mm."""
        low, high = self.body.low, self.body.high
        own = np.array(np.meshgrid(*zip(low, high, strict=True))).reshape(3, -1).T
        return np.asarray(own @ self.turn.T + self.shift)

    def apart(self, other: Posed, room: float) -> bool:
        """Whether a face of either one's box stands more than ``room`` mm before all of the other:
        then nothing of them is nearer.
        """
        for one, two in ((self, other), (other, self)):
            box = (two.corners - one.shift) @ one.turn
            low, high = box.min(axis=0), box.max(axis=0)
            if (low > one.body.high + room).any() or (high < one.body.low - room).any():
                return True
        return False

    @cached_property
    def edges(self) -> Edges:
        """Edges in truck axes."""
        return self.body.edges.moved(self.turn, self.shift)

    def signed(self, points: Points) -> Points:
        """Distance from the body's steel.

        ``points``: (N, 3), mm, truck axes. Gives (N,), mm, below zero inside the steel.
        """
        return np.asarray(self.body.solid.signed((points - self.shift) @ self.turn))

    def near(self, edges: Edges, room: float) -> Edges:
        """Pieces of edge that reach into the body's own box, ``room`` mm wider on every side.

        ``edges`` and what is given are in truck axes, mm; pieces outside the box are cut off.
        """
        own = Edges((edges.a - self.shift) @ self.turn, (edges.b - self.shift) @ self.turn)
        own = own.within(self.body.low - room, self.body.high + room)
        return own.moved(self.turn, self.shift)


class PosedBar:
    """A round bar at one position, and what is asked of it for every body it may come near."""

    def __init__(self, bar: RoundBar) -> None:
        self.bar = bar
        self.half = float(np.linalg.norm(bar.b - bar.a)) / 2
        self.middle = (bar.a + bar.b) / 2
        self.axis = np.linspace(bar.a, bar.b, ALONG)

    @cached_property
    def solid(self) -> Pipe:
        """With square ends."""
        return drum(self.bar)

    @cached_property
    def rims(self) -> Edges:
        """Edges of its square ends and along it, truck axes."""
        return pieces(*self.solid.edges(), PITCH)

    def near(self, posed: Posed, look: float, asked: float) -> bool:
        """Whether it comes within ``look`` of a body's own box at all, and may be nearer to the
        body than ``asked``, mm.
        """
        body, step = posed.body, self.half / (ALONG - 1)
        own = (self.axis - posed.shift) @ posed.turn
        off = np.maximum(body.low - own, own - body.high)
        if off.max(axis=1).min() >= self.bar.radius + look + step:
            return False
        away = float(np.sqrt((np.maximum(off, 0.0) ** 2).sum(axis=1).min()))
        return away - step - self.bar.radius - SLACK < asked
