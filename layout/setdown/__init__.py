"""The tacked truck on its wheels: what is asked of it, where it differs, which moves cure it."""

from .advice import AIMS, AdvisedMove, SetdownAdvice, advise
from .finding import Round, Truth, find
from .moves import Move, moves
from .readings import (
    ASKED,
    BY,
    ReadingVerdict,
    SetdownReading,
    Targets,
    Window,
    judge,
    limit_words,
    not_right,
    shown,
    stands,
)
from .standing import UNKNOWNS, CannotStandError, of_both, read
from .truck import OwedError, SetdownTruck, truck_of

__all__ = [
    "AIMS",
    "ASKED",
    "BY",
    "UNKNOWNS",
    "AdvisedMove",
    "CannotStandError",
    "Move",
    "OwedError",
    "ReadingVerdict",
    "Round",
    "SetdownAdvice",
    "SetdownReading",
    "SetdownTruck",
    "Targets",
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
