"""correct: set down, measure, correct."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from soapstone.cli.options import JobFile, Json
from soapstone.layout import units
from soapstone.layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from soapstone.layout.setdown import Advice, Round, Truck


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
    from soapstone.cli import disk
    from soapstone.layout.job import down as file
    from soapstone.layout.job.load import load
    from soapstone.layout.setdown import advise, moves, truck_of
    from soapstone.layout.setout import solve

    got = load(job)
    solved = solve(got)
    try:
        truck = truck_of(solved)
    except KeyError as e:
        raise SoapstoneError(
            Exit.READINGS_OWED,
            [
                Fault(
                    "correct",
                    "",
                    "a job whose arms, coils, steering and weights are read",
                    f"waits for {e.args[0]}",
                )
            ],
        ) from None
    path = down or file.down_path(job)
    if blank:
        try:
            disk.new_file(path, file.blank(truck, got.chassis).encode())
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
        print(f"{path}: fill in what tape and finder read, then: soapstone correct {job}")
        return
    headers = {k.partition(".")[2]: w for k, w in got.words.items() if k.startswith("units.")}
    rounds = file.read(path, headers, moves(truck))
    advice = advise(truck, rounds)
    disk.put_file(
        job.with_name(job.stem + ".asbuilt.json"),
        (
            json.dumps(as_built(got.chassis, rounds, advice), indent=1, sort_keys=True) + "\n"
        ).encode(),
    )
    print(
        json.dumps(as_built(got.chassis, rounds, advice), indent=1)
        if as_json
        else "\n".join(lines(truck, rounds, advice))
    )


def in_shop(name: str, x: float) -> float:
    """Inches or degrees."""
    from soapstone.layout.setdown import READINGS

    kind = READINGS[name][0] if name in READINGS else "length"
    return round(units.to(x, kind, {"length": "in", "angle": "deg"}[kind]), 4)


def as_built(chassis: str, rounds: tuple[Round, ...], a: Advice) -> dict[str, Any]:
    """The state of the truck as stored: every set-down, what was moved, what is advised, what seems to differ."""
    from soapstone.layout.job.down import typed_name

    return {
        "chassis": chassis,
        "units": "in, deg; moves in in, up and longer +",
        "set_downs": [
            {
                "readings": {n: in_shop(n, v) for n, v in r.readings.items()},
                "moved": {typed_name(n): round(v / units.IN, 4) for n, v in r.moved.items()},
            }
            for r in rounds
        ],
        "errors": {n: in_shop(n, e) for n, e in a.errors.items()},
        "done": a.done,
        "take_again": list(a.unexplained),
        "moves": [
            {
                "what": s.words,
                "name": typed_name(s.move.name),
                "by": round(s.amount / units.IN, 4),
                "effect": {n: in_shop(n, e) for n, e in s.effect.items()},
            }
            for s in a.steps
        ],
        "after": {n: in_shop(n, e) for n, e in a.after.items()},
        "seems": {n: round(float(x), 5) for n, x in a.found.items()},
    }


def not_down(data: bytes | None) -> str:
    """Why a truck is not ready to be welded by its recorded set-down; empty if it is."""
    if data is None:
        return "the set-down is not recorded: set the truck down, fill in the set-down file and run correct"
    found = json.loads(data)
    return (
        ""
        if found["done"]
        else "its last set-down is outside 1/8 in or 0.25 deg: "
        + ", ".join(f"{n} {e:+g}" for n, e in found["errors"].items())
    )


def say(name: str, x: float) -> str:
    """A signed reading error."""
    from soapstone.layout.setdown import READINGS

    unit, n, word = (units.IN, 2, "in") if READINGS[name][0] == "length" else (units.DEG, 1, "deg")
    return f"{round(x / unit, n) + 0.0:+.{n}f} {word}"


def lines(t: Truck, rounds: tuple[Round, ...], a: Advice) -> list[str]:
    """What `correct` prints."""
    from soapstone.layout.setdown import AIMS, CLOSE, READINGS, SAYS, UNKNOWNS

    out = [f"set-down {len(rounds)}: read, wanted, off"]
    for n, v in rounds[-1].readings.items():
        kind = READINGS[n][0]
        flag = (
            ""
            if n not in AIMS or abs(a.errors[n]) <= CLOSE[kind]
            else "  <- outside 1/8 in or 0.25 deg"
        )
        shown, wanted = (
            f"{x / units.DEG:.1f} deg" if kind == "angle" else units.show(x, "length")
            for x in (v, t.targets[n])
        )
        out.append(
            f"  {SAYS[n.partition('.')[0]]} {n.partition('.')[2]}: {shown}, {wanted}, {say(n, a.errors[n])}{flag}"
        )
    out += [f"TAKE AGAIN {n}: nothing likely explains it" for n in a.unexplained]
    missing = [n for n in AIMS if n not in rounds[-1].readings]
    if missing:
        out.append(f"not read, so taken from the others: {', '.join(missing)}")
    if a.done and not a.steps:
        return [
            *out,
            "Everything read is within 1/8 in and 0.25 deg: weld in the order of the weld schedule.",
            *CAUTION,
        ]
    close = "Everything read is within 1/8 in and 0.25 deg: it may stay as it is. Closer still:"
    out.append(
        close
        if a.done
        else "do this, in this order:"
        if a.steps
        else "no move cures more than it costs; take the readings again"
    )
    for i, s in enumerate(a.steps, 1):
        effect = ", ".join(
            f"{n} {say(n, e)}"
            for n, e in s.effect.items()
            if n in AIMS
            and abs(e) > (units.IN / 32 if READINGS[n][0] == "length" else 0.1 * units.DEG)
        )
        out.append(f"  {i}. {s.words}   (moves {effect})")
    out.append("then, by the model: " + ", ".join(f"{n} {say(n, e)}" for n, e in a.after.items()))
    likely = sorted(((abs(a.found[u.name]) / u.doubt, u) for u in UNKNOWNS), key=lambda r: -r[0])[
        :2
    ]
    behind = [
        f"{u.says} {a.found[u.name] / units.IN:+.2f} in"
        if u.doubt > 0.5
        else f"{u.says} {100 * a.found[u.name]:+.0f} %"
        for s, u in likely
        if s > 0.5 and u.name not in ("rear", "lean")
    ]
    if behind:
        out.append("most likely behind it: " + "; ".join(behind))
    return [*out, *CAUTION]


CAUTION = [
    "Chock the wheels; stands under the frame before anything is cut loose; coils hold stored energy: hang the axle first. Set down and read again after the moves.",
    "Thread: keep the least engagement its maker asks for. Steering and brake parts are never passed by a tool. Calculations, not an approval; local law decides.",
]
