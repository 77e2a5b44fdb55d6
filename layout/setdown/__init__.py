"""The tacked truck on its wheels: what is asked of it, where it differs, which moves cure it."""

from .advice import AIMS, Advice, Step, advise
from .finding import Round, Truth, find
from .moves import Move, moves
from .readings import (
    ASKED,
    BY,
    Asked,
    Judged,
    Targets,
    Window,
    judge,
    limit_words,
    not_right,
    shown,
    stands,
)
from .standing import UNKNOWNS, CannotStandError, of_both, read
from .truck import OwedError, Truck, truck_of

__all__ = [
    "AIMS",
    "ASKED",
    "BY",
    "UNKNOWNS",
    "Advice",
    "Asked",
    "CannotStandError",
    "Judged",
    "Move",
    "OwedError",
    "Round",
    "Step",
    "Targets",
    "Truck",
    "Truth",
    "Window",
    "advise",
    "find",
    "judge",
    "limit_words",
    "moves",
    "not_right",
    "of_both",
    "read",
    "shown",
    "stands",
    "truck_of",
]
