"""What is accepted by name and reason before anything is welded, and what nobody can accept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated

import typer

from ...layout.faults import Fault
from ...parts.documents.levels import LEVELS
from ...parts.model.verdict import Verdict
from ...parts.verdict.findings import Finding, Judged

Accept = Annotated[
    str,
    typer.Option(
        "--accept",
        help=(
            "why what is tight, to confirm, assumed, waiting or not looked at may stay so; required"
            " for weld and final, kept with the name"
        ),
    ),
]


def accepted(
    judged: Judged,
    level: str,
    by: str,
    day: str,
    why: str,
    before: Sequence[Mapping[str, str]] = (),
) -> list[dict[str, str]]:
    """What is signed for by name at this level, beside what was ``before``; nothing below weld
    unless a reason is given.
    """
    if not why:
        return [dict(r) for r in before]
    known = {(r["kind"], r["id"], r["verdict"], r["reason"]) for r in before}
    return [dict(r) for r in before] + [
        {**f._asdict(), "verdict": f.verdict.value, "by": by, "date": day, "why": why}
        for f in judged.to_sign()
        if (f.kind, f.id, f.verdict.value, f.reason) not in known
    ]


def unsigned(judged: Judged, before: Sequence[Mapping[str, str]] = ()) -> list[Finding]:
    """What still wants a name and a reason."""
    known = {(r["kind"], r["id"], r["verdict"], r["reason"]) for r in before}
    return [f for f in judged.to_sign() if (f.kind, f.id, f.verdict.value, f.reason) not in known]


def needs_acceptance(
    judged: Judged, level: str, why: str, before: Sequence[Mapping[str, str]] = ()
) -> list[Fault]:
    """A fault where weld or final is asked for and something still wants a reason; nothing that
    fails, touches or conflicts is ever accepted.
    """
    rows = unsigned(judged, before)
    if LEVELS.index(level) < LEVELS.index("weld") or not rows:
        return []
    if 3 <= len(why.strip()) <= 400 and "\n" not in why:
        return []
    said = Judged(rows, judged.wanted, whole=False)
    listed = " | ".join(said.lines(12))
    what = f"the reason, for: {said.headline} {listed}"
    return [Fault("--accept", why, "3 to 400 characters on one line", what)]


def refusals(judged: Judged, level: str) -> list[Fault]:
    """What is released for nothing: conflicts, what fails, what touches; and, from tack on, parts
    that were made but wait, since nothing of them is cut.
    """
    faults = [
        Fault(
            f"{f.title} {f.id}" if f.kind == "part" else f.title, "", ALLOWED[f.verdict], f.reason
        )
        for f in judged.refuses()
    ]
    if level != "mock-up":
        faults += [
            Fault(f.title, "", "a truck whose loads are known", f.reason)
            for f in judged.findings
            if (f.kind, f.id) == ("truck", "strength") and f.verdict.bars
        ]
    return faults


ALLOWED = {
    Verdict.CONFLICTS: "readings and wishes that can all be met",
    Verdict.FAILS: "what passes its checks",
    Verdict.TOUCHES: "room between what moves",
}
