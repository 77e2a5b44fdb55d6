"""correct: set down, measure, correct."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ...layout import reader, units
from ...layout.faults import Exit, Fault, SoapstoneError
from ..building.designing import loaded
from ..options import JobFile, Json

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.setdown import Advice, Round, Truck


def correct(
    job: JobFile,
    down: Annotated[
        Path | None,
        typer.Argument(help="the set-down file; JOB.down.toml beside the job if not given"),
    ] = None,
    blank: Annotated[
        bool, typer.Option("--blank", help="write the set-down file to fill in at the truck")
    ] = False,
    as_json: Json = False,
) -> None:
    """Read the tacked truck on its wheels; say what to cut loose and by how much to move it."""
    from ...layout.setdown import file, moves
    from .. import disk

    got, _ = loaded(job)
    truck = _truck(got)
    path = down or file.down_path(job)
    if blank:
        _write_blank(path, file.blank(truck, got.chassis))
        print(f"{path}: fill in what tape and finder read, then: soapstone correct {job}")
        return
    headers = {k.partition(".")[2]: w for k, w in got.words.items() if k.startswith("units.")}
    rounds = file.read(path, headers, moves(truck))
    advice = _advise(truck, rounds)
    state = as_built(got.chassis, rounds, advice)
    disk.put_file(
        job.with_name(job.stem + ".asbuilt.json"),
        (json.dumps(state, indent=1, sort_keys=True) + "\n").encode(),
    )
    print(json.dumps(state, indent=1) if as_json else "\n".join(lines(truck, rounds, advice)))
    if code := exit_code(advice):
        raise typer.Exit(code)


def exit_code(a: Advice) -> Exit:
    """6 while anything stands out or is to be read again, 4 while only readings are owed, 0 for a
    truck that may be welded.
    """
    if any(r.word in ("out", "wild") for r in a.judged):
        return Exit.CHECK_FAILS
    return Exit.DONE if a.done else Exit.READINGS_OWED


def _truck(job: Job) -> Truck:
    """The truck as the set-down sees it; faults naming what waits."""
    from ...layout.setdown import OwedError, truck_of
    from ...layout.setout import solve

    try:
        return truck_of(solve(job))
    except OwedError as e:
        raise SoapstoneError(
            Exit.READINGS_OWED,
            [
                Fault(
                    "correct",
                    "",
                    "a job whose arms, coils, steering and weights are read",
                    f"waits for {e}",
                )
            ],
        ) from None


def _write_blank(path: Path, text: str) -> None:
    from .. import disk

    try:
        disk.new_file(path, text.encode())
    except FileExistsError:
        raise SoapstoneError(
            Exit.DISK,
            [
                Fault(
                    str(path),
                    "",
                    "a name that is free",
                    "there is a set-down file already; add a [[down]] to it",
                )
            ],
        ) from None


def _advise(truck: Truck, rounds: tuple[Round, ...]) -> Advice:
    """Advice, or a fault where the moves as typed leave a truck that stands nowhere."""
    from ...layout.setdown import CannotStandError, advise

    try:
        return advise(truck, rounds)
    except CannotStandError:
        raise SoapstoneError(
            Exit.NO_SOLUTION,
            [
                Fault(
                    "down.moved",
                    "",
                    "moves after which the truck can stand on its wheels",
                    "an arm or the bar cannot reach as far as was typed: look at every move since"
                    " the first set-down",
                )
            ],
        ) from None


def in_shop(name: str, x: float) -> float:
    """Inches or degrees."""
    from ...layout.setdown import BY

    kind = BY[name].kind if name in BY else "length"
    return round(units.to(x, kind, {"length": "in", "angle": "deg"}[kind]), 4)


def as_built(chassis: str, rounds: tuple[Round, ...], a: Advice) -> dict[str, Any]:
    """The state of the truck as stored: every set-down, what was moved, the verdict on every
    reading, what is advised, what seems to differ.
    """
    from ...layout.setdown.file import typed_name

    by = lambda word: [r.name for r in a.judged if r.word == word]
    return {
        "format": FORMAT,
        "chassis": chassis,
        "units": "in, deg; moves in in, up and longer +",
        "set_downs": [
            {
                "readings": {n: in_shop(n, v) for n, v in r.readings.items()},
                "moved": {typed_name(n): round(v / units.IN, 4) for n, v in r.moved.items()},
            }
            for r in rounds
        ],
        "readings": [
            {
                "name": r.name,
                "wanted": in_shop(r.name, r.wanted),
                "low": in_shop(r.name, r.window.low),
                "high": in_shop(r.name, r.window.high),
                "read": None if r.read is None else in_shop(r.name, r.read),
                "verdict": r.word,
                "why": r.why,
            }
            for r in a.judged
        ],
        "errors": {n: in_shop(n, e) for n, e in a.errors.items()},
        "done": a.done,
        "not_right": a.not_right,
        "out": by("out"),
        "not_read": by("not read"),
        "take_again": by("wild"),
        "moves": [
            {
                "what": s.words,
                "name": typed_name(s.move.name),
                "by": round(s.amount / units.IN, 4),
                "effect": {n: in_shop(n, e) for n, e in s.effect.items() if n in a.after},
            }
            for s in a.steps
        ],
        "after": {n: in_shop(n, e) for n, e in a.after.items()},
        "squeeze": [round(float(x), 3) for x in a.squeeze],
        "seems": {n: round(float(x), 5) for n, x in a.found.items()},
    }


FLAG = {
    "ok": "ok",
    "out": "OUT",
    "wild": "READ IT AGAIN",
    "not read": "NOT READ",
}


def lines(t: Truck, rounds: tuple[Round, ...], a: Advice) -> list[str]:
    """What `correct` prints: a verdict on every reading, then the moves."""
    from ...layout.setdown import BY, limit_words, shown

    out = [f"set-down {len(rounds)}: read, needed, allowed"]
    for r in a.judged:
        row = BY[r.name]
        read = "-" if r.read is None else shown(r.read, row.kind)
        out.append(
            f"  {row.title}: {read}, {shown(r.wanted, row.kind)}, {limit_words(row, t.asked)}:"
            f" {FLAG[r.word]}" + (f", {r.why}" if r.why else "")
        )
    if a.done and not a.steps:
        return [
            *out,
            (
                "Everything asked was read and is within its limit: weld in the order of the weld"
                " schedule."
            ),
            *CAUTION,
        ]
    return [*out, *_verdict(a), *_moves(a), *_behind(a), *CAUTION]


def _verdict(a: Advice) -> list[str]:
    if a.done:
        return [
            "Everything asked was read and is within its limit: it may stay as it is. Closer still:"
        ]
    by = lambda word: [r for r in a.judged if r.word == word]
    said = ["NOT TO BE WELDED YET:"]
    said += [f"  read again before anything is moved: {r.sentence}" for r in by("wild")]
    said += [f"  out: {r.sentence}" for r in by("out")]
    if missing := by("not read"):
        said.append("  still to be read: " + "; ".join(r.sentence for r in missing))
    if a.steps:
        said.append("Do this, in this order:")
    elif by("wild"):
        said.append("Move nothing before that: write what is read again in a [[down]] of its own.")
    elif by("out"):
        said.append(NO_MOVE)
    else:
        said.append("Nothing is to be moved by what was read.")
    return said


def _moves(a: Advice) -> list[str]:
    from ...layout.setdown import BY
    from ...layout.setdown.readings import signed

    out = []
    for i, s in enumerate(a.steps, 1):
        effect = ", ".join(
            f"{_short(n)} {signed(n, e)}"
            for n, e in s.effect.items()
            if n in a.after
            and abs(e) > (units.IN / 32 if BY[n].kind == "length" else 0.1 * units.DEG)
        )
        out.append(f"  {i}. {s.words}" + (f"   (moves {effect})" if effect else ""))
    if a.steps:
        off = ", ".join(f"{_short(n)} {signed(n, e)}" for n, e in a.after.items())
        out.append(f"then, by the model, off by: {off}")
        now, then = (round(100 * x) for x in a.squeeze)
        out.append(
            f"hardest squeezed bushing, by the model: {now} % of its limit now, {then} % then"
        )
    return out


def _short(name: str) -> str:
    """A reading in a list of many."""
    head, _, side = name.partition(".")
    return f"{ {'bar': 'track bar', 'drag': 'drag link'}.get(head, head) } {side}".strip()


def _behind(a: Advice) -> list[str]:
    from ...layout.setdown import UNKNOWNS

    likely = sorted(((abs(a.found[u.name]) / u.doubt, u) for u in UNKNOWNS), key=lambda r: -r[0])[
        :2
    ]
    behind = [
        f"{u.says} {_amount(u.name, a.found[u.name])}"
        for s, u in likely
        if s > 0.5 and u.name not in ("rear", "lean")
    ]
    return ["most likely behind it: " + "; ".join(behind)] if behind else []


def _amount(name: str, x: float) -> str:
    if name in ("rate", "load"):
        return f"{100 * x:+.0f} %"
    return (
        f"{x / units.DEG:+.1f} deg"
        if name in ("caster", "drag")
        else f"{'+' if x >= 0 else '-'}{reader.length(abs(x))}"
    )


FORMAT = 2
NO_MOVE = (
    "No seat, arm or bar mount cures what is out: caster that disagrees with the pinion belongs to"
    " the axle's builder, a drag link out of parallel by the pitman arm its maker offers or the"
    " job's ball readings, a coil by its rate or the load, rake at the rear. Steering, axle and"
    " springs are never cut, heated or bent."
)
CAUTION = [
    (
        "Chock the wheels; stands under the frame before anything is cut loose; coils hold stored"
        " energy: hang the axle first. Set down and read again after the moves."
    ),
    (
        "Thread: keep the least engagement its maker asks for. Steering and brake parts are never"
        " passed by a tool. Calculations, not an approval; local law decides."
    ),
]
