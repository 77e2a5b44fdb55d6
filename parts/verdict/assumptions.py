"""Everything that reaches a number though nobody read it, in one list, each with what it moves: the
rows under load are worked again with the next plausible value.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...layout import units
from ...layout.assumed import Assumed
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.loads.basis import LEAST_BAR_WALL, SHARE_FRONT
from ...layout.quantities import Key
from ...layout.reader import fine, measure, number
from ...layout.travel import HARD, SOFT, TYPICAL
from ...layout.travel.gear import ASSUMED_CG
from ...layout.travel.linkage import Bush
from ..model.assembly import Bolt
from ..model.body import Existing, Plate, Tube
from ..model.terms import Role, There
from ..stock import Shop, Steel, default_shop, steel
from ..stock.classes import LEAST as LEAST_MARK
from ..stock.classes import PLACES, class_of, given, metric, place_of, setting
from ..stock.fillers import LEAST, USUAL, filler_of
from ..stock.materials import (
    LEAST_AXLE,
    LEAST_DOWEL,
    LEAST_RAIL,
    Materials,
    materials,
    named,
)
from ..strength.result import Strength, settled
from ..truck import roles
from ..truck.truck import Truck
from .assumptions_layout import layout_assumed
from .trial import Supposed, Trial, Values

THINNER = 0.010 * units.IN
"""What a plate may be under its nominal thickness (ASTM A6: unverified source)."""
NEXT = {"grade 5": "grade 8", "class 8.8": "class 10.9"}
NOT_YET = "what `check` prints once the truck can be held against its loads"


def assumptions(
    job: Job, solved: Graph, truck: Truck | None, held: Strength | None, shop: Shop
) -> tuple[Assumed, ...]:
    """Every assumption of a job, the shop and the tool.

    Without a designed truck, or while its loads wait, what each moves is not worked.
    """
    whole = truck is not None and held is not None and not held.waits
    trial = Trial(truck, settled(truck, solved), shop) if whole and truck is not None else None
    now = materials(job.words, shop, roles.steel_fields())
    found = [
        *_steels(job, now, truck, shop, trial),
        *_filler(now, shop, trial),
        *(_bolts(job, now, truck, shop, trial) if truck else _marks(job, shop)),
        *(_plates(truck, shop, trial) if truck else ()),
        *_weights(solved.values, trial),
        *_bushings(solved.values, trial),
        *layout_assumed(job, solved),
    ]
    return tuple(found)


def _moves(trial: Trial | None, *changes: Supposed) -> tuple[str, frozenset[str]]:
    return trial.moved(changes) if trial else (NOT_YET, frozenset())


def _strong(made: Steel) -> str:
    return f"{made.name}, {number(made.fy, 'stress', 0)}/{measure(made.fu, 'stress', 0)}"


def _steels(
    job: Job, now: Materials, truck: Truck | None, shop: Shop, trial: Trial | None
) -> Iterator[Assumed]:
    """Rails, axle tube, the arms' tubes."""
    rails, tube = steel("A572-50"), steel("A500-B")
    if not named(job.words, "frame.steel"):
        better = Supposed(_strong(rails), made_of=now._replace(rail=rails))
        fixed = _fixed_to(truck, There.RAIL)
        yield _least(
            "rails", "frame.steel", f"{_strong(now.rail)}: {LEAST_RAIL}", trial, better, fixed
        )
    if not named(job.words, "axle.tube_steel"):
        better = Supposed(_strong(tube), made_of=now._replace(axle=tube))
        fixed = _fixed_to(truck, There.AXLE)
        yield _least(
            "axle tube",
            "axle.tube_steel",
            f"{_strong(now.axle)}: {LEAST_AXLE}",
            trial,
            better,
            fixed,
        )
    on_hand = {member.code: member for member in truck.assembly.members} if truck else {}
    for code, called, field in roles.steels():
        member = next(
            (on_hand[place] for place in (f"{code}.L", f"{code}.R") if place in on_hand), None
        )
        if named(job.words, field) or (truck and member is None):
            continue
        mine = (
            now.tube(member.code, shop.tube(member.body.stock))
            if member and isinstance(member.body, Tube)
            else None
        )
        other = steel("A513 4130 N")
        said, codes = _moves(
            trial, Supposed(_strong(other), made_of=now._replace(tubes={**now.tubes, code: other}))
        )
        what = f"steel of the {called}"
        yield Assumed(what, _strong(mine) if mine else "as its tube in stock", field, said, codes)


def _least(
    of: str, field: str, taken: str, trial: Trial | None, better: Supposed, fixed: frozenset[str]
) -> Assumed:
    """The steel ``taken`` for want of the reading ``field``, the least in common use; what a
    ``better`` one moves; ``fixed``: the families that rest on it in any case.
    """
    said, codes = _moves(trial, better)
    return Assumed(
        f"steel of the {of}", f"{taken} is the least in common use", field, said, codes | fixed
    )


def _fixed_to(truck: Truck | None, what: There) -> frozenset[str]:
    """Families welded or bolted to the rails or the axle."""
    if truck is None:
        return frozenset()
    assembly = truck.assembly
    there = {
        member.code
        for member in assembly.members
        if isinstance(member.body, Existing) and member.body.surface is what
    }
    mine = {weld.on for weld in assembly.welds if weld.to in there} | {
        code for bolt in assembly.bolts if there & set(bolt.through) for code in bolt.through
    }
    return frozenset(
        member.family
        for member in assembly.members
        if member.code in mine and member.code in truck.made_by
    )


def _filler(now: Materials, shop: Shop, trial: Trial | None) -> Iterator[Assumed]:
    if shop.filler:
        return
    least = filler_of(LEAST)
    assert least is not None
    said, codes = _moves(
        trial,
        Supposed(
            f"{least.name}, {measure(least.fexx, 'stress', 0)}", made_of=now._replace(filler=least)
        ),
    )
    yield Assumed(
        "filler",
        f"{USUAL}, {measure(now.filler.fexx, 'stress', 0)}",
        "filler under [weld] of the shop file",
        said,
        codes,
    )


def _marks(job: Job, shop: Shop) -> Iterator[Assumed]:
    """Bolts the job names without their mark, before the truck is designed."""
    for bolt, (field, use) in PLACES.items():
        size = job.words.get(field, "")
        if size and not given(job.words, shop.classes, bolt, size):
            yield Assumed(
                f"mark of {field} {size}",
                f"{LEAST_MARK[metric(size)]}, the least in common use{_no_mark(job, field, size)}",
                f"{field}_class or {setting(use, size)} under [bolts] of the shop file",
                NOT_YET,
            )


def _no_mark(job: Job, field: str, size: str) -> str:
    """What was read of bolts and cannot be taken, since it marks those of the other threads."""
    typed = job.words.get(f"{field}_class", "")
    return (
        f"; {typed} was read, which {'metric' if metric(size) else 'inch'} bolts do not carry"
        * (typed != "")
    )


def _other_sizes(job: Job, field: str, size: str) -> str:
    """The way out where the frame's bolts were read and are of threads the shop does not choose."""
    if field != "frame.bolt" or not _no_mark(job, field, size):
        return ""
    return f"; or {'inch' if metric(size) else 'metric'} sizes in frame_sizes there"


def _bolts(
    job: Job, now: Materials, truck: Truck, shop: Shop, trial: Trial | None
) -> Iterator[Assumed]:
    """Bolts whose mark nobody gave, by the field that would; dowels."""
    silent: dict[tuple[str, str, str], list[Bolt]] = {}
    for bolt in truck.assembly.bolts:
        if bolt.grade in NEXT and not given(job.words, shop.classes, bolt.id, bolt.size):
            field, use = place_of(bolt.id)
            silent.setdefault((field, setting(use, bolt.size), bolt.size), []).append(bolt)
    for (field, word, size), row in sorted(silent.items()):
        mark, other = class_of(row[0].grade, size), NEXT[row[0].grade]
        said, codes = _moves(
            trial, Supposed(other, made_of=now._replace(classes={bolt.id: other for bolt in row}))
        )
        marks = "on metric bolts" if metric(size) else "on inch bolts"
        yield Assumed(
            f"mark of the {len(row)} bolts {size}",
            f"{mark.name}, the least in common use {marks} (proof"
            f" {measure(mark.proof, 'stress', 0)}){_no_mark(job, field, size)}",
            (f"{field}_class or " if field else "")
            + f"{word} under [bolts] of the shop file{_other_sizes(job, field, size)}",
            said,
            codes
            or frozenset(
                member.family
                for bolt in row
                for member in truck.assembly.members
                if member.code in bolt.through
            ),
        )
    if any(bolt.grade == "dowel" for bolt in truck.assembly.bolts) and not shop.dowel:
        bar = steel("A572-50")
        said, codes = _moves(trial, Supposed(_strong(bar), made_of=now._replace(dowel=bar)))
        yield Assumed(
            "steel of the dowels",
            f"{_strong(now.dowel)}: {LEAST_DOWEL} bar at least",
            "dowel under [bolts] of the shop file",
            said,
            codes
            or frozenset(
                member.family
                for member in truck.assembly.members
                if roles.does(Role.DOWELED, member.code, member.family)
            ),
        )


def _plates(truck: Truck, shop: Shop, trial: Trial | None) -> Iterator[Assumed]:
    """Plates nobody put a micrometer on; stock nobody wrote down."""
    used = {
        member.body.stock: shop.plate(member.body.stock)
        for member in truck.assembly.members
        if isinstance(member.body, Plate)
    }
    silent = sorted(
        (plate for plate in used.values() if not plate.taken), key=lambda plate: plate.thickness
    )
    families = frozenset(
        member.family
        for member in truck.assembly.members
        if isinstance(member.body, Plate) and not used[member.body.stock].taken
    )
    if silent:
        thin = tuple(
            plate._replace(measured=plate.thickness - THINNER) if not plate.taken else plate
            for plate in shop.plates
        )
        said, _ = _moves(
            trial,
            Supposed(
                f"plates {fine(THINNER)} thinner",
                shop=shop._replace(plates=thin),
            ),
        )
        yield Assumed(
            "thickness of plate",
            "nominal: " + ", ".join(f"{plate.key} {fine(plate.thickness)}" for plate in silent),
            "measured under [[plate]] of the shop file",
            said,
            families,
        )
    if used and shop.plates == default_shop().plates:
        yield Assumed(
            "steel of plate",
            ", ".join(
                _strong(steel(steel_name))
                for steel_name in sorted({plate.steel for plate in used.values()})
            ),
            "steel under [[plate]] of the shop file, from the mill certificate",
            "every row of a plate: its strength is worked with it",
            families,
        )


def _weights(values: Values, trial: Trial | None) -> Iterator[Assumed]:
    """Whole weight, height of the center of gravity, the track bar's wall."""
    front, key = values.get(Key("spring.axle_load", "C")), Key("spring.truck_weight", "C")
    if front is not None and key not in values:
        heavy, light = (front / share for share in SHARE_FRONT)
        said, codes = _moves(
            trial,
            Supposed(
                f"{units.show(light, 'force')}, the front axle's load over {SHARE_FRONT[1]}",
                {key: light},
            ),
        )
        yield Assumed(
            "weight of the whole truck",
            f"{units.show(heavy, 'force')}, the front axle's load over {SHARE_FRONT[0]}",
            key.name,
            said,
            codes,
        )
    key = Key("travel.cg_height", "C")
    if key not in values:
        low, high = ASSUMED_CG
        said, codes = _moves(trial, Supposed(units.show(low, "length"), {key: low}))
        yield Assumed(
            "height of the center of gravity",
            f"{units.show(low, 'length')} to {units.show(high, 'length')}, the loads with"
            f" {units.show(high, 'length')}",
            key.name,
            said,
            codes,
        )
    key, od = Key("track_bar.wall", "C"), values.get(Key("track_bar.od", "C"))
    if od is not None and key not in values:
        said, codes = _moves(trial, Supposed("a solid bar", {key: od / 2}))
        yield Assumed(
            "wall of the track bar",
            fine(LEAST_BAR_WALL),
            key.name,
            said,
            codes,
        )


def _bushings(values: Values, trial: Trial | None) -> Iterator[Assumed]:
    """Rates that were not read: the loads are worked from a third to three times of those, and the
    worst kept; what reading them would be worth, had they just those rates.
    """
    silent: dict[Key, tuple[float, str]] = {}
    for base, usual in zip(("lower", "upper"), TYPICAL, strict=True):
        for name, kind, rate in zip(
            Bush._fields, ("rate", "rate", "torsion", "torsion"), usual, strict=True
        ):
            key = Key(f"arms.{base}_bush_{name}", "C")
            if key not in values:
                silent[key] = (rate, f"{base} {name} {units.show(rate, kind)}")
    if not silent:
        return
    said, codes = _moves(
        trial,
        *(
            Supposed(words, {key: reading * rate for key, (rate, _) in silent.items()})
            for words, reading in (
                ("these rates read", 1.0),
                ("a third of them read", SOFT),
                ("three times them read", HARD),
            )
        ),
    )
    yield Assumed(
        "rates of the arm bushings",
        ", ".join(words for _, words in silent.values())
        + "; loads and travel from a third to three times, the worst kept",
        ", ".join(sorted(reading.name for reading in silent)),
        f"{said}; on the travel sheet every value that hangs on them, soft to hard",
        codes if trial else frozenset(),
    )
