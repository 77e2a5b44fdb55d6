"""Who signs what: the name, the day, and what a level wants answered in words before it is
signed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal, NamedTuple

from ...layout.faults import UNSEEN, Fault
from ...layout.job.reading import day
from ...parts.model.terms import Level
from ...parts.words.names import ranges
from . import entries
from .acceptance import OF_LOGS, Reasons, Subject
from .facts import RecordFacts
from .log_sheets import AS_BUILT, TYPED
from .record import Record
from .set_down import later, not_down, not_down_now
from .store import Archive

NAME_LEAST, NAME_MOST = 2, 60
"""Characters of a name."""
NOTE_LEAST, NOTE_MOST = 3, 200
"""Characters of a note, where one is required."""


class Signer(NamedTuple):
    """Who, when, and what is worth knowing."""

    by: str
    date: str
    note: str = ""

    def facts(self) -> RecordFacts:
        """As a record or an event keeps it."""
        return {"by": self.by, "date": self.date, "note": self.note}

    def faults(self, note_needed: bool = False) -> list[Fault]:
        """What is missing or too long; ``note_needed``: a release says what changed and why."""
        found = []
        if note_needed and not NOTE_LEAST <= len(self.note.strip()) <= NOTE_MOST:
            allowed = f"{NOTE_LEAST} to {NOTE_MOST} characters on one line"
            found.append(Fault("--note", self.note[:40], allowed, "say what changed and why"))
        elif len(self.note) > NOTE_MOST or not self.note.isprintable():
            allowed = f"up to {NOTE_MOST} characters on one line"
            remedy = "shorten it" if len(self.note) > NOTE_MOST else UNSEEN
            found.append(Fault("--note", self.note[:40], allowed, remedy))
        if not good_name(self.by):
            found.append(Fault("--by", self.by[:40], "a name of two letters or more", "say who"))
        if day(self.date) is None:
            found.append(Fault("--date", self.date[:20], "a day, as 2026-01-31", "say when"))
        return found


def good_name(by: str) -> bool:
    """Whether it can be somebody's name: two letters or more of any script, on one line."""
    letters = sum(sign.isalpha() for sign in by)
    return letters >= NAME_LEAST and len(by.strip()) <= NAME_MOST and by.isprintable()


def too_early(date: str, record: Record, events: Sequence[RecordFacts]) -> list[Fault]:
    """A fault for a day of signing before the release itself, or before what was signed last."""
    last = max([record.data["date"], *(e["date"] for e in events if e.get("kind") == "signed")])
    if day(date) is None or date >= last:
        return []
    remedy = "it was released or signed on that day: nothing is signed for before it is there"
    return [Fault("--date", date, f"{last} or later", remedy)]


def before_last(date: str, records: Sequence[Record]) -> list[Fault]:
    """A fault for a day of release before that of the chassis' last revision: the order of its
    letters would say another thing than their days.
    """
    if not records or day(date) is None or date >= str(records[-1].data["date"]):
        return []
    last = records[-1]
    remedy = f"{last.letter} was released on that day: is a clock or the job's date behind?"
    return [Fault("--date", date, f"{last.data['date']} or later", remedy)]


def before_first(date: str, records: Sequence[Record]) -> list[Fault]:
    """A fault for a day on which a weld is said to be laid or a bolt tightened before anything of
    the chassis was released; laid since, under an earlier revision, it may be.
    """
    if not records or day(date) is None or date >= str(records[0].data["date"]):
        return []
    remedy = f"{records[0].letter} was released on that day: nothing of it was cut before"
    return [Fault("--date", date, f"{records[0].data['date']} or later", remedy)]


class Open(NamedTuple):
    """What of a revision is not as a level wants it, and may only stay with words of its own.

    ``set_down``: what is out or was not read at the last one, empty if nothing, None if none was
    recorded; ``welds``, ``bolts``: those nobody logged, as ranges of numbers.
    """

    set_down: str | None
    welds: list[str]
    bolts: list[str]

    def wanting(self, before: Mapping[Subject, str]) -> dict[Subject, str]:
        """What still wants words, by subject; ``before``: what was answered by earlier signatures,
        which holds for exactly what they said.
        """
        said = {
            Subject.SET_DOWN: self.set_down or "",
            Subject.WELDS: ", ".join(self.welds),
            Subject.BOLTS: ", ".join(self.bolts),
        }
        return {
            subject: what
            for subject, what in said.items()
            if what and before.get(subject, "") != what
        }


def open_at(store: Archive, record: Record, level: Level) -> Open:
    """What is open of a stored revision where it is to be signed for a level."""
    events = [event.data for event in store.events(record.chassis, record.letter)]
    set_down: str | None = ""
    if level.at_least(Level.WELD):
        set_down = _set_down(store, record)
    if level is not Level.FINAL:
        return Open(set_down, [], [])
    bolts = set(record.data.get("bolts", ()))
    return Open(
        set_down,
        not_logged("weld", record.welds(), events),
        not_logged("bolt", bolts, events),
    )


def _set_down(store: Archive, record: Record) -> str | None:
    """What is out or was not read at the set-down a revision keeps, by the job it keeps, and at one
    that lies beside the archive since.
    """
    from .revision_files import solved_again

    kept, typed = (
        None if own is None else store.content(own)
        for own in (record.file(AS_BUILT), record.file(TYPED))
    )
    if kept is None:
        return None
    said = not_down(kept) or not_down_now(kept, solved_again(store, record), typed)
    since = later(record.chassis, kept, (store.folder.absolute().parent, Path.cwd()))
    return ". ".join(filter(None, (said, since)))


def not_logged(
    kind: Literal["weld", "bolt"], numbers: set[str], events: Sequence[RecordFacts]
) -> list[str]:
    """Welds or bolts nobody logged, as ranges of numbers."""
    return ranges(numbers - {entry.what for entry in entries.rows(events) if entry.kind == kind})


def answered(store: Archive, record: Record) -> dict[Subject, str]:
    """What earlier signatures of a revision answered in words, by subject: what was open then."""
    found: dict[Subject, str] = {}
    for event in store.events(record.chassis, record.letter):
        found |= {Subject(row["subject"]): row["what"] for row in event.data.get("open", ())}
        if over := event.data.get("over"):  # as signatures were kept before each had its own words
            found[Subject.SET_DOWN] = over
    return found


def open_faults(wanting: Mapping[Subject, str], given: Reasons) -> list[Fault]:
    """A fault for each thing that wants words of its own and has none, and for words about what
    wants none.
    """
    faults = [
        Fault(
            f"--accept {subject}",
            "",
            f'--accept {subject}="why it may stay so"',
            ASKED[subject].format(what),
        )
        for subject, what in wanting.items()
        if subject not in given.of
    ]
    return faults + [
        Fault(f"--accept {subject}", why, "what is open", "nothing of it is open: leave it out")
        for subject, why in given.of.items()
        if subject in OF_LOGS and subject not in wanting
    ]


ASKED = {
    Subject.SET_DOWN: "{}. Move it, read what was not read and set it down again, or say why it"
    " may stay",
    Subject.WELDS: "not logged as laid and looked at: {}; log them with enter --weld, or say why"
    " the truck is final without them",
    Subject.BOLTS: "not logged as tightened: {}; log them with enter --bolt and --torque, or say"
    " why the truck is final without them",
}


def answers(wanting: Mapping[Subject, str], given: Reasons, signer: Signer) -> list[dict[str, str]]:
    """Rows for the record: what was open, and who said why it may stay so."""
    return [
        {
            "subject": subject.value,
            "what": what,
            "by": signer.by,
            "date": signer.date,
            "why": given.of[subject],
        }
        for subject, what in wanting.items()
    ]


def level_of(typed: str) -> tuple[Level, list[Fault]]:
    """The level somebody typed; tack and a fault for one that nobody signs for."""
    signed = list(Level)[1:]
    if typed in signed:
        return Level(typed), []
    return Level.TACK, [Fault("--level", typed, " | ".join(signed), "use one of these")]


def level_faults(level: Level, now: Level, open_now: Open, good: str, letter: str) -> list[Fault]:
    """A level that is signed already; weld where no set-down was recorded, or of a revision whose
    prints are void. ``good``: the letter whose prints are not.
    """
    if now.at_least(level):
        return [Fault("--level", level, f"more than {now}", "it is signed for that already")]
    if letter != good and level.at_least(Level.WELD):
        why = f"prints of {letter} are void since {good} was released: sign {good}"
        return [Fault("--level", level, "mock-up or tack", why)]
    if open_now.set_down is None:
        why = f"for this revision {not_down(None)}, then build and release again"
        return [Fault("--level", level, "mock-up or tack", why)]
    return []


def accepted_before(store: Archive, record: Record) -> list[dict[str, str]]:
    """What was signed for at the release and by every signature since."""
    found = list(record.data.get("accepted", ()))
    for event in store.events(record.chassis, record.letter):
        found += event.data.get("accepted", ())
    return found
