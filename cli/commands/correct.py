"""correct: set down, measure, correct."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout import reader, units
from ...layout.faults import Exit, Fault, SoapstoneError
from ..archive.as_built import as_built
from ..archive.record import digest
from ..archive.set_down import SUFFIX
from ..building.design import loaded
from ..options import AsJson, JobFile
from ..screen import then

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.setdown import Round, SetdownAdvice, SetdownTruck
    from ...layout.setdown.readings import ReadingVerdict

PLACE = 120
LIKELY = 0.5
"""Least share of its doubt by which something differs before it is named as the cause."""


def correct(
    job: JobFile,
    down: Annotated[
        Path | None,
        typer.Argument(help="the set-down file; JOB.down.toml beside the job if not given"),
    ] = None,
    *,
    blank: Annotated[
        bool, typer.Option("--blank", help="write the set-down file to fill in at the truck")
    ] = False,
    as_json: AsJson = False,
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
    headers = {
        key.partition(".")[2]: word for key, word in got.words.items() if key.startswith("units.")
    }
    rounds = file.read(path, headers, moves(truck))
    advice = _advise(truck, rounds)
    state = as_built(got.chassis, rounds, advice)
    if path.resolve() == file.down_path(job).resolve():
        state["typed_sha256"] = digest(path.read_bytes())
    disk.put_file(
        job.with_name(job.stem + SUFFIX),
        (json.dumps(state, indent=1, sort_keys=True) + "\n").encode(),
    )
    print(json.dumps(state, indent=1) if as_json else "\n".join(lines(truck, rounds, advice)))
    if code := exit_code(advice):
        raise typer.Exit(code)
    then("release", job, "--level", "weld", "--note", "why", "--by", "who", why="build, then")


def exit_code(advice: SetdownAdvice) -> Exit:
    """6 while anything stands out or is to be read again, 4 while only readings are owed, 0 for a
    truck that may be welded.
    """
    if any(row.word in ("out", "wild") for row in advice.judged):
        return Exit.CHECK_FAILS
    return Exit.DONE if advice.done else Exit.READINGS_OWED


def _truck(job: Job) -> SetdownTruck:
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


def _advise(truck: SetdownTruck, rounds: tuple[Round, ...]) -> SetdownAdvice:
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


FLAG = {
    "ok": "ok",
    "out": "OUT",
    "wild": "READ IT AGAIN",
    "not read": "NOT READ",
}


def lines(truck: SetdownTruck, rounds: tuple[Round, ...], advice: SetdownAdvice) -> list[str]:
    """What `correct` prints: a verdict on every reading, then the moves."""
    from ...layout.setdown import BY, limit_words, shown

    out = [f"set-down {len(rounds)}: read, needed, allowed"]
    for judged in advice.judged:
        row = BY[judged.name]
        read = "-" if judged.read is None else shown(judged.read, row.kind)
        out.append(
            f"  {row.title}: {read}, {shown(judged.wanted, row.kind)},"
            f" {limit_words(row, truck.asked)}: {FLAG[judged.word]}"
            + (f", {judged.why}" if judged.why else "")
        )
    if advice.done and not advice.steps:
        return [
            *out,
            (
                "Everything asked was read and is within its limit: weld in the order of the weld"
                " schedule."
            ),
            *CAUTION,
        ]
    said = [*_verdict(advice), *_moves(advice, _most_squeeze(truck))]
    return [*out, *said, *_behind(advice), *CAUTION]


def _verdict(advice: SetdownAdvice) -> list[str]:
    if advice.done:
        return [
            "Everything asked was read and is within its limit: it may stay as it is. Closer still:"
        ]
    wild, out, missing = (_of(advice, word) for word in ("wild", "out", "not read"))
    said = ["NOT TO BE WELDED YET:"]
    said += [f"  read again before anything is moved: {row.sentence}" for row in wild]
    said += [f"  out: {row.sentence}" for row in out]
    if missing:
        said.append("  still to be read: " + "; ".join(row.sentence for row in missing))
    if advice.steps:
        said.append("Do this, in this order:")
    elif wild:
        said.append("Move nothing before that: write what is read again in a [[down]] of its own.")
    elif out:
        said.append(NO_MOVE)
    else:
        said.append("Nothing is to be moved by what was read.")
    return said


def _of(advice: SetdownAdvice, word: str) -> list[ReadingVerdict]:
    return [row for row in advice.judged if row.word == word]


def _most_squeeze(truck: SetdownTruck) -> str:
    if truck.squeeze_given:
        return "its limit"
    return f"{reader.length(truck.squeeze)}, ASSUMED instead of arms.bush_max_radial,"


def _moves(advice: SetdownAdvice, most: str) -> list[str]:
    from ...layout.setdown.readings import signed

    out = []
    for number, step in enumerate(advice.steps, 1):
        effect = ", ".join(
            f"{_short(name)} {signed(name, by)}"
            for name, by in step.effect.items()
            if name in advice.after and _matters(name, by)
        )
        out.append(f"  {number}. {step.words}" + (f"   (moves {effect})" if effect else ""))
    if advice.steps:
        off = ", ".join(f"{_short(name)} {signed(name, by)}" for name, by in advice.after.items())
        out.append(f"then, by the model, off by: {off}")
        now, later = (round(100 * share) for share in advice.squeeze)
        out.append(f"hardest squeezed bushing, by the model: {now} % of {most} now, {later} % then")
    return out


def _matters(name: str, by: float) -> bool:
    """Whether a tape or a finder would show it."""
    from ...layout.setdown import BY

    return abs(by) > (units.IN / 32 if BY[name].kind == "length" else 0.1 * units.DEG)


def _short(name: str) -> str:
    """A reading in a list of many."""
    head, _, side = name.partition(".")
    return f"{ {'bar': 'track bar', 'drag': 'drag link'}.get(head, head) } {side}".strip()


def _behind(advice: SetdownAdvice) -> list[str]:
    """The two causes that stand out most, if any does."""
    from ...layout.setdown import UNKNOWNS

    shares = [(abs(advice.found[cause.name]) / cause.doubt, cause) for cause in UNKNOWNS]
    behind = [
        f"{cause.says} {_amount(cause.name, advice.found[cause.name])}"
        for share, cause in sorted(shares, key=lambda row: -row[0])[:2]
        if share > LIKELY and cause.name not in ("rear", "lean")
    ]
    return ["most likely behind it: " + "; ".join(behind)] if behind else []


def _amount(name: str, value: float) -> str:
    if name in ("rate", "load"):
        return f"{100 * value:+.0f} %"
    if name in ("caster", "drag"):
        return f"{value / units.DEG:+.1f} deg"
    return f"{'+' if value >= 0 else '-'}{reader.length(abs(value))}"


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
