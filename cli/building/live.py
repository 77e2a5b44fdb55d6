"""While deciding: what turning a wish or a choice does to layout, travel and limits, at once; what
it does to gaps, parts and margins, behind that; and the lines of the job file it would change.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from ...layout import reader, units
from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.dials import (
    DialSetting,
    NewLine,
    moved,
    new_lines,
    turned,
    with_lines,
    written_dials,
)
from ...layout.job.taped import overlaid, taped_path, taped_rows
from ...layout.quantities import SIDE_WORD, Key
from .. import disk

if TYPE_CHECKING:
    from ...layout.graph import Graph
    from ...layout.job.handed import Json
    from ...layout.job.load import Job
    from ...layout.travel import Travel
    from ...layout.travel.limits import Limit
    from .live_behind import Given

LiveRow: TypeAlias = tuple[str, str, list[float | None]]
PLACES = ("full bump", "ride height", "full droop")
OUTPUTS = {
    "caster": "caster",
    "pinion.joint": "pinion joint",
    "transfer.joint": "transfer-case joint",
    "pinion.up": "pinion, nose up",
    "slip": "shaft longer",
    "coil.length": "coil length",
    "frame_joint": "frame joint",
    "fore_aft": "axle forward",
    "lateral": "axle sideways, left +",
}
"""What is shown of travel, in this order."""
MOST = 8
SAME = 1e-6


class Live:
    """A job whose wishes are turned: read once, asked often, written only when told to."""

    def __init__(self, path: Path, shop_path: Path | None) -> None:
        self.path, self.shop_path = path, shop_path
        self._read()

    def _read(self) -> None:
        from ...layout.setout import solve
        from ...layout.travel import study
        from .design import loaded

        self.text = self.path.read_bytes().decode("utf-8-sig")
        self.job, self.shop = loaded(self.path, self.shop_path)
        self.system = reader.reader()
        self.before = _values(study(self.job, solve(self.job)))

    def start(self) -> Json:
        """The dials, and the answer with none of them turned."""
        with reader.reading_in(self.system):
            rows: list[Json] = [_dial_row(row, self.job) for row in turned(self.job)]
            start: dict[str, Json] = {"chassis": self.job.chassis, "read": self.read}
            return start | {"dials": rows, "answer": self.answer({})}

    @property
    def read(self) -> str:
        """Which state of the job file the dials are turned from."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    def turned_from(self, read: str) -> None:
        """Fault (JOB_FILE) where a page turns from another state than this: the same page open
        twice has written meanwhile, and its turns would be added to what is there now.
        """
        if read != self.read:
            remedy = "load this page again and turn the dials once more"
            raise _fault(
                self.path.name, "was written by another page", "as this page read it", remedy
            )

    def answer(self, by: Mapping[str, float]) -> Json:
        """Layout and travel with dials turned by so much of the unit each is shown in."""
        from ...layout.setout import solve
        from ...layout.travel import study

        with reader.reading_in(self.system):
            job = self._with(by)
            solved = solve(job)
            travel = study(job, solved)
            rows = _rows(self.before, _values(travel))
            return {"values": rows, **_said(job, solved, travel)}

    def _with(self, by: Mapping[str, float]) -> Job:
        from ...layout.explain import supposed

        return supposed(self.job, moved(self.job, self._inside(by)))

    def _inside(self, by: Mapping[str, float]) -> dict[str, float]:
        """Turns in internal units."""
        kinds = {row.dial.name: row.kind for row in turned(self.job)}
        return {
            name: far * units.factor(_unit(kinds[name]), kinds[name]) if name in kinds else far
            for name, far in by.items()
        }

    def given(self, by: Mapping[str, float]) -> Given:
        """What the work behind an answer is given: gaps, parts and margins are worked from it."""
        from .live_behind import Given

        with reader.reading_in(self.system):
            return Given(self.path, self.shop_path, self._with(by), self.shop, self.system)

    def lines(self, by: Mapping[str, float]) -> list[NewLine]:
        """Lines of the job file that would change; nothing is written."""
        self._as_read()
        with reader.reading_in(self.system):
            values = moved(self.job, written_dials(self.job, self._inside(by)))
            new = new_lines(self.text, self.job, values)
            self._proved(with_lines(self.text, new), values)
        return new

    def write(self, by: Mapping[str, float], shown: Sequence[Json]) -> Path:
        """The job file replaced whole, the old one kept beside it: its new name is given back.

        ``shown``: the lines that were shown, which must be those that change. Faults (JOB_FILE)
        where they are not, or the file was changed since it was read.
        """
        new = self.lines(by)
        if not new or [line.now for line in new] != list(shown):
            remedy = "look at the lines again, then write them"
            raise _fault("the lines", "are not those that were shown", "those shown", remedy)
        old = _free(self.path)
        disk.new_file(old, self.text.encode())
        disk.put_file(self.path, with_lines(self.text, new).encode())
        self._read()
        return old

    def _as_read(self) -> None:
        if self.path.read_bytes().decode("utf-8-sig", "replace") != self.text:
            remedy = "load the page again and turn the dials once more"
            raise _fault(self.path.name, "was changed since", "as the page read it", remedy)

    def _proved(self, text: str, values: Mapping[Key, float]) -> None:
        """The new text gives these values and leaves every other reading as it was."""
        from ...layout.job_file import of_table

        beside = taped_path(self.path)
        taped = taped_rows(beside.read_text(encoding="utf-8-sig")) if beside.is_file() else {}
        now = of_table(overlaid(tomllib.loads(text), taped))
        for key, reading in self.job.readings.items():
            wanted = values.get(key, float(reading.value))
            if key not in now.readings or abs(float(now.readings[key].value) - wanted) > SAME * max(
                1.0, abs(wanted)
            ):
                remedy = "it holds over the job file: change it where it was taken, or by hand"
                raise _fault(str(key), "stands on a measuring sheet too", "one place", remedy)


def _values(travel: Travel) -> list[LiveRow]:
    """What is shown of travel: title, unit, and a value at each position, None where no rest."""
    from ...layout.travel import KINDS

    if travel.pose is None:
        return []
    at = [travel.at(name) for name in PLACES]
    found: list[LiveRow] = []
    for name, title in OUTPUTS.items():
        for key in [key for key in travel.found if key.name == name]:
            side = f", {SIDE_WORD[key.side]}" if key.side != "C" else ""
            values = [
                round(reader.valued(float(travel.found[key][row]), KINDS[name][0]), 4) + 0.0
                if travel.pose.settled[row]
                else None
                for row in at
            ]
            found.append((f"{title}{side}", reader.unit(KINDS[name][0]), values))
    return found


def _rows(
    was: Sequence[LiveRow],
    now: Sequence[LiveRow],
) -> list[Json]:
    before = {title: values for title, _, values in was}
    return [
        {
            "title": title,
            "unit": unit,
            "was": list(before.get(title, [])),
            "now": list(values),
        }
        for title, unit, values in now
    ]


def _said(job: Job, solved: Graph, travel: Travel) -> dict[str, Json]:
    """Limits by what is used of them, and what does not fit, in words."""
    from ...layout.setout import diagnoses
    from ...parts.words.names import sentence

    waits = [f"{name} waits for {_readings(keys)}" for name, keys in travel.waits.items()]
    lost = [sentence(f"no rest at {name}: {why}") for name, why in travel.lost.items()]
    ends = sorted(_ends(travel, solved), key=lambda limit: -limit.used)
    return {
        "limits": [
            {"says": _end_words(limit), "used": round(limit.used, 3), "over": limit.margin < 0}
            for limit in ends[:MOST]
        ],
        "fits": [f"{row.sentence} {row.cure}".strip() for row in diagnoses.diagnose(job, solved)],
        "waits": [*waits, *lost],
    }


def _readings(keys: Iterable[Key]) -> str:
    """Readings by their codes on the measuring sheet and their names, the first of many."""
    from ...layout.job.field import pattern
    from ...layout.job.fields import FIELDS
    from ...parts.form.facts import said

    names = list(
        dict.fromkeys(
            f"{FIELDS[name].sheet_code} {said(name)}"
            for key in keys
            if (name := pattern(key.name)) in FIELDS
        )
    )
    more = f" and {len(names) - MOST} more" if len(names) > MOST else ""
    return ", ".join(names[:MOST]) + more


def _ends(travel: Travel, solved: Graph) -> list[Limit]:
    """Every criterion at the position where most of it is used."""
    import numpy as np

    from ...layout.travel.limits import Limit, criteria

    found = []
    for row in criteria(travel, solved) if travel.pose is not None else ():
        there = int(np.argmax(row.value))
        found.append(
            Limit(
                path=travel.places[there].name,
                name=row.name,
                at=float("nan"),
                asked=0.0,
                there=float(row.value[there]),
                most=row.most,
                unit=row.unit,
                shown=row.shown,
            )
        )
    return found


def _end_words(limit: Limit) -> str:
    there, most = limit.reads
    bound = "most" if limit.shown > 0 else "least"
    return (
        f"{limit.name}: {reader.measure(there, limit.unit)}, {bound}"
        f" {reader.measure(most, limit.unit)}, {limit.path}"
    )


def _unit(kind: str) -> str:
    return units.readers(kind)


def _dial_row(row: DialSetting, job: Job) -> Json:
    unit = _unit(row.kind)
    scale = units.factor(unit, row.kind)
    step = row.step if row.kind != "rate" else scale
    if reader.metric() and row.kind == "length":
        step = reader.step()
    return {
        "name": row.dial.name,
        "title": row.dial.title,
        "unit": unit,
        "now": row.now / scale,
        "low": row.low / scale,
        "high": row.high / scale,
        "step": step / scale,
        "inches": unit == "in",
        "why": row.dial.not_written,
    }


def _free(path: Path) -> Path:
    """A name nobody has for the job file as it was."""
    number = 1
    while (old := path.with_name(f"{path.name}.before-{number}")).exists():
        number += 1
    return old


def _fault(field: str, typed: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(
        Exit.JOB_FILE, [Fault(field, typed, allowed, remedy)], "nothing was written"
    )
