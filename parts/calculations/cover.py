"""Cover and how to read: what this is, of which job and revision, who may sign where, contents."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ...layout.reader import metric
from ..drawing.display import PAGE, wrap
from ..drawing.pages import INNER
from ..drawing.sheet import MARGIN
from ..model.verdict import Verdict
from ..strength.result import Strength
from . import figures
from .paper import LEFT, LINE, SIZE, Column, Paper
from .rows import SEEN, Wording

SIGNED = (
    "Reviewed by (name, license number, where licensed)",
    "Scope and limits of the review",
    "Signature and seal",
    "Date",
)
SHORT = 16
"""Characters of the job file's fingerprint that are printed."""
BOX = 26.0


class Issued(NamedTuple):
    """What the calculations are of and for.

    ``shop``: its name; ``says``: level as every page has it; ``revision``: letter, empty for a
    draft; ``fingerprint``: SHA-256 of the job file.
    """

    chassis: str
    date: str
    shop: str
    says: str
    revision: str
    fingerprint: str


def write(pages: Paper, issued: Issued, found: Strength, say: Wording) -> None:
    """The cover but for its contents, which ``contents`` adds when every page is there."""
    pages.chapter("for whoever signs")
    for what, told in (
        ("Chassis", issued.chassis),
        ("Shop", issued.shop or "not named"),
        ("Date of the job", issued.date or "not given"),
        ("Revision", issued.revision or "none: a draft"),
        ("Level", issued.says),
        ("Job file, SHA-256 begins", issued.fingerprint[:SHORT] or "not from a file"),
    ):
        pages.sheets[-1].text(LEFT, pages.y, what, 9)
        pages.sheets[-1].text(LEFT + 150, pages.y, told, 9, bold=True)
        pages.y -= 13
    pages.space()
    for words in _says(found, say):
        pages.line(words)
    pages.space()
    _signatures(pages)


def _says(found: Strength, say: Wording) -> Sequence[str]:
    worst = found.checks[0] if found.checks else None
    fails = [check for check in found.checks if check.verdict is Verdict.FAILS]
    unsure = [check for check in found.checks if check.verdict is Verdict.CONFIRM]
    least = (
        f"Most used: {say(worst.part)}: {say(worst.what)}, {worst.utilisation:.2f} of what is"
        f" allowed, {worst.case}."
        if worst
        else "No row was worked."
    )
    return (
        "Nothing here is an approval. The forces, rows and lists are a computation from the"
        " readings of one truck; whether it is right, enough and lawful is for whoever signs, under"
        " the law of the place. Left out altogether: knuckles, steering, brakes, and what the list"
        " of what is not held names.",
        least,
        f"{len(found.checks)} rows under load, {len(fails)} of them fail, {len(unsure)} are to"
        " confirm: past what is only advised, or met with more than 0.8 used on a value whose"
        " source is unverified.",
    )


def _signatures(pages: Paper) -> None:
    """The blanks; a signature is for the revision and the fingerprint above alone."""
    pages.heading("Signature, for the revision and the job file named above only")
    sheet = pages.sheets[-1]
    for what in SIGNED:
        pages.y -= BOX
        sheet.box(LEFT, pages.y, INNER - 16, BOX, kind="narrow")
        sheet.text(LEFT + 4, pages.y + BOX - 9, what, SIZE)
    pages.space(LINE * 2)


def contents(pages: Paper) -> None:
    """Chapters with their pages, at the foot of the cover."""
    sheet, y = pages.sheets[0], MARGIN + 26 + LINE * ((len(pages.chapters) + 1) // 2)
    sheet.text(LEFT, y + LINE, "Contents", 8.5, bold=True)
    half = (len(pages.chapters) + 1) // 2
    for place, chapter in enumerate(pages.chapters):
        x = LEFT if place < half else PAGE[0] / 2
        down = y - LINE * (place % half)
        sheet.text(x, down, chapter.title, SIZE)
        sheet.text(x + 200, down, f"page {chapter.first + 1}", SIZE)


def _told() -> list[tuple[str, str]]:
    """What a reader of the rows has to know, by its heading."""
    units = "N, mm, MPa (N/mm2), N*mm" if metric() else "kip (1000 lbf), in, ksi, kip*in"
    return [
        (
            "Units",
            f"{units}. No formula needs a conversion. Readings stand as the shop reads them.",
        ),
        (
            "Axes",
            "Truck axes: x ahead, y to the left, z up. x = 0 is the plumb line of the axle's center"
            " with the axle at full bump, y = 0 the center plane, z = 0 the floor with the frame at"
            " ride height.",
        ),
        (
            "Formulas",
            "This <= that, or this >= that, then definitions after semicolons, each in letters"
            " known or defined after it. Numbers and letters side by side are multiplied, before"
            " and after a / from left to right; ^ is a power; |x| the size of x; a if b else c is a"
            " where b holds, otherwise c. Demand is what must be carried or be there, capacity what"
            " is allowed or there: used is demand over capacity.",
        ),
        (
            "Digits",
            f"Numbers put in have {figures.IN_ROWS} digits that count, demand and capacity"
            f" {figures.OF_RESULTS}; a row reworked from its own line agrees to one in the last of"
            " them.",
        ),
        (
            "Rows",
            "One a clause and place, the case that governs it, numbered through. Rows at least half"
            " used have lines of their own, those less used one line each after them. Other side"
            " equal: left and right agree in every number to one in a thousand, the more used"
            " stands here, its case is that of its own side. Ok, fails; confirm: no pass on its"
            " own, have it confirmed.",
        ),
        (
            "Sources",
            "; ".join(dict.fromkeys(SEEN.values()))
            + ": how the value or clause was seen by whoever wrote it down.",
        ),
        (
            "Forces",
            "Axle, both arms and both upper arms are bodies on four linear bushings; arms bend; the"
            " track bar is a bar; coils push, bump stops and limiters act one way. Linear at ride"
            " height: at large roll the forces are an estimate. Wheel and axle inertia is left out"
            " (safe side).",
        ),
    ]


def how_to_read(pages: Paper) -> None:
    """Axes, units, signs, formulas, words."""
    pages.chapter("how to read this")
    wide = (Column("", 70), Column("", INNER - 100))
    for what, words in _told():
        rows = wrap(words, SIZE, wide[1].wide)
        pages.room(LINE * len(rows))
        pages.sheets[-1].text(LEFT, pages.y, what, SIZE, bold=True)
        for row in rows:
            pages.sheets[-1].text(LEFT + wide[0].wide, pages.y, row, SIZE)
            pages.y -= LINE
        pages.space()
