"""Places that press or lift: which of them press, found from one factor of the stiffness.

A place that changes is a change of one spring: only the answer to a push at that place is asked of
the factor (Woodbury's formula). N, mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....layout.arrays import Array
from ...design.site import Refused
from .sparse import Factor, Sparse

TURNS = 300
"""Turns in which what touches must settle."""
CHANGED = 60
"""Places changed at which a new factor is cheaper than one push for each."""
AT_ONCE = 4
"""Pushes the factor answers in half the time of as many alone; more at once take longer again."""


class Contact(NamedTuple):
    """Places that may press and lift: ``gap`` (n, unknowns) sparse, opening of each from the
    unknowns; ``stiff`` (n,) N/mm; ``pressed`` (n,) which are thought to press; ``guessed``: by what
    the answer may not hang on.
    """

    gap: Sparse
    stiff: Array
    pressed: NDArray[np.bool_]
    guessed: bool = False


def factored(k: Sparse) -> Factor:
    """The factor of a symmetric sparse stiffness, column by column, to solve for one load after
    another.

    Raises
    ------
    Refused
        It has none: the plate is not held enough.
    """
    from scipy.sparse.linalg import splu

    try:
        found: Factor = splu(
            k,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            relax=1,  # the package's own relaxed columns fill a third more of a plate's factor
            options={"SymmetricMode": True},
        )
    except RuntimeError as singular:
        raise Refused("the plate is not held enough to be worked out") from singular
    return found


class _Sprung:
    """The plates on the springs of some places; others change beside them."""

    def __init__(
        self, own: Sparse, load: Array, contact: Contact, pressed: NDArray[np.bool_]
    ) -> None:
        from scipy.sparse import diags_array

        self.gap, self.stiff, self.pressed = contact.gap, contact.stiff, pressed.copy()
        springs = diags_array(np.where(pressed, contact.stiff, 0.0))
        self.factor = factored((own + self.gap.T @ springs @ self.gap).tocsc())
        self.free = self.factor.solve(load)
        self.places = np.zeros(0, dtype=np.int64)
        self.pushes = np.empty((len(load), 0))

    def asked(self, pressed: NDArray[np.bool_]) -> Array:
        """The free unknowns where these places press."""
        changed = np.flatnonzero(pressed != self.pressed)
        new = np.setdiff1d(changed, self.places)
        if len(new):
            push = self.gap[new].toarray()
            more = [
                self.factor.solve(push[first : first + AT_ONCE].T)
                for first in range(0, len(new), AT_ONCE)
            ]
            self.places = np.append(self.places, new)
            self.pushes = np.column_stack((self.pushes, *more))
        if not len(changed):
            return np.asarray(self.free)
        order = {int(place): at for at, place in enumerate(self.places)}
        pushes = self.pushes[:, [order[int(place)] for place in changed]]
        rows = self.gap[changed]
        soft = np.where(self.pressed[changed], -1.0, 1.0) / self.stiff[changed]
        share = np.linalg.solve(np.diag(soft) + rows @ pushes, rows @ self.free)
        return np.asarray(self.free - pushes @ share)


def settled(own: Sparse, load: Array, contact: Contact) -> tuple[Array, NDArray[np.bool_]]:
    """Movements such that no place of contact pulls and none goes through.

    Newton's steps on the energy, which is convex: each as long as takes the energy lowest, so that
    it always ends. Where it began at a guess, what is given back is solved once more from what
    presses in the end alone: to the last digit the same whatever was guessed.

    Parameters
    ----------
    own : (n, n) sparse matrix
        Stiffness without the contact, N and mm.
    load : (n,) array
        N and N mm.

    Returns
    -------
    (n,) array
        Movements, mm and rad.
    (places,) bool array
        Which places press.

    Raises
    ------
    Refused
        The plates are not held enough, or it does not settle within ``TURNS``.
    """
    contact = contact._replace(gap=contact.gap.tocsr())
    pressed = contact.pressed
    sprung = _Sprung(own, load, contact, pressed)
    free = np.zeros(len(load))
    for _ in range(TURNS):
        if (pressed != sprung.pressed).sum() > CHANGED:
            sprung = _Sprung(own, load, contact, pressed)
        whole = sprung.asked(pressed)
        opening = contact.gap @ whole
        if ((opening < 0) == pressed).all():
            if contact.guessed and (pressed != sprung.pressed).any():
                whole = _Sprung(own, load, contact, pressed).asked(pressed)
            return whole, pressed
        step = whole - free
        free = free + _lowest(own, load, contact, free, step) * step
        pressed = contact.gap @ free < 0
    raise Refused("where the plate lies on what is behind it does not settle")


def _lowest(own: Sparse, load: Array, contact: Contact, free: Array, step: Array) -> float:
    """How much of a step takes the energy lowest: its slope along the step only grows, in pieces
    that break where a place begins or ends to press.
    """
    opening, opens = contact.gap @ free, contact.gap @ step
    pulled = own @ step
    slope, bend = float(pulled @ free - load @ step), float(pulled @ step)
    with np.errstate(divide="ignore", invalid="ignore"):
        breaks = -opening / opens
    breaks = np.sort(breaks[np.isfinite(breaks) & (breaks > 0)])

    def at(share: float) -> float:
        push = contact.stiff * np.minimum(opening + share * opens, 0.0)
        return slope + share * bend + float(push @ opens)

    low, high = 0, len(breaks)
    while low < high:
        middle = (low + high) // 2
        low, high = (middle + 1, high) if at(breaks[middle]) < 0 else (low, middle)
    start = float(breaks[low - 1]) if low else 0.0
    end = float(breaks[low]) if low < len(breaks) else start + 1.0
    first, last = at(start), at(end)
    return start - first * (end - start) / (last - first)
