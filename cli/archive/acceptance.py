"""What is accepted by name and reason before anything is welded, and what nobody can accept.

Each thing that is signed for has words of its own: one reason for all findings of the verdict, one
for a set-down that is not within its limits, one for welds nobody logged.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from ...layout.faults import Fault
from ...parts.model.terms import Level
from ...parts.model.verdict import Verdict
from ...parts.verdict.findings import Finding, Judged

REASON_LEAST, REASON_MOST = 3, 400
"""Characters of a reason: fewer say nothing, more do not fit the decision sheet."""
SHOWN = 12
"""Lines of findings in one fault."""


class Subject(StrEnum):
    """What ``--accept`` answers beside the findings, as ``--accept set-down="why"``."""

    SET_DOWN = "set-down"
    WELDS = "welds"
    BOLTS = "bolts"


class Reasons(NamedTuple):
    """The words of ``--accept``: for the findings, and for each subject that has its own."""

    findings: str = ""
    of: Mapping[Subject, str] = MappingProxyType({})


def reasons(words: Sequence[str], faults: list[Fault]) -> Reasons:
    """The words of ``--accept``, each as often as it was given.

    Adds a fault for a subject nobody knows, a subject answered twice, and a reason too short or too
    long.

    >>> reasons(["gaps looked at", "welds=the inspector looked at the rest"], [])
    ... # doctest: +ELLIPSIS
    Reasons(findings='gaps looked at', of={<Subject.WELDS: 'welds'>: 'the inspector ...'})
    """
    findings = ""
    found: dict[Subject, str] = {}
    for word in filter(None, (own.strip() for own in words)):
        match = re.match(r"([A-Za-z][A-Za-z-]*)\s*=", word)
        name = match[1] if match else ""
        why = word[match.end() :].strip() if match else word
        if name and name not in list(Subject):
            allowed = " | ".join(f'{subject}="why"' for subject in Subject)
            faults.append(
                Fault("--accept", word, allowed, 'the findings have theirs as --accept "why"')
            )
            continue
        field = f"--accept {name}".rstrip()
        if not good_reason(why):
            faults.append(Fault(field, why, REASON, "say why it may stay so"))
        if (name and Subject(name) in found) or (not name and findings):
            faults.append(Fault(field, why, "one reason", "it is given twice: put both in one"))
        if name:
            found[Subject(name)] = why
        else:
            findings = why
    return Reasons(findings, found)


def good_reason(why: str) -> bool:
    """Whether words say something - as many letters as the shortest has - and can be printed."""
    letters = sum(sign.isalpha() for sign in why)
    return letters >= REASON_LEAST and len(why.strip()) <= REASON_MOST and why.isprintable()


REASON = f"words, {REASON_LEAST} to {REASON_MOST} characters on one line"


def _key(row: Mapping[str, str]) -> tuple[str, str, str, str]:
    return row["kind"], row["id"], row["verdict"], row["reason"]


def _key_of(finding: Finding) -> tuple[str, str, str, str]:
    return finding.kind, finding.id, finding.verdict.value, finding.reason


def unsigned(judged: Judged, before: Sequence[Mapping[str, str]] = ()) -> list[Finding]:
    """What still wants a name and a reason, beside what was accepted ``before``."""
    known = {_key(row) for row in before}
    return [finding for finding in judged.to_sign() if _key_of(finding) not in known]


def accepted(
    judged: Judged,
    by: str,
    day: str,
    why: str,
    before: Sequence[Mapping[str, str]] = (),
) -> list[dict[str, str]]:
    """What is signed for by name, as rows of the record, after what was ``before``; nothing new
    without a reason.
    """
    kept = [dict(row) for row in before]
    if not why:
        return kept
    return kept + [
        {**finding._asdict(), "verdict": finding.verdict.value, "by": by, "date": day, "why": why}
        for finding in unsigned(judged, before)
    ]


def needs_acceptance(
    judged: Judged, level: Level, why: str, before: Sequence[Mapping[str, str]] = ()
) -> list[Fault]:
    """A fault where weld or final is asked for and something still wants a reason; nothing that
    fails, touches or conflicts is ever accepted.
    """
    rows = unsigned(judged, before)
    if not level.at_least(Level.WELD) or not rows or good_reason(why):
        return []
    said = Judged(rows, judged.wanted, whole=False)
    listed = " | ".join(said.lines(SHOWN))
    return [Fault("--accept", why, REASON, f"the reason, for: {said.headline} {listed}")]


def refusals(judged: Judged, level: Level) -> list[Fault]:
    """What is released for nothing: conflicts, what fails, what touches; and, from tack on, parts
    that were made but wait, since nothing of them is cut.
    """
    faults = [
        Fault(
            f"{finding.title} {finding.id}" if finding.kind == "part" else finding.title,
            "",
            ALLOWED[finding.verdict],
            finding.reason,
        )
        for finding in judged.refuses()
    ]
    if level is not Level.MOCK_UP:
        faults += [
            Fault(finding.title, "", "a truck whose loads are known", finding.reason)
            for finding in judged.findings
            if (finding.kind, finding.id) == ("truck", "strength") and finding.verdict.bars
        ]
    return faults


ALLOWED = {
    Verdict.CONFLICTS: "readings and wishes that can all be met",
    Verdict.FAILS: "what passes its checks",
    Verdict.TOUCHES: "room between what moves",
}
