"""What is accepted by name and reason before anything is welded, and what nobody can accept.

Each thing that is signed for has words of its own: a reason for each kind of finding the verdict
knows, or for one part; one for a set-down that is not within its limits, one for welds nobody
logged.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
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
    """What ``--accept`` answers, as ``--accept gaps="why"``."""

    WAITING = "waiting"
    NOT_LOOKED_AT = "not-looked-at"
    GAPS = "gaps"
    CONFIRM = "confirm"
    ASSUMED = "assumed"
    SET_DOWN = "set-down"
    WELDS = "welds"
    BOLTS = "bolts"


OF_VERDICT = {
    Verdict.WAITS: Subject.WAITING,
    Verdict.NOT_LOOKED_AT: Subject.NOT_LOOKED_AT,
    Verdict.TIGHT: Subject.GAPS,
    Verdict.CONFIRM: Subject.CONFIRM,
    Verdict.ASSUMED: Subject.ASSUMED,
}
"""What answers a finding, by its verdict."""
OF_LOGS = (Subject.SET_DOWN, Subject.WELDS, Subject.BOLTS)
"""What answers nothing of the verdict but what was read and logged."""
_NONE: Mapping[Subject, str] = MappingProxyType({})
_NO_PART: Mapping[str, str] = MappingProxyType({})


class Reasons(NamedTuple):
    """The words of ``--accept``: for each subject, and by its code for a part that has its own."""

    of: Mapping[Subject, str] = _NONE
    parts: Mapping[str, str] = _NO_PART

    def why(self, finding: Finding) -> str:
        """The words for one finding: those of its part, else those of its kind, else none."""
        from ...parts.model.codes import stem_of

        own = self.parts.get(stem_of(finding.id), "") if finding.kind == "part" else ""
        return own or self.of.get(OF_VERDICT[finding.verdict], "")


def reasons(words: Sequence[str], faults: list[Fault]) -> Reasons:
    """The words of ``--accept``, each as often as it was given.

    Adds a fault for words that do not say what they are about, a subject answered twice, and a
    reason too short or too long.

    >>> reasons(["gaps=looked at on the truck", "XS1=the owner brings less weight"], []).parts
    {'XS1': 'the owner brings less weight'}
    """
    found: dict[Subject, str] = {}
    parts: dict[str, str] = {}
    for word in filter(None, (own.strip() for own in words)):
        match = re.match(r"([A-Za-z][A-Za-z0-9-]*)\s*=", word)
        name = match[1] if match else ""
        why = word[match.end() :].strip() if match else word
        if not re.fullmatch(r"[A-Z]{2}\d*", name) and name not in list(Subject):
            allowed = " | ".join(f'{subject}="why"' for subject in Subject)
            remedy = 'say what it is about, as gaps="why", or a part\'s code in place of gaps'
            faults.append(Fault("--accept", word, allowed, remedy))
            continue
        if not good_reason(why):
            faults.append(Fault(f"--accept {name}", why, REASON, "say why it may stay so"))
        if name in found or name in parts:
            remedy = "it is given twice: put both in one"
            faults.append(Fault(f"--accept {name}", why, "one reason", remedy))
        if name in list(Subject):
            found[Subject(name)] = why
        else:
            parts[name] = why
    return Reasons(found, parts)


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
    given: Reasons,
    before: Sequence[Mapping[str, str]] = (),
) -> list[dict[str, str]]:
    """What is signed for by name, as rows of the record, after what was ``before``; nothing new
    without a reason of its own.
    """
    return [dict(row) for row in before] + [
        {**finding._asdict(), "verdict": finding.verdict.value, "by": by, "date": day, "why": why}
        for finding in unsigned(judged, before)
        if (why := given.why(finding))
    ]


def needs_acceptance(
    judged: Judged, level: Level, given: Reasons, before: Sequence[Mapping[str, str]] = ()
) -> list[Fault]:
    """A fault for each kind of finding that wants a reason and has none where weld or final is
    asked for, and for words about what wants none; nothing that fails, touches or conflicts is ever
    accepted.
    """
    rows = unsigned(judged, before)
    needless = _needless(rows, given)
    if not level.at_least(Level.WELD):
        return needless
    open_ = [finding for finding in rows if not good_reason(given.why(finding))]
    return needless + [
        Fault(
            f"--accept {subject}",
            given.of.get(subject, ""),
            f'--accept {subject}="why it may stay so"',
            f"say why, for: {said.headline} {' | '.join(said.lines(SHOWN))}",
        )
        for verdict, subject in OF_VERDICT.items()
        if (own := [finding for finding in open_ if finding.verdict is verdict])
        for said in (Judged(own, judged.wanted, whole=False),)
    ]


def _needless(rows: Iterable[Finding], given: Reasons) -> list[Fault]:
    """Words about a kind of finding there is none of, or a part nothing is open of."""
    from ...parts.model.codes import stem_of

    found = list(rows)
    there = {OF_VERDICT[finding.verdict].value for finding in found}
    there |= {stem_of(finding.id) for finding in found if finding.kind == "part"}
    about = {**given.parts, **{s.value: why for s, why in given.of.items() if s not in OF_LOGS}}
    return [
        Fault(f"--accept {name}", why, "what is open", "nothing of it is open: leave it out")
        for name, why in about.items()
        if name not in there
    ]


def told(rows: Sequence[Mapping[str, str]]) -> list[str]:
    """How many findings each reason answers, a line each, in the order they were signed."""
    counted: dict[str, int] = {}
    for row in rows:
        counted[row["why"]] = counted.get(row["why"], 0) + 1
    return [
        f"{count} {'finding' if count == 1 else 'findings'} accepted by {rows[0]['by']}, kept in"
        f" the record: {why}"
        for why, count in counted.items()
    ]


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
