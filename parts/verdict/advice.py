"""What to do where two bodies come too close.

Steering, knuckles, axle, arms, springs, shocks, shaft, brakes, track bar and wheels are a closed
list that nobody cuts: only an edge of a plate the tool made is ever trimmed, only what the shop
listed is ever moved, and the frame rail is notched only where the job's notch readings say so.
Everything else is a choice or a reading, and the truck is built again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.setout.wording import inch
from ..model.codes import across
from ..model.terms import Role
from ..model.verdict import Verdict
from ..placed.clearance import Gap
from ..stock import Shop
from ..truck.roles import codes
from ..truck.truck import Truck
from ..words import numbers as shown
from ..words.names import called, part
from .give_way import Giving, Less, Trim, made


class WayOut(NamedTuple):
    """One way out.

    ``what``: the member trimmed, the obstacle moved, or "bump", "droop", "lock", "choice".
    """

    kind: Literal["trim", "move", "less", "choose"]
    what: str
    says: str


class TooClose(NamedTuple):
    """What comes too close, where, and the ways out, best first."""

    gap: Gap
    where: str
    cures: tuple[WayOut, ...]

    def __str__(self) -> str:
        """As sheets and screen print it."""
        return " ".join((self.where, *(cure.says for cure in self.cures)))


CHOICES: dict[str, str] = {
    "drag_link": "the heights of the drag link's balls",
    "tie_rod": "the tie rod's place on the knuckles, as its maker offers it",
    "tire": "a smaller or narrower tire, or a wheel that stands further out",
    "coil": "the place of the spring seats, or a spring of another diameter",
    "shock": "the shock mounts' places",
    "shaft": "a shaft of smaller diameter, or the transfer case's place",
    "bar": "the track bar's mounts: the frame mount sideways, the axle mount's height",
    "arm": "the frame joints' place, or the arms' mounts on the axle",
    "upper": "the upper arms' mounts on the axle, or their joints on the arms",
    "axle": "the mounts' places on the axle",
    "rail": "the rail's notch readings, if the rail has a notch or is to get one",
    "made": "the place or size of {title} {code} (its readings, or a pinned size)",
}
CAREFUL = ("steer", "brake", "fuel", "line", "hose", "tank", "airbag", "belt")


def base(name: str, rides: str) -> str:
    """What a body is to the advice, a key of ``CHOICES``: "bar", "arm", "upper", "shock", "rail",
    "axle", or "made" for what the tool makes.

    ``name``: the body's; ``rides``: what it moves with.
    """
    head = name.partition(".")[0]
    if head in CHOICES:
        return head
    if rides == "bar":
        return "bar"
    for start, word in (("arm", "arm"), ("upper", "upper")):
        if rides.startswith(start):
            return word
    if head in (*codes(Role.SHOCK), *codes(Role.SHOCK_EYE)):
        return "shock"
    if head == "rail1":
        return "rail"
    return "axle" if head in ("axle", "diff") else "made"


def advise(
    gaps: Iterable[Gap], job: Job, solved: Graph, truck: Truck, shop: Shop
) -> tuple[TooClose, ...]:
    """For every pair that hits or is too tight, what may give way; each way out is tried against
    everything else first.
    """
    bad = {(gap.one, gap.two): gap for gap in gaps if gap.verdict is not Verdict.OK}
    if not bad:
        return ()
    at = Giving(truck, job, solved, shop)
    return tuple(
        TooClose(gap, _where(gap, bad, solved), tuple(cures(gap, at))) for gap in bad.values()
    )


def cures(gap: Gap, at: Giving) -> Iterable[WayOut]:
    """Ways out of one pair: obstacles, edges of made plates, less travel or lock, and what else
    could be chosen.
    """
    sure = False
    for name in (gap.one, gap.two):
        if name in at.obstacles:
            yield _moved(name, at)
            sure = True
    for name, other in ((gap.one, gap.two), (gap.two, gap.one)):
        if made(at.members, name, at.rides(name)):
            trim = at.trim(name, other, gap.needed)
            if trim is not None:
                yield WayOut("trim", name, _trim_words(trim, at))
                sure = True
    less = at.less(gap)
    if less is not None:
        yield WayOut("less", less.what, _less_words(less, first=not sure))
    yield WayOut("choose", "choice", _choice_words(gap, at, first=not sure and less is None))


def _moved(name: str, at: Giving) -> WayOut:
    shift = at.shift(name)
    careful = (
        " (only as its maker allows, by whoever answers for it)"
        if any(word in name.lower() for word in CAREFUL)
        else ""
    )
    if shift is None:
        return WayOut(
            "move",
            name,
            f"Shield {name}{careful}: no move of up to {shown.room(2 * units.IN)} leaves it clear"
            " of everything else.",
        )
    return WayOut(
        "move",
        name,
        f"Move {name} {inch(shift.by)} {shift.way}{careful}, or shield it: there it is clear of"
        " everything else.",
    )


def _trim_words(trim: Trim, at: Giving) -> str:
    return (
        f"Trim plate {part(trim.code)} ({at.members[trim.code].title}) at its {trim.edge} edge,"
        f" {inch(trim.depth)} deep over {inch(trim.length)}: clear of its holes and welds, and"
        " nothing comes closer by it. Strength was held on the plate as drawn: whoever signs looks"
        " at the trimmed one."
    )


def _less_words(x: Less, first: bool) -> str:
    how = {
        "bump": "a bump-stop spacer {by} longer, {left} of bump left",
        "droop": "a limit strap {by} shorter, {left} of droop left",
        "lock": "steering stops set {by} earlier, {left} of lock left",
    }[x.what]
    show = (lambda angle: f"{math.degrees(angle):.0f} deg") if x.what == "lock" else inch
    return f"{'It takes' if first else 'Or'} {how.format(by=show(x.by), left=show(x.left))}."


def _choice_words(gap: Gap, at: Giving, first: bool) -> str:
    rows = []
    for name in (gap.one, gap.two):
        if name in at.obstacles:
            continue
        member = at.members.get(name)
        says = CHOICES[base(name, at.rides(name))]
        rows.append(says.format(title=member.title if member else name, code=part(name)))
    words = "; ".join(dict.fromkeys(rows))
    start = (
        "No plate, nothing listed and no stop gives way there. Choose again and build again"
        if first
        else "Or choose again and build again"
    )
    return f"{start}: {words}." if words else ""


def _where(gap: Gap, bad: dict[tuple[str, str], Gap], solved: Graph) -> str:
    """What comes how close to what, and where with a tape."""
    x, y, z = gap.at
    side = "left" if y > 0 else "right"
    datum = solved.values.get(Key("frame.datum_hole", "L" if y > 0 else "R"))
    along = (
        f"{inch(abs(x - datum))} {'ahead of' if x > datum else 'behind'} the datum hole"
        if datum is not None
        else f"{inch(x)} from the full-bump plumb line"
    )
    other = (across(gap.one), across(gap.two))
    twin = bad.get(other) or bad.get((other[1], other[0]))
    sided = any(code.endswith((".L", ".R")) for code in (gap.one, gap.two))
    alone = (
        f"; on the {side} only, the axle is shifted sideways there"
        if twin is None and (gap.one, gap.two) != other and sided
        else ""
    )
    state = f"runs {reader.length(-gap.gap)} into" if gap.gap < 0 else f"comes within {gap.told} of"
    one, two = (
        said(title, code) for title, code in zip(gap.titles, (gap.one, gap.two), strict=True)
    )
    return (
        f"{one} {state} {two} at {gap.place} ({inch(gap.allowed)} needed): {along}, {inch(abs(y))}"
        f" {side} of the center line, {inch(z)} above the floor{alone}."
    )


def said(title: str, name: str) -> str:
    """A body as people call it: a part by title and number, everything else by its name."""
    return called(title, name)
