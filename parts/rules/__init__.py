"""Clauses: one small elementwise function each, with its reference.

``clause.REGISTER`` holds them all; a test wants a published value for every one.

A clause takes keyword-only numbers or arrays whose names end in their unit (mm, N, MPa, rad) and
gives (demand, capacity). It has no ``if`` on its arguments, so that sizing can call it on a whole
grid of designs.
"""

from __future__ import annotations

import importlib
import pkgutil

from ..model.clause import Clause
from .clause import REGISTER


def all_clauses() -> dict[str, Clause]:
    """The register with every module of this folder in it.

    By the name of each clause's function. Nothing is missing whichever module was imported before.
    """
    for m in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{m.name}")
    return REGISTER
