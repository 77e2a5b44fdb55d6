"""From everything that was worked out of a truck to its one verdict: readings, layout, sizes,
loads, fit, gaps and travel, each thing said once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ...layout import reader
from ...layout.assumed import Assumed
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.setout import diagnoses, given_and_solved
from ...layout.setout.diagnosis import Diagnosis
from ...layout.setout.wording import inch
from ..model.codes import side_of
from ..model.numbering import numbered_bolts, numbered_welds
from ..model.terms import Role
from ..model.verdict import Verdict
from ..strength.coverage import coverage
from ..truck.roles import does
from ..truck.truck import families
from ..words import names
from .book import Book
from .findings import KINDS, FindingKind, Judged
from .following import stands, twins
from .rows import row_words, way_words

if TYPE_CHECKING:
    from ...layout.travel import Travel
    from ..placed.clearance import Gap
    from ..placed.fit import Misfit
    from ..strength.result import Strength
    from ..truck.truck import Truck

BESIDE_PARTS = "the rest of the layout and its checks"
"""What waits for the readings that are owed and that no part named."""
UNTOUCHED = "no load case is worked for it: held by shop rules only"
FIRST = (
    "its outline does not hang on the loads, the size of its bolts may: cut it, but drill neither"
    " it nor the frame by it before the loads are known"
)
UNLAID = "no load case is worked for it: least leg and length only"


WELD_OR_BOLT: tuple[FindingKind, ...] = ("weld", "bolt")


class LookedAt(NamedTuple):
    """What was looked at beside the truck itself.

    ``misfits``: of the placed parts; ``ends``: what ends the travel short of what was asked, by
    name; ``assumed``: lines or ``Assumed``; ``unlooked``: what could not be looked at; ``instead``:
    for what cannot be made, the sentence that says with what it can.
    """

    gaps: Sequence[Gap] = ()
    misfits: Sequence[Misfit] = ()
    ends: Mapping[str, str] = {}
    travel: Travel | None = None
    assumed: Sequence[object] = ()
    unlooked: Sequence[str] = ()
    instead: Mapping[str, str] = {}


def judge_layout(job: Job, solved: Graph) -> Judged:
    """What is said of readings, results and the layout's conflicts where no truck is designed."""
    book = Book()
    _layout(book, job, solved, diagnoses.diagnose(job, solved))
    return Judged(book.findings(), whole=False)


def judge_readings(job: Job) -> Judged:
    """What is said of the readings alone, before anything is solved: given, assumed, owed."""
    book = Book()
    _readings(book, job)
    return Judged(book.findings(), whole=False)


def judge(job: Job, solved: Graph, truck: Truck, strength: Strength, seen: LookedAt) -> Judged:
    """The one verdict of a designed truck: of every reading, result, part, weld, bolt and pair, and
    of what could not be looked at.

    ``seen``: what was found of the placed truck and its travel. Of several things said of one part
    the worst is its verdict. What a conflict is about, and the other hand of what is not for
    cutting, is not for cutting either.
    """
    book = Book(names.numbers(truck.assembly))
    found = diagnoses.diagnose(job, solved)
    _layout(book, job, solved, found)
    _things(book, truck)
    _not_made(book, truck, seen.instead)
    _checked(book, truck, strength)
    _loads(book, truck, strength)
    for diagnosis in found:
        if diagnosis.severity == "conflict":
            for part in _about(diagnosis, truck, solved):
                book.note("part", part, Verdict.CONFLICTS, diagnosis.sentence)
    _misfits(book, truck, seen.misfits)
    _gaps(book, truck, seen.gaps)
    _travel(book, seen)
    _assumed(book, truck, seen.assumed)
    stands(book, truck)
    twins(book, truck)
    wanted = {round(gap.allowed, 3) for gap in seen.gaps if gap.verdict is Verdict.TIGHT}
    return Judged(book.findings(), inch(wanted.pop()) if len(wanted) == 1 else "")


def _readings(book: Book, job: Job) -> None:
    for key, value in job.readings.items():
        book.thing("reading", str(key), str(key))
        if value.assumed:
            book.note("reading", str(key), Verdict.ASSUMED, "shop default, nobody measured it")
    for name, word in job.words.items():
        if word and not name.startswith(("job.", "units.", "override.")):
            book.thing("reading", name, name)
    for key in job.owed:
        book.note("reading", str(key), Verdict.WAITS, "it is still needed")


def _layout(book: Book, job: Job, solved: Graph, found: Iterable[Diagnosis]) -> None:
    """Readings, results, and what does not fit in the layout, each conflict at the first thing it
    names.
    """
    _readings(book, job)
    said = set()
    for row in given_and_solved(solved):
        id_ = str(row.key)
        if ("reading", id_) not in book.notes:
            book.thing("result", id_, _title(solved, row.key))
            if row.role == "waiting":
                rests = ", ".join(map(str, row.rests_on))
                book.note("result", id_, Verdict.WAITS, f"waits for {rests}")
    for diagnosis in found:
        verdict = {"conflict": Verdict.CONFLICTS, "warning": Verdict.CONFIRM}.get(
            diagnosis.severity
        )
        id_ = str(diagnosis.keys[0])
        kind: FindingKind = next((each for each in KINDS if (each, id_) in book.notes), "result")
        said |= set(diagnosis.keys)
        if verdict is not None:
            book.note(
                kind,
                id_,
                verdict,
                f"{diagnosis.sentence} {diagnosis.cure}".strip(),
                _title(solved, diagnosis.keys[0]),
            )
    for row in given_and_solved(solved):
        if row.role == "conflict" and row.key not in said:
            rests = ", ".join(map(str, row.rests_on))
            book.note(
                "result", str(row.key), Verdict.CONFLICTS, f"no solution from {rests}", row.title
            )


def _title(solved: Graph, key: Key) -> str:
    """What a result is called, with its side."""
    side = {"L": ", left", "R": ", right"}.get(key.side, "")
    return f"{solved.title(key)}{side}" if solved.title(key) else str(key)


def _things(book: Book, truck: Truck) -> None:
    """Every part, weld and bolt there is."""
    titles = {member.code: member.title for member in truck.assembly.members}
    for part in truck.singles:
        book.thing("part", part.id, part.member.title)
    for number, weld in numbered_welds(truck.assembly).items():
        both = " to ".join(names.called(titles.get(code, ""), code) for code in (weld.on, weld.to))
        book.thing("weld", weld.id, f"{number}, {both}")
    for number, bolt in numbered_bolts(truck.assembly).items():
        book.thing(
            "bolt",
            bolt.id,
            f"{number}, {bolt.size} through {' and '.join(map(names.part, bolt.through))}",
        )


def _not_made(book: Book, truck: Truck, instead: Mapping[str, str]) -> None:
    """Families of a side that wait, failed, or stand on one that does."""
    for who, keys in truck.waiting.items():
        why = f"waits for {', '.join(map(str, keys))}"
        if who == BESIDE_PARTS:
            book.note("truck", who, Verdict.WAITS, why, who)
        else:
            _family(book, who, Verdict.WAITS, why)
    for who, why in truck.failed.items():
        way = instead.get(who, "")
        _family(book, who, Verdict.FAILS, f"{why}. {way}" if way else why)
    for who, cause in truck.behind.items():
        _family(book, who, Verdict.WAITS, f"stands on {cause}, which cannot be made")


def _family(book: Book, who: str, verdict: Verdict, why: str) -> None:
    title, _, code = who.rpartition(" ")
    book.note("part", code, verdict, why, title)


def _checked(book: Book, truck: Truck, strength: Strength) -> None:
    """Rows of sizes and loads at the part, bolt or weld they are about; a row of a whole family at
    its first part.
    """
    held = {(part, says): ids for part, says, ids in strength.welded}
    through = {bolt.id: bolt.through for bolt in truck.assembly.bolts}
    made = {each.id for each in truck.singles}
    rows = (*truck.checks, *strength.checks)
    last = {check.part: check for check in rows if check.verdict is Verdict.FAILS}
    for check in rows:
        if check.verdict is Verdict.OK:
            continue
        why = row_words(check)
        if check.verdict is Verdict.FAILS:
            why += way_words(check, strength, check is last[check.part])
        elif check.part not in strength.fails and check.part in strength.ways:
            why += f"; {strength.ways[check.part]}"
        if ("bolt", check.part) in book.notes:
            book.note("bolt", check.part, check.verdict, why)
            if check.verdict is Verdict.FAILS:
                for code in made & set(through[check.part]):
                    book.note("part", code, check.verdict, f"its bolt fails, {why}")
            continue
        known = check.part in made or ("part", check.part) in book.notes
        part = check.part if known else _first(truck, check.part)
        book.note("part" if part else "truck", part or check.part, check.verdict, why)
        for weld in held.get((check.part, check.what.removeprefix("steel beside the ")), ()):
            book.note("weld", weld, check.verdict, why)


def _first(truck: Truck, family: str) -> str:
    """The first made part of a family and side such as "AB.L"; empty if there is none."""
    code, _, side = family.partition(".")
    mine = [
        part.id
        for part in truck.singles
        if part.member.family == code and part.id.endswith(f".{side}")
    ]
    return min(mine, key=lambda mark: (len(mark), mark), default="")


def _loads(book: Book, truck: Truck, strength: Strength) -> None:
    """Parts, welds and bolts no load case has touched.

    While the loads wait, that is every part but the tools, and of them only those are cut whose
    outline does not hang on the loads.
    """
    parts = [single for single in truck.singles if single.member.fixed_after != "tool"]
    if strength.waits:
        for single in truck.singles:
            if does(Role.FIRST_CUT, single.id, single.member.family):
                book.note("part", single.id, Verdict.NOT_LOOKED_AT, FIRST)
        keys = ", ".join(map(str, strength.waits))
        book.note("truck", "strength", Verdict.WAITS, f"waits for {keys}", "strength")
        for single in parts:
            if not does(Role.FIRST_CUT, single.id, single.member.family):
                why = f"no load case has touched it: waits for {keys}"
                book.note("part", single.id, Verdict.WAITS, why)
        return
    for part, owed in strength.waiting.items():
        keys = ", ".join(map(str, owed))
        book.note("part", part, Verdict.WAITS, f"what it is held with waits for {keys}")
    known = coverage(truck, strength)
    things: tuple[tuple[FindingKind, Iterable[str], str], ...] = (
        ("part", (part.id for part in parts), UNTOUCHED),
        ("weld", (weld.id for weld in truck.assembly.welds), UNLAID),
        ("bolt", (bolt.id for bolt in truck.assembly.bolts), UNTOUCHED),
    )
    for kind, ids, untouched in things:
        for name in ids:
            why = known.unlooked(name, untouched)
            if why and (kind, name) in book.notes:
                book.note(kind, name, Verdict.NOT_LOOKED_AT, why)


def _about(diagnosis: Diagnosis, truck: Truck, solved: Graph) -> list[str]:
    """Parts a conflict is about, on its side where it has one.

    Those of the families that name it, else those that read what it names or what follows.
    """
    side = diagnosis.keys[0].side
    mine = [part.id for part in truck.singles if side == "C" or side_of(part.id) in (side, "C")]
    codes = {diagnosis.code, f"{diagnosis.code}:{diagnosis.keys[0].name.partition('.')[0]}"}
    said = {name for name, family in families() if codes & set(family.about)}
    if said:
        return [code for code in mine if truck.made_by.get(code) in said]
    first = diagnosis.keys[0]
    follows = {equation for equation in solved.equations if first in solved.rests_on(equation)} | {
        first
    }
    return [code for code in mine if truck.reads.get(code, frozenset()) & follows]


def _misfits(book: Book, truck: Truck, misfits: Sequence[Misfit]) -> None:
    made = {part.id for part in truck.singles}
    through = {bolt.id: bolt.through for bolt in truck.assembly.bolts}
    unmade = bool(truck.waiting or truck.failed or truck.behind)
    for misfit in misfits:
        verdict = Verdict.WAITS if misfit.kind == "absent" and unmade else Verdict.FAILS
        things = [
            (sort, end) for end in misfit.of for sort in WELD_OR_BOLT if (sort, end) in book.notes
        ]
        for kind, id_ in things:
            book.note(kind, id_, verdict, str(misfit))
        codes = {owner for end in misfit.of for owner in (end, *through.get(end, ()))} & made
        if verdict is Verdict.FAILS:
            for code in codes:
                book.note("part", code, verdict, str(misfit))
            if not codes and not things:
                book.note(
                    "truck", str(misfit), verdict, misfit.what, f"placed parts, {misfit.kind}"
                )


def pair_words(gap: Gap) -> str:
    """A pair's gap in words: how far apart at which position, in the reader's units, and what is
    needed; of a pair that touches how deep, or that nobody can tell.
    """
    if gap.verdict is Verdict.TOUCHES:
        if gap.gap < 0:
            return f"run into each other by {reader.length(-gap.gap)} at {gap.place}"
        return (
            f"{reader.length(gap.gap)} apart at {gap.place}, which nobody can tell from touching:"
            f" ± {reader.length(gap.plus_minus)}"
        )
    return f"{gap.told} at {gap.place}, {inch(gap.allowed)} needed"


def _gaps(book: Book, truck: Truck, gaps: Sequence[Gap]) -> None:
    """Every pair; what was made here and touches is not for cutting."""
    made = {part.id for part in truck.singles}
    for gap in gaps:
        one, two = (
            names.called(name, own)
            for name, own in zip(gap.titles, (gap.one, gap.two), strict=True)
        )
        title = f"{one} to {two}"
        id_ = f"{gap.one} {gap.two}"
        book.thing("pair", id_, title)
        if gap.verdict is Verdict.OK:
            continue
        book.note("pair", id_, gap.verdict, pair_words(gap))
        if gap.verdict is Verdict.TOUCHES:
            both = ((gap.one, gap.titles[1], gap.two), (gap.two, gap.titles[0], gap.one))
            for code, title, other in both:
                if code in made:
                    why = f"it and {names.called(title, other)} {pair_words(gap)}"
                    book.note("part", code, Verdict.TOUCHES, why)


def _travel(book: Book, seen: LookedAt) -> None:
    """Travel that waits, finds no rest, or ends short of what was asked; what could not be looked
    at.
    """
    travel = seen.travel
    for name, keys in travel.waits.items() if travel is not None else ():
        why = f"waits for {', '.join(map(str, keys))}"
        book.note("truck", f"travel {name}", Verdict.WAITS, why, f"travel, {name}")
    for place, why in travel.lost.items() if travel is not None else ():
        book.note("truck", f"rest {place}", Verdict.CONFLICTS, why, f"no rest at {place}")
    for name, words in seen.ends.items():
        book.note("truck", name, Verdict.FAILS, words, name)
    for words in seen.unlooked:
        book.note("truck", words, Verdict.NOT_LOOKED_AT, "", words)


def _assumed(book: Book, truck: Truck, assumed: Sequence[object]) -> None:
    for assumption in assumed:
        words = str(assumption).removeprefix("ASSUMED: ")
        reading = getattr(assumption, "instead", "")
        if any(
            verdict is Verdict.ASSUMED for verdict, _ in book.notes.get(("reading", reading), ())
        ):
            # counted there, as `readings` and `solve` count it
            taken = assumption.taken if isinstance(assumption, Assumed) else words
            book.note("reading", reading, Verdict.ASSUMED, taken)
        else:
            book.note("truck", words, Verdict.ASSUMED, "", words)
        touched: frozenset[str] = getattr(assumption, "parts", frozenset())
        for part in truck.singles:
            if part.member.family in touched:
                book.note("part", part.id, Verdict.ASSUMED, words)
