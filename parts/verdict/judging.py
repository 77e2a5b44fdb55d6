"""From everything that was worked out of a truck to its one verdict: readings, layout, sizes,
loads, fit, gaps and travel, each thing said once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ...layout import reader
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.setout import diagnoses, given_and_solved
from ...layout.setout.diagnosis import Diagnosis
from ...layout.setout.wording import inch
from ..model.numbering import numbered_bolts, numbered_welds
from ..model.verdict import Verdict
from ..strength.coverage import coverage
from ..truck.truck import families
from ..words import names
from ..words.numbers import worded
from .book import Book
from .findings import KINDS, Judged, Kind

if TYPE_CHECKING:
    from ...layout.travel import Travel
    from ..design.sizing import Check
    from ..placed.clearance import Gap
    from ..placed.fit import Misfit
    from ..strength.result import Strength
    from ..truck.truck import Truck

UNTOUCHED = "no load case is worked for it: held by shop rules only"
UNLAID = "no load case is worked for it: least leg and length only"


class Seen(NamedTuple):
    """What was looked at beside the truck itself.

    ``misfits``: of the placed parts; ``ends``: what ends the travel short of what was asked, by
    name; ``assumed``: lines or ``Assumed``; ``unlooked``: what could not be looked at.
    """

    gaps: Sequence[Gap] = ()
    misfits: Sequence[Misfit] = ()
    ends: Mapping[str, str] = {}
    travel: Travel | None = None
    assumed: Sequence[object] = ()
    unlooked: Sequence[str] = ()


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


def judge(job: Job, solved: Graph, truck: Truck, strength: Strength, seen: Seen) -> Judged:
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
    _not_made(book, truck)
    _checked(book, truck, strength)
    _loads(book, truck, strength)
    for d in found:
        if d.severity == "conflict":
            for part in _about(d, truck, solved):
                book.note("part", part, Verdict.CONFLICTS, d.sentence)
    _misfits(book, truck, seen.misfits)
    _gaps(book, truck, seen.gaps)
    _travel(book, seen)
    _assumed(book, truck, seen.assumed)
    _stands(book, truck)
    _twins(book, truck)
    wanted = {round(g.allowed, 3) for g in seen.gaps if g.verdict is Verdict.TIGHT}
    return Judged(book.findings(), inch(wanted.pop()) if len(wanted) == 1 else "")


def _readings(book: Book, job: Job) -> None:
    for k, r in job.readings.items():
        book.thing("reading", str(k), str(k))
        if r.assumed:
            book.note("reading", str(k), Verdict.ASSUMED, "shop default, nobody measured it")
    for name, word in job.words.items():
        if word and not name.startswith(("job.", "units.", "override.")):
            book.thing("reading", name, name)
    for k in job.owed:
        book.note("reading", str(k), Verdict.WAITS, "it is still needed")


def _layout(book: Book, job: Job, solved: Graph, found: Iterable[Diagnosis]) -> None:
    """Readings, results, and what does not fit in the layout, each conflict at the first thing it
    names.
    """
    _readings(book, job)
    said = set()
    for r in given_and_solved(solved):
        id_ = str(r.key)
        if ("reading", id_) not in book.notes:
            book.thing("result", id_, _title(solved, r.key))
            if r.role == "waiting":
                rests = ", ".join(map(str, r.rests_on))
                book.note("result", id_, Verdict.WAITS, f"waits for {rests}")
    for d in found:
        verdict = {"conflict": Verdict.CONFLICTS, "warning": Verdict.CONFIRM}.get(d.severity)
        id_ = str(d.keys[0])
        kind: Kind = next((k for k in KINDS if (k, id_) in book.notes), "result")
        said |= set(d.keys)
        if verdict is not None:
            book.note(
                kind, id_, verdict, f"{d.sentence} {d.cure}".strip(), _title(solved, d.keys[0])
            )
    for r in given_and_solved(solved):
        if r.role == "conflict" and r.key not in said:
            rests = ", ".join(map(str, r.rests_on))
            book.note("result", str(r.key), Verdict.CONFLICTS, f"no solution from {rests}", r.title)


def _title(solved: Graph, k: Key) -> str:
    """What a result is called, with its side."""
    side = {"L": ", left", "R": ", right"}.get(k.side, "")
    return f"{solved.title(k)}{side}" if solved.title(k) else str(k)


def _things(book: Book, truck: Truck) -> None:
    """Every part, weld and bolt there is."""
    titles = {m.code: m.title for m in truck.assembly.members}
    for p in truck.singles:
        book.thing("part", p.id, p.member.title)
    for n, w in numbered_welds(truck.assembly).items():
        both = " to ".join(names.called(titles.get(c, ""), c) for c in (w.on, w.to))
        book.thing("weld", w.id, f"{n}, {both}")
    for n, b in numbered_bolts(truck.assembly).items():
        book.thing(
            "bolt", b.id, f"{n}, {b.size} through {' and '.join(map(names.part, b.through))}"
        )


def _not_made(book: Book, truck: Truck) -> None:
    """Families of a side that wait, failed, or stand on one that does."""
    for who, keys in truck.waiting.items():
        _family(book, who, Verdict.WAITS, f"waits for {', '.join(map(str, keys))}")
    for who, why in truck.failed.items():
        _family(book, who, Verdict.FAILS, why)
    for who, cause in truck.behind.items():
        _family(book, who, Verdict.WAITS, f"stands on {cause}, which cannot be made")


def _family(book: Book, who: str, verdict: Verdict, why: str) -> None:
    title, _, code = who.rpartition(" ")
    book.note("part", code, verdict, why, title)


def row_words(c: Check) -> str:
    """What a row of sizes or loads says of its part: what was looked at, the share used, the case
    that governs, and why a row within its limit still wants a look.
    """
    used = "nothing is allowed" if c.capacity <= 0 else f"{c.utilisation:.2f} of what is allowed"
    case = f" in {c.case}" if c.case and c.capacity > 0 else ""
    if c.verdict is Verdict.CONFIRM:
        why = "on a value whose source is unverified" if c.must else "which is advice only"
        return f"{worded(c.what)}: {used}{case}, {why}"
    return f"{worded(c.what)}: {used}{case}"


def _checked(book: Book, truck: Truck, strength: Strength) -> None:
    """Rows of sizes and loads at the part, bolt or weld they are about; a row of a whole family at
    its first part.
    """
    held = {(part, says): ids for part, says, ids in strength.welded}
    through = {b.id: b.through for b in truck.assembly.bolts}
    made = {p.id for p in truck.singles}
    for c in (*truck.checks, *strength.checks):
        if c.verdict is Verdict.OK:
            continue
        why = row_words(c)
        if c.verdict is Verdict.FAILS:
            why += f". {strength.ways.get(c.part, 'A larger size or another place is needed')}"
        if ("bolt", c.part) in book.notes:
            book.note("bolt", c.part, c.verdict, why)
            if c.verdict is Verdict.FAILS:
                for code in made & set(through[c.part]):
                    book.note("part", code, c.verdict, f"its bolt fails, {why}")
            continue
        known = c.part in made or ("part", c.part) in book.notes
        part = c.part if known else _first(truck, c.part)
        book.note("part" if part else "truck", part or c.part, c.verdict, why)
        for weld in held.get((c.part, c.what.removeprefix("steel beside the ")), ()):
            book.note("weld", weld, c.verdict, why)


def _first(truck: Truck, family: str) -> str:
    """The first made part of a family and side such as "AB.L"; empty if there is none."""
    code, _, side = family.partition(".")
    mine = [
        p.id
        for p in truck.singles
        if p.id.partition(".")[0].rstrip("0123456789") == code and p.id.endswith(f".{side}")
    ]
    return min(mine, key=lambda i: (len(i), i), default="")


def _loads(book: Book, truck: Truck, strength: Strength) -> None:
    """Parts, welds and bolts no load case has touched.

    While the loads wait, that is every part but the tools, and none of them is cut.
    """
    parts = [p for p in truck.singles if p.member.fixed_after != "tool"]
    if strength.waits:
        keys = ", ".join(map(str, strength.waits))
        book.note("truck", "strength", Verdict.WAITS, f"waits for {keys}", "strength")
        for p in parts:
            book.note("part", p.id, Verdict.WAITS, f"no load case has touched it: waits for {keys}")
        return
    known = coverage(truck, strength)
    things: tuple[tuple[Kind, Iterable[str], str], ...] = (
        ("part", (part.id for part in parts), UNTOUCHED),
        ("weld", (weld.id for weld in truck.assembly.welds), UNLAID),
        ("bolt", (bolt.id for bolt in truck.assembly.bolts), UNTOUCHED),
    )
    for kind, ids, untouched in things:
        for name in ids:
            why = known.unlooked(name, untouched)
            if why and (kind, name) in book.notes:
                book.note(kind, name, Verdict.NOT_LOOKED_AT, why)


def _about(d: Diagnosis, truck: Truck, solved: Graph) -> list[str]:
    """Parts a conflict is about, on its side where it has one.

    Those of the families that name it, else those that read what it names or what follows.
    """
    side = d.keys[0].side
    mine = [p.id for p in truck.singles if side == "C" or p.id[-1] in (side, "C")]
    codes = {d.code, f"{d.code}:{d.keys[0].name.partition('.')[0]}"}
    said = {name for name, family in families() if codes & set(family.about)}
    if said:
        return [i for i in mine if truck.made_by.get(i) in said]
    first = d.keys[0]
    follows = {k for k in solved.equations if first in solved.rests_on(k)} | {first}
    return [i for i in mine if truck.reads.get(i, frozenset()) & follows]


def _misfits(book: Book, truck: Truck, misfits: Sequence[Misfit]) -> None:
    made = {p.id for p in truck.singles}
    through = {b.id: b.through for b in truck.assembly.bolts}
    unmade = bool(truck.waiting or truck.failed or truck.behind)
    for m in misfits:
        verdict = Verdict.WAITS if m.kind == "absent" and unmade else Verdict.FAILS
        things = [(k, i) for i in m.of for k in ("weld", "bolt") if (k, i) in book.notes]
        for kind, id_ in things:
            book.note(kind, id_, verdict, str(m))  # type: ignore[arg-type]
        codes = {c for i in m.of for c in (i, *through.get(i, ()))} & made
        if verdict is Verdict.FAILS:
            for code in codes:
                book.note("part", code, verdict, str(m))
            if not codes and not things:
                book.note("truck", str(m), verdict, m.what, f"placed parts, {m.kind}")


def pair_words(g: Gap) -> str:
    """A pair's gap in words: how far apart at which position, in the reader's units, and what is
    needed; of a pair that touches how deep, or that nobody can tell.
    """
    if g.verdict is Verdict.TOUCHES:
        if g.gap < 0:
            return f"run into each other by {reader.length(-g.gap)} at {g.place}"
        return (
            f"{reader.length(g.gap)} apart at {g.place}, which nobody can tell from touching:"
            f" ± {reader.length(g.plus_minus)}"
        )
    return f"{reader.length(g.gap)} at {g.place}, {inch(g.allowed)} needed"


def _gaps(book: Book, truck: Truck, gaps: Sequence[Gap]) -> None:
    """Every pair; what was made here and touches is not for cutting."""
    made = {p.id for p in truck.singles}
    for g in gaps:
        one, two = (names.called(t, c) for t, c in zip(g.titles, (g.one, g.two), strict=True))
        title = f"{one} to {two}"
        id_ = f"{g.one} {g.two}"
        book.thing("pair", id_, title)
        if g.verdict is Verdict.OK:
            continue
        book.note("pair", id_, g.verdict, pair_words(g))
        if g.verdict is Verdict.TOUCHES:
            both = ((g.one, g.titles[1], g.two), (g.two, g.titles[0], g.one))
            for code, title, other in both:
                if code in made:
                    why = f"it and {names.called(title, other)} {pair_words(g)}"
                    book.note("part", code, Verdict.TOUCHES, why)


def _travel(book: Book, seen: Seen) -> None:
    """Travel that waits, finds no rest, or ends short of what was asked; what could not be looked
    at.
    """
    t = seen.travel
    for name, keys in t.waits.items() if t is not None else ():
        why = f"waits for {', '.join(map(str, keys))}"
        book.note("truck", f"travel {name}", Verdict.WAITS, why, f"travel, {name}")
    for place, why in t.lost.items() if t is not None else ():
        book.note("truck", f"rest {place}", Verdict.CONFLICTS, why, f"no rest at {place}")
    for name, words in seen.ends.items():
        book.note("truck", name, Verdict.FAILS, words, name)
    for words in seen.unlooked:
        book.note("truck", words, Verdict.NOT_LOOKED_AT, "", words)


def _assumed(book: Book, truck: Truck, assumed: Sequence[object]) -> None:
    for a in assumed:
        words = str(a).removeprefix("ASSUMED: ")
        reading = getattr(a, "instead", "")
        if any(v is Verdict.ASSUMED for v, _ in book.notes.get(("reading", reading), ())):
            # counted there, as `readings` and `solve` count it
            book.note("reading", reading, Verdict.ASSUMED, words)
        else:
            book.note("truck", words, Verdict.ASSUMED, "", words)
        touched: frozenset[str] = getattr(a, "parts", frozenset())
        for p in truck.singles:
            if p.id.partition(".")[0].rstrip("0123456789") in touched:
                book.note("part", p.id, Verdict.ASSUMED, words)


def _stands(book: Book, truck: Truck) -> None:
    """What stands on a part that fails waits for it: it moves, or is drilled anew, when that one is
    made larger.
    """
    from ..truck.truck import families

    every = dict(families())
    failed = [
        p for p in truck.singles if book.of("part", p.id) is Verdict.FAILS and p.id in truck.made_by
    ]
    for first in failed:
        lost = {truck.made_by[first.id]}
        grown = True
        while grown:
            gives = {g for n in lost for g in every[n].gives}
            more = {n for n, f in every.items() if set(f.needs) & gives} | lost
            grown, lost = more != lost, more
        side = first.id[-1]
        for p in truck.singles:
            own = truck.made_by.get(p.id)
            if own in lost - {truck.made_by[first.id]} and {side, p.id[-1]} != {"L", "R"}:
                why = f"stands on {first.member.title} {first.id}, which fails"
                book.note("part", p.id, Verdict.WAITS, why)


def _twins(book: Book, truck: Truck) -> None:
    """Places whose part is one cut file: what bars one bars them all."""
    for p in truck.parts:
        judged = {i: book.of("part", i) for i in p.places if ("part", i) in book.notes}
        for one in judged:
            for other, v in judged.items():
                if v.bars and v.rank < book.of("part", one).rank:
                    why = next(w for x, w in book.notes["part", other] if x is v)
                    book.note("part", one, v, f"the same plate as {other}: {why}")
