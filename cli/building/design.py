"""From a job file to a designed truck, and what is looked at in it.

Heavy modules are imported where they are used.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...layout.faults import Exit
from ...layout.job.load import NOTHING
from .cache import Cache, key_of

if TYPE_CHECKING:
    from ...layout.graph import Graph
    from ...layout.job.load import Job
    from ...layout.quantities import Key
    from ...parts.model.family import Choice
    from ...parts.stock import Shop
    from ...parts.strength.result import Strength
    from ...parts.truck.truck import Truck
    from .verdict import Looked


class Designed(NamedTuple):
    """A job, solved and designed with the shop's stock."""

    job: Job
    solved: Graph
    truck: Truck
    shop: Shop
    strength: Strength

    def looked(self, say: Callable[[str], None] = lambda _: None) -> Looked:
        """Its travel and its verdict, as they are kept from before or worked out."""
        from .verdict import look

        sizes = [(part.id, part.fingerprint) for part in self.truck.singles]
        assumed = [(str(own), sorted(own.parts)) for own in self.strength.assumed]
        said = self.strength.grown, self.strength.ways, assumed
        return Cache().value(
            key_of("travel and verdict", *worked_from(self.job, self.shop), sizes, said),
            lambda: look(self.job, self.solved, self.truck, self.shop, self.strength, say),
        )


def shop_of(shop: Path | None, job: Path) -> Shop:
    """The shop's settings: the file named, shop.toml beside the job, or the defaults."""
    from ...parts.stock.shop_file import load_shop

    beside = job.parent / "shop.toml"
    return load_shop(shop or (beside if beside.is_file() else None))


def loaded(
    path: Path, shop_path: Path | None = None, put: Mapping[str, object] = NOTHING
) -> tuple[Job, Shop]:
    """A job and its shop; from here on screen and paper speak the reader's units, faults of the job
    too. ``put``: what stands in the job file's place, by the name of the field.
    """
    from ...layout.job_file import load
    from .obstacle_files import with_solids

    shop = read_for(path, shop_path)
    return with_solids(load(path, put=put), path), shop


def read_for(path: Path, shop_path: Path | None = None) -> Shop:
    """The shop of a job, and its reader set: the shop's own unit, else what the job file says under
    [units].
    """
    from ...layout import reader
    from ...layout.faults import tables_of

    shop = shop_of(shop_path, path)
    try:
        table = tables_of(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):
        table = {}  # whoever loads the job says what is wrong with it
    said = table.get("units", {})
    length = said.get("length", "") if isinstance(said, dict) else ""
    reader.read_in(reader.system_of(shop.reads, str(length)))
    reader.speak(shop.terms, (shop.name, *_typed(table)))
    return shop


def _typed(table: Mapping[str, object]) -> Iterator[str]:
    """What a job file says in words of whoever wrote it: title, note, who; names of obstacles."""
    job, travel = table.get("job", {}), table.get("travel", {})
    listed = travel.get("obstacle", []) if isinstance(travel, dict) else []
    rows = [job, *(listed if isinstance(listed, list) else [])]
    for row in rows:
        if isinstance(row, dict):
            yield from (str(row.get(word, "")) for word in ("title", "note", "by", "name"))


def designed(path: Path, shop_path: Path | None) -> Designed:
    """Load, set out and design a job for its loads."""
    return designed_job(*loaded(path, shop_path))


def designed_job(job: Job, shop: Shop) -> Designed:
    """A loaded job, set out and designed for its loads."""
    from ...layout.setout import solve

    _known_pins(job, shop)
    solved = solve(job)
    truck, strength, _ = sized(job, solved, shop)
    return Designed(job, solved, truck._replace(waiting=_with_owed(job, truck)), shop, strength)


class SizedTruck(NamedTuple):
    """A truck with the sizes its loads ask for, family -> variable -> choice, and what holds it."""

    truck: Truck
    strength: Strength
    sizes: Mapping[str, Mapping[str, Choice]]


def sized(job: Job, solved: Graph, shop: Shop) -> SizedTruck:
    """The truck designed for its loads; where its sizes are known from before, designed once with
    these and not searched for again.
    """
    from ...parts.geometry.kept import keeping
    from ...parts.strength.growth import held
    from ...parts.truck import pins
    from ...parts.truck.truck import design
    from ...parts.verdict.assumptions import assumptions

    made: list[Truck] = []

    def found() -> tuple[Strength, Mapping[str, Mapping[str, Choice]]]:
        with keeping(cache.again):
            kept = held(solved, job.words, pins.good(job.pins, shop), job.chassis, shop)
            assumed = assumptions(job, solved, kept.truck, kept.strength, shop)
        made.append(kept.truck)
        whole = kept.strength._replace(grown=kept.grown, ways=kept.ways, assumed=assumed)
        return whole, kept.sizes

    cache = Cache()
    strength, sizes = cache.value(key_of("design", *worked_from(job, shop)), found)

    def again() -> Truck:
        return made[0] if made else design(solved, job.words, sizes, job.chassis, shop)

    truck = cache.value(key_of("truck", *inputs(job, shop)), lambda: sendable(again()))
    if not made:
        return SizedTruck(_with_holds(truck, again), strength, sizes)
    return SizedTruck(made[0], strength, sizes)


def _with_holds(truck: Truck, make: Callable[[], Truck]) -> Truck:
    """A truck that was kept, its holds made again once they are asked for."""
    from ...parts.design.later import Later

    holds = Later(lambda: make().assembly.holds)
    return truck._replace(assembly=truck.assembly._replace(holds=holds))


def design_kept(job: Job, shop: Shop) -> bool:
    """Whether the same truck was designed before."""
    return Cache().has(key_of("truck", *inputs(job, shop)))


def sendable(truck: Truck) -> Truck:
    """A truck as data: its holds, functions of their families, stay behind, and whoever asks for
    them there is told.
    """
    return _with_holds(truck, lambda: truck)


def inputs(job: Job, shop: Shop) -> tuple[object, ...]:
    """Everything a design and its verdict are made from; not how the job file was typed."""
    from ...layout import reader

    return job._replace(sha256="", both=frozenset()), sorted(job.both), shop, reader.reader()


def worked_from(job: Job, shop: Shop) -> tuple[object, ...]:
    """What sizes, rows and verdict are worked from: a second truck with the same readings is not
    worked again, nor one that was given another title.
    """
    words = {name: word for name, word in job.words.items() if not name.startswith("job.")}
    return inputs(job._replace(words=words, chassis=""), shop)


def _with_owed(job: Job, truck: Truck) -> dict[str, tuple[Key, ...]]:
    """What waits, with the readings that are owed and that no part named: layout, travel or a check
    hangs on those.
    """
    from ...parts.verdict.judging import BESIDE_PARTS

    said = {key for keys in truck.waiting.values() for key in keys}
    rest = tuple(key for key in job.owed if key not in said)
    return {**truck.waiting, **({BESIDE_PARTS: rest} if rest else {})}


def _known_pins(job: Job, shop: Shop) -> None:
    """Faults for pins of a family or a size there is none of, before anything is made."""
    from ...layout.faults import SoapstoneError
    from ...layout.setout import solve
    from ...parts.truck import pins
    from ...parts.truck.truck import design

    def sized() -> dict[str, dict[str, Choice]]:
        truck = design(solve(job), job.words, pins.good(job.pins, shop), job.chassis, shop)
        return {who: dict(pick.chosen) for who, pick in truck.picks.items()}

    found = pins.faults(job.pins, shop, sized)
    if found:
        raise SoapstoneError(Exit.JOB_FILE, found)
