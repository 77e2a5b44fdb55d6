"""Rows, weld groups and free bodies read back from the text of the printed calculations, as someone
does who has nothing else. It imports nothing of ours.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from pdf_text import pages

Array = NDArray[np.float64]
NUMBER = r"-?\d+(?:\.\d+)?"
VECTOR = rf"\(({NUMBER}), ({NUMBER}), ({NUMBER})\)"
STEP = re.compile(
    rf"([A-Za-z]+'?) = ((?:(?! with ).)+) with"
    rf" ((?:[A-Za-z]+'? = {NUMBER}(?: [^\s,;.()]+)?(?:, )?)+)(?: \([^()]*\))?(?:; |\.|$)"
)
PUT = re.compile(rf"([A-Za-z]+'?) = ({NUMBER})")


class Figure(NamedTuple):
    """A printed number and the worth of one in its last digit that counts."""

    value: float
    last: float


class PrintedStep(NamedTuple):
    """Where a number put in comes from: its letter, a formula, that one's numbers."""

    letter: str
    formula: str
    put: dict[str, float]


class PrintedRow(NamedTuple):
    """A row of the paper: its number and words, formula, letters with their numbers, what it says
    is demanded, there and used, and where its numbers come from.
    """

    number: int
    says: str
    formula: str
    put: dict[str, float]
    demand: Figure
    capacity: Figure
    used: float
    steps: list[PrintedStep]


class PrintedPull(NamedTuple):
    """Pulls of a weld group in one case, what they turn, and the force at its worst place."""

    pulls: list[tuple[Array, Array, Array]]
    moment: Array
    turn: Array
    at: Array
    leg: float
    force: Array
    size: Figure


class PrintedGroup(NamedTuple):
    """A weld group: title, area, centroid, sums, lengths and legs, and its worst places."""

    title: str
    area: float
    middle: Array
    second: Array
    lengths: list[tuple[float, str]]
    worst: list[PrintedPull]


class PrintedBody(NamedTuple):
    """A free body: its title and every force on it with its place and couple."""

    title: str
    pushes: list[tuple[str, Array, Array, Array]]


def figure(text: str) -> Figure:
    """A number with the worth of one in the last of its four digits that count."""
    value, places = float(text), len(text.partition(".")[2])
    fourth = 10.0 ** (math.floor(math.log10(abs(value))) - 3) if value else 0.0
    return Figure(value, max(10.0**-places, fourth))


def text_of(pdf: bytes) -> dict[str, str]:
    """Text of the paper by chapter, on one line each, without head and foot of a page."""
    found: dict[str, list[str]] = {}
    for text in pages(pdf):
        lines = text.splitlines()
        title = lines[0].partition(": ")[2]
        body = [
            line
            for line in lines[1:]
            if not re.match(
                r"Calculations, not an approval|page \d+ of \d+|Chassis |\d{4}-\d\d-\d\d$",
                line.strip(),
            )
        ]
        found.setdefault(title, []).extend(body)
    return {title: re.sub(r"\s+", " ", " ".join(lines)) for title, lines in found.items()}


def rows(text: str) -> Iterator[PrintedRow]:
    """Every row of a chapter, in its order."""
    formula, fixed = "", {}
    for part in re.split(r"(?=\bClause \d+: )|(?=\bRow \d+\. )", text):
        if head := re.match(r"Clause \d+: .*? Formula \d+: (.*?) Letters: (.*)", part):
            formula = head[1]
            fixed = {letter: float(value) for letter, value in PUT.findall(head[2])}
        if not part.startswith("Row "):
            continue
        found = re.match(
            rf"Row (\d+)\. (.*?) ?Put in: (.*?)\. Demand ({NUMBER})[^,]*, capacity ({NUMBER})[^,]*,"
            rf" used ({NUMBER}) (ok|fails|confirm)\.",
            part,
        )
        assert found, part
        put = {letter: float(value) for letter, value in PUT.findall(found[3])}
        yield PrintedRow(
            int(found[1]), found[2], formula, {**fixed, **put}, figure(found[4]),
            figure(found[5]), float(found[6]), _steps(part),
        )  # fmt: skip


def _steps(text: str) -> list[PrintedStep]:
    told = text.partition(" From: ")[2]
    return [
        PrintedStep(letter, formula, {name: float(value) for name, value in PUT.findall(put)})
        for letter, formula, put in STEP.findall(told)
    ]


def _vectors(text: str, letter: str) -> list[Array]:
    return [
        np.array([float(x) for x in found]) for found in re.findall(rf"\b{letter} = {VECTOR}", text)
    ]


def groups(text: str) -> Iterator[PrintedGroup]:
    """Every weld group's card."""
    for part in re.split(r"(?=\bGroup \d+\. )", text)[1:]:
        area = re.search(rf"\bA = ({NUMBER})", part)
        six = re.search(r"yz = \(([^)]*)\)", part)
        assert area and six, part
        xx, yy, zz, xy, xz, yz = (float(x) for x in six[1].split(","))
        second = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
        lengths = re.findall(rf"({NUMBER}) (?:in|mm) at w = (\S+)", part)
        worst = re.split(r"(?=\bWeld, )|(?=\bSteel beside, )", part)[1:]
        yield PrintedGroup(
            part.partition(" W")[0][:120],
            float(area[1]),
            _vectors(part, "G")[0],
            second,
            [(float(long), leg) for long, leg in lengths],
            list(map(_pull, worst)),
        )


def _pull(text: str) -> PrintedPull:
    pulls = []
    for each in re.split(r"(?=\bP = )", text)[1:]:
        place, force = _vectors(each, "P")[0], _vectors(each, "F")[0]
        couple = _vectors(each, "C")
        pulls.append((place, force, couple[0] if couple else np.zeros(3)))
    leg = re.search(rf"\bw = ({NUMBER}) (?:in|mm); f", text)
    size = re.search(rf"size ({NUMBER})", text)
    assert leg and size, text
    return PrintedPull(
        pulls, _vectors(text, "M")[0], _vectors(text, "q")[0], _vectors(text, "R")[0],
        float(leg[1]), _vectors(text, "f")[0], figure(size[1]),
    )  # fmt: skip


def bodies(text: str) -> Iterator[PrintedBody]:
    """Every free body with its forces."""
    for part in re.split(r"couple x, y, z, \S+ ", text)[1:]:
        pushes = []
        for found in re.finditer(rf"\b\d+ ([a-z][^()]*) {VECTOR} {VECTOR}(?: {VECTOR})?", part):
            nine = [float(x) if x else 0.0 for x in found.groups()[1:]]
            pushes.append((found[1], *map(np.array, (nine[:3], nine[3:6], nine[6:]))))
        yield PrintedBody(pushes[0][0], pushes)
