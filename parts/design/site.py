"""One side's facts, always shown as if it were the left."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...layout.arrays import Array
from ...layout.graph import Graph
from ...layout.job.fields import FIELDS, pattern
from ...layout.job.load import OVERRIDES
from ...layout.job.owed import needed
from ...layout.loads.basis import missing_for_loads
from ...layout.loads.cases import adjusted
from ...layout.loads.forces import Forces, forces
from ...layout.quantities import Key, Side
from ..model.assembly import Port
from ..stock import Shop


class Waiting(Exception):  # noqa: N818  # an answer the shop is given, no fault of the program
    """A part needs readings that are not there: ``keys``, every one of them, leaf readings only."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        self.keys = keys
        super().__init__(", ".join(map(str, keys)))


class PortMissing(Exception):  # noqa: N818  # an answer the shop is given, no fault of ours
    """A part stands on something that could not be made; its text is the port's name, from which
    the truck tells which part has to come first.
    """


class SlipError(Exception):
    """A slip of the program: a name that no field, result, force, port or list of words has.

    Never caught on the way to the shop.
    """


class Refused(Exception):  # noqa: N818  # an answer the shop is given, no fault of the program
    """A part must not be made from these readings; the message says why and the way out."""


VECTORS = 2
"""Dimensions of forces as vectors, (cases, 3); those along one line have one."""
FORCES = frozenset(
    ("joint", "lower", "upper_vec", "upper", "coil", "stop", "seat", "seat_stop", "bend", "axial")
) | {"bar"}
LOAD_KEYS = tuple(
    Key(n, "C")
    for n in (
        "spring.axle_load",
        "spring.unsprung",
        "spring.rate",
        "axle.wheel_track",
        "frame.wheelbase",
        "travel.bump",
        "travel.droop",
        "travel.stop_free",
        "travel.stop_compressed",
        "arms.tube_od",
        "arms.tube_wall",
        "travel.cg_height",
    )
)


def forces_of(solved: Graph, factors: tuple[tuple[str, float], ...]) -> tuple[Forces, ...]:
    """The load cases of a layout, worked once a layout.

    Parameters
    ----------
    factors : tuple of (str, float)
        The shop's own factors by case, sorted.

    Raises
    ------
    Waiting
        Naming the readings owed.
    """
    kept: dict[tuple[tuple[str, float], ...], tuple[Forces, ...]] = solved.__dict__.setdefault(
        "_forces", {}
    )
    if factors not in kept:
        owed = missing_for_loads(solved.values)
        if owed:
            raise Waiting(tuple(sorted({leaf for k in owed for leaf in solved.rests_on(k) or {k}})))
        try:
            kept[factors] = forces(solved.values, adjusted(dict(factors)))
        except KeyError as e:
            key = e.args[0] if isinstance(e.args[0], Key) else Key(str(e.args[0]), "C")
            if pattern(key.name) not in FIELDS and key.name not in _results(solved):
                raise
            raise Waiting(tuple(sorted(solved.rests_on(key)))) from None
    return kept[factors]


def loads_known(solved: Graph) -> bool:
    """Whether anybody has asked for the loads of a layout."""
    return "_forces" in solved.__dict__


def _results(solved: Graph) -> frozenset[str]:
    """Names of every quantity of a set-out, gathered once."""
    kept: frozenset[str] | None = solved.__dict__.get("_result_names")
    if kept is None:
        kept = solved.__dict__["_result_names"] = frozenset(
            key.name for key in (*solved.system.keys, *solved.derived)
        )
    return kept


def _given(solved: Graph) -> frozenset[str]:
    """Names of every reading, gathered once."""
    kept: frozenset[str] | None = solved.__dict__.get("_given_names")
    if kept is None:
        kept = solved.__dict__["_given_names"] = frozenset(key.name for key in solved.readings)
    return kept


SET_ASIDE = tuple(f"override.{name}" for name in OVERRIDES)
"""Words of [override]: rules a job may set aside."""
SIGNED = frozenset(("axle.casting_from", "axle.casting_to"))
"""Center quantities measured across the truck, left positive, whose name does not end in .y."""


_MIRRORED = {
    "left": "right",
    "right": "left",
    "left hand": "right hand",
    "right hand": "left hand",
}
"""Words that change places in a mirror: a right-hand coil on the right, shown as if it were the
left, winds left.
"""


class SideView:
    """Facts of one side, as a family is shown them: it builds for the left and never knows better.

    Implements ``model.Site``. On the right, a center value whose name ends in ".y" changes its
    sign, "left" and "right" change places, and forces are mirrored.

    Attributes
    ----------
    read : set of Key
        Every number and word that was asked for: what a part says it rests on.
    taken : dict of str to Port or None
        Every port asked for; None where it was not there.
    """

    def __init__(
        self,
        solved: Graph,
        side: Side,
        words: Mapping[str, str],
        shop: Shop,
        ports: Mapping[str, Port],
    ) -> None:
        self.solved, self.side, self.words, self.shop, self.ports = solved, side, words, shop, ports
        self.read: set[Key] = set()
        self.taken: dict[str, Port | None] = {}

    def q(self, key: str) -> float:
        """Value at this side, or of the center, in mm, N, N/mm or rad.

        Raises
        ------
        Waiting
            It is not there; names the readings owed.
        SlipError
            No field and no result has this name.
        """
        for found in (Key(key, self.side), Key(key, "C")):
            if found in self.solved.values:
                self.read.add(found)
                value = self.solved.values[found]
                return (
                    -value
                    if found.side == "C"
                    and self.side == "R"
                    and (key.endswith(".y") or key in SIGNED)
                    else value
                )
        raise Waiting(tuple(sorted(self.solved.rests_on(self._known(key)))))

    def _known(self, name: str) -> Key:
        """The key a name has here. SlipError where neither a field nor a result has that name."""
        if pattern(name) not in FIELDS and name not in _results(self.solved):
            raise SlipError(f"no field and no result is called {name!r}")
        return self._own(name)

    def _own(self, name: str) -> Key:
        """The key a name has here: a field's or a result's, of this side or of the center."""
        field = FIELDS.get(pattern(name))
        center = not field.sided if field else Key(name, "C") in self.solved.equations
        return Key(name, "C" if center else self.side)

    def pair(self, key: str) -> tuple[float, float]:
        """Left and right value of a sided quantity, in units as ``q``. Waiting where either is
        owed.
        """
        found = []
        for side in ("L", "R"):
            found_key = Key(key, side)
            if found_key not in self.solved.values:
                self._known(key)
                raise Waiting(tuple(sorted(self.solved.rests_on(found_key))))
            self.read.add(found_key)
            found.append(self.solved.values[found_key])
        return found[0], found[1]

    def other(self, key: str) -> float:
        """Value of a sided quantity on the far side, outward positive there too."""
        left, right = self.pair(key)
        return left if self.side == "R" else right

    def there(self, key: str) -> bool:
        """Whether there is a number, and no word about it where there is none."""
        self._known(key)
        return any(own in self.solved.values for own in (Key(key, self.side), Key(key, "C")))

    def has(self, key: str) -> bool:
        """Whether it is there; Waiting if it is owed or waits itself, so that nothing is made as if
        it were not asked for.
        """
        if self.there(key):
            return True
        if needed(key, self.words, _given(self.solved)):
            raise Waiting((self._own(key),))
        for own in (Key(key, self.side), Key(key, "C")):
            if own in self.solved.equations and self.solved.role(own) == "waiting":
                raise Waiting(tuple(sorted(self.solved.rests_on(own))))
        return False

    def word(self, key: str) -> str:
        """A word of the job file, empty if it was not asked for; Waiting if it is owed.

        On the right, "left" and "right" change places.
        """
        if pattern(key) not in FIELDS and key not in SET_ASIDE:
            raise SlipError(f"no word field is called {key!r}")
        found = self.words.get(key, "")
        if found:
            self.read.add(Key(key, "C"))
        elif needed(key, self.words, _given(self.solved)):
            raise Waiting((Key(key, "C"),))
        return _MIRRORED.get(found, found) if self.side == "R" else found

    def need(self, key: str) -> str:
        """A word that must be there; Waiting if it is not."""
        found = self.word(key)
        if not found:
            raise Waiting((Key(key, "C"),))
        return found

    def force(self, joint: str) -> Array:
        """Forces at a joint in every load case, N on the allowable scale.

        Returns
        -------
        array (cases, 3)
            y outward: "joint", "lower", "upper_vec".
        array (cases,)
            Along one line: "bend", "axial", "upper", "coil", "stop", "seat" and "seat_stop" (on the
            coil's seats, and what of it a stop inside the coil makes), "bar".

        Raises
        ------
        Waiting
            Naming the readings owed.
        """
        if joint not in FORCES:
            raise SlipError(f"no load case gives a force at {joint!r}")
        rows = forces_of(self.solved, tuple(sorted(self.shop.loads.items())))
        self.read |= set(LOAD_KEYS) & set(self.solved.values)
        side_number = 1 if self.side == "R" else 0
        found: Array = np.array(
            [case.bar if joint == "bar" else getattr(case, joint)[side_number] for case in rows]
        )
        return found * (1.0, -1.0, 1.0) if found.ndim == VECTORS and self.side == "R" else found

    def open_face(self) -> str:
        """The rail's face where there is no wall: "inner" or "side" of a channel, "" for a box."""
        if self.word("frame.section") != "channel":
            return ""
        return {"inboard": "inner", "outboard": "side"}[self.word("frame.open_side")]

    def port(self, name: str) -> Port:
        """What an earlier family gave on this side, or in the center.

        Raises
        ------
        Refused
            The rail has no wall there to carry it.
        PortMissing
            It was not made.
        """
        self.taken[name] = self.ports.get(name)
        if name in self.ports:
            return self.ports[name]
        if name.startswith("rail.") and name.rpartition(".")[2] == self.open_face():
            face = "inner" if name.endswith("inner") else "outer"
            raise Refused(
                f"the rail is a channel open on its {face} face: there is no wall there for this"
                " part to stand on. Box the rail there and give it as boxed, or have this part"
                " designed by hand"
            )
        raise PortMissing(name)
