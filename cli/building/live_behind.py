"""What turning a wish does to parts, gaps and margins: a truck designed for its loads, held against
the one of the job file, in a process of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...layout import reader

if TYPE_CHECKING:
    from ...layout.job.handed import Json
    from ...layout.job.load import Job
    from ...layout.travel.limits import Limit
    from ...parts.placed.clearance import Gap
    from ...parts.stock import Shop
    from ...parts.verdict.suppose import Differs, Whole
    from .design import Designed

MOST = 8
"""Rows of one kind that are shown."""


class Given(NamedTuple):
    """What the work behind an answer is given."""

    path: Path
    shop_path: Path | None
    job: Job
    shop: Shop
    system: reader.System


def work_behind(given: Given) -> Json:
    """A truck designed for its loads with dials turned, against the one of the job file."""
    from ...layout.setout import solve
    from ...parts.strength.growth import held
    from ...parts.truck import pins
    from ...parts.verdict.suppose import differs, whole
    from .design import designed

    was_made = designed(given.path, given.shop_path)
    reader.read_in(given.system)
    was = _as_it_was(was_made)
    solved = solve(given.job)
    pinned = pins.good(given.job.pins, given.shop)
    made = held(solved, given.job.words, pinned, given.job.chassis, given.shop)
    strength = made.strength._replace(grown=made.grown)
    now = whole(given.job, solved, made.truck, strength, given.shop)
    changed = {
        key: float(row.value)
        for key, row in given.job.readings.items()
        if row.value != was_made.job.readings[key].value
    }
    return _shown(was, now, differs(was, now, changed))


def _as_it_was(found: Designed) -> Whole:
    """The truck of the job file; its gaps and limits are kept from one question to the next."""
    from ...layout.explain import with_travel
    from ...layout.travel import study
    from ...layout.travel.sure import Sure
    from ...parts.verdict.suppose import Whole, whole
    from .cache import Cache, key_of
    from .design import inputs

    def looked() -> tuple[tuple[Gap, ...], tuple[Limit, ...]]:
        made = whole(found.job, found.solved, found.truck, found.strength, found.shop)
        return made.gaps, made.limits

    key = key_of("gaps and limits of the job file's truck", *inputs(found.job, found.shop))
    gaps, ends = Cache().value(key, looked)
    travel = study(found.job, found.solved)
    graph = with_travel(found.solved, travel, Sure({}, {}))
    return Whole(
        job=found.job,
        solved=found.solved,
        truck=found.truck,
        strength=found.strength,
        graph=graph,
        limits=ends,
        gaps=gaps,
        lost=travel.lost,
    )


def _shown(was: Whole, now: Whole, found: Differs) -> Json:
    """What is shown of it."""
    from ...parts.placed.travel_rows import gap_words
    from ...parts.words.names import numbers, sentence
    from ...parts.words.numbers import worded

    known = numbers(now.truck.assembly)
    margins = [
        (
            row.part,
            f"{sentence(worded(row.what), known)}: {row.utilisation:.2f} used"
            + (f", was {pair.was.utilisation:.2f}" if pair.was else ""),
        )
        for pair in found.margins
        if (row := pair.now) is not None
    ]
    parts = [
        *((code, "no longer made") for code in found.go),
        *((code, "new") for code in found.come),
        *((row.part, f"{row.word}, {sentence(row.why)}") for row in found.parts),
    ]
    return {
        "gaps": [gap_words(gap) for gap in now.gaps[:MOST]],
        "limits": list(_ends(now)),
        "parts": list(_together(parts)),
        "same": len(was.truck.singles) - len(found.parts) - len(found.go),
        "margins": list(_together(margins)[:MOST]),
    }


def _ends(now: Whole) -> list[Json]:
    """What ends each path, and what ends it before its stop: the first two of each."""
    from ...parts.placed.travel_ends import limit_words

    rows: dict[str, list[Json]] = {}
    for limit in now.limits:
        if limit.governs or limit.short:
            rows.setdefault(limit.path, []).append(f"{limit.path}: {limit_words(limit)}")
    return [row for path in rows.values() for row in path[:2]]


def _together(rows: Iterable[tuple[str, str]]) -> list[Json]:
    """Parts of which the same is said, in one line: "CM1 left and right, CM2 left: new"."""
    from ...parts.words.names import part

    said: dict[str, dict[str, list[str]]] = {}
    for code, words in rows:
        stem, _, side = part(code).partition(" ")
        said.setdefault(words, {}).setdefault(stem, []).append(side)
    return [
        ", ".join(f"{stem} {' and '.join(sides)}".strip() for stem, sides in codes.items())
        + f": {words}"
        for words, codes in said.items()
    ]
