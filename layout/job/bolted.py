"""Bolts whose mark is of the other system than their thread."""

from __future__ import annotations

from collections.abc import Mapping

from ..faults import Fault


def misfits(words: Mapping[str, str]) -> list[Fault]:
    """A fault for every inch size with a metric class and every metric size with an inch grade (SAE
    J429 marks inch bolts, ISO 898-1 metric ones).
    """
    found = []
    for name, mark in words.items():
        size = words.get(name.removesuffix("_class"), "") if name.endswith("_class") else ""
        if not size:
            continue
        metric = size.startswith("M")
        if mark.startswith("class") != metric:
            allowed = "class 8.8, 10.9 or 12.9" if metric else "grade 5 or grade 8"
            kind = "metric" if metric else "inch"
            found.append(
                Fault(
                    name,
                    mark,
                    f"{allowed} for {size}",
                    f"{size} is {kind}: read the mark on its head, or the thread, again",
                )
            )
    return found
