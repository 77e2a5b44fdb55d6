"""Facts from cut files, drawings and solids (ezdxf, STEP text)."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from built_jobs import Made
from soapstone.cli.building.file_names import drawing_name, revision_of, solid_name, stem_of
from soapstone.parts.drawing.hands import twins
from soapstone.parts.drawing.picture import faces
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.words import names
from told import Told


def stems(m: Made) -> dict[str, str]:
    return {
        stem_of(p, m.job.chassis, revision_of(p, m.letters), m.shop): p.id for p in m.truck.parts
    }


def from_cut_files(m: Made, t: Told) -> None:
    """Names say chassis, number, revision, hand, thickness, quantity, unit; layers say how many
    holes.
    """
    import ezdxf

    cut = {path.rpartition("/")[2]: path for path in m.files if path.startswith("cut/")}
    for stem, part in stems(m).items():
        where = cut.get(f"{stem}.dxf")
        if where is None:
            continue
        data = m.files[where]
        chassis, code, revision, _, _, count, unit = stem.split("-")
        body = next(p for p in m.truck.parts if p.id == part)
        assert (chassis, code, unit) == (m.job.chassis, body.number, m.shop.unit)
        t.add("part", part, "revision", revision, where)
        t.add("part", part, "quantity", int(count.removeprefix("q")), where)
        space = ezdxf.read(io.StringIO(data.decode())).modelspace()
        drilled = len(space.query(f'*[layer=="{m.shop.layers["DRILL"]}"]')) // 2
        loops = len(space.query(f'*[layer=="{m.shop.layers["OPENING"]}"]'))
        own = len(body.member.body.openings) + len(body.slots)
        t.add("part", part, "holes", drilled + loops - own, where)


HOLE = re.compile(r"(?:(\d+)x )?(?:Ø .+ (?:drill|cut|ream)|slot )")
"""How a drawing calls holes: their count, size and how they are made. A rim has no last word."""
LEG = re.compile(r"([\d./]+(?: mm)?)(?: \(([\d./]+(?: mm)?)\))?")
"""A leg at its symbol; of a groove the depth, and what it is worth in brackets."""


def called(data: bytes) -> list[str]:
    """The words of a drawing file's own view: dimensions, leaders, weld symbols, in their order."""
    import ezdxf

    space = ezdxf.read(io.StringIO(data.decode())).modelspace()
    return [e.dxf.text for e in space.query("TEXT DIMENSION") if e.dxf.hasattr("text")]


def holes_called(words: list[str]) -> int:
    """Holes and openings a view calls."""
    return sum(int(found[1] or 1) for word in words if (found := HOLE.match(word)))


def legs_called(words: list[str]) -> Iterator[tuple[str, str]]:
    """Every weld number a view calls with each leg that stands at it."""
    number = ""
    for word in words:
        if re.fullmatch(r"W\d+", word):
            number = word
        elif number and (leg := LEG.fullmatch(word)):
            yield number, leg[2] or leg[1]
        else:
            number = ""


LINE = 1.0
"""How far apart two words of one line may stand, mm."""


class Lettered(NamedTuple):
    at: tuple[float, float]
    words: str


def drawn(data: bytes) -> list[Lettered]:
    """A drawing file's words on its paper with their places."""
    import ezdxf

    layouts = ezdxf.read(io.StringIO(data.decode())).layouts
    return [
        Lettered(tuple(e.get_placement()[1])[:2], e.dxf.text)
        for layout in layouts
        if layout.name != "Model"
        for e in layout.query("TEXT")
    ]


def beside(words: list[Lettered], label: str) -> str:
    """What stands next to the right of a label, on its line; of the title block, not of the heads
    of the revisions' columns.
    """
    for here in (w for w in words if w.words == label):
        right = [w for w in words if abs(w.at[1] - here.at[1]) < LINE and w.at[0] > here.at[0]]
        said = min(right, key=lambda w: w.at[0]).words
        if not said.startswith("what changed"):
            return said
    raise AssertionError(f"no {label}")


def _of(words: str, between: str, second: bool) -> str:
    """What is said of the left or of the right part of a drawing of both."""
    return words.split(between)[-1 if second else 0]


def from_drawings(m: Made, t: Told) -> None:
    """Title block, holes, legs and a tube's length.

    A right part that is its left one's mirror image is on that one's drawing, what differs after
    what is said of the left.
    """
    stem_of_part = {part: stem for stem, part in stems(m).items()}
    lefts = twins(m.truck.parts, m.truck.assembly.welds)
    for part, stem in stem_of_part.items():
        where = f"drawing/{drawing_name(stem, m.shop)}"
        second = where not in m.files
        if second:
            where = f"drawing/{drawing_name(stem_of_part[lefts[part]], m.shop)}"
        words = drawn(m.files[where])
        own = next(p for p in m.truck.parts if p.id == part)
        t.add("part", part, "quantity", int(_of(beside(words, "make"), " + ", second)), where)
        t.add("part", part, "revision", _of(beside(words, "rev"), " / ", second), where)
        assert beside(words, "drawing") == f"{m.job.chassis}-{own.number}"
        view = called(m.files[where])
        for number, leg in legs_called(view):
            t.add("weld", number, "leg", leg, where)
        if isinstance(own.member.body, Plate):
            openings = len(own.member.body.openings) + len(own.slots)
            t.add("part", part, "holes", holes_called(view) - openings, where)
        if isinstance(own.member.body, Tube):
            size = beside(words, "over all")
            t.add("tube", part, "length", size.rpartition(" x ")[2].removesuffix(" mm"), where)


def from_solids(m: Made, t: Told) -> None:
    """Every member once in the assembly, every part's own file in millimeters."""
    whole = m.files[f"solid/{m.job.chassis}-assembly-mm.step"].decode()
    placed = (x.code for x in m.truck.assembly.members if x.fixed_after != "tool")
    for code in placed:
        assert re.search(rf"PRODUCT\('{re.escape(names.part(code))}[ ',]", whole), code
    for stem, part in stems(m).items():
        text = m.files[f"solid/{solid_name(stem, m.shop)}"].decode()
        assert f"FILE_NAME('{part.partition('.')[0]} " in text, part
        assert "SI_UNIT(.MILLI.,.METRE.)" in text, part


def holes_in_solids(m: Made, t: Told) -> None:
    """By the kernel: every hole of a plate is an inner loop on two of its flat faces."""
    import cadquery as cq

    with TemporaryDirectory() as folder:
        path = Path(folder) / "part.step"
        for stem, part_id in stems(m).items():
            part = next(p for p in m.truck.parts if p.id == part_id)
            if not isinstance(part.member.body, Plate):
                continue
            where = f"solid/{solid_name(stem, m.shop)}"
            path.write_bytes(m.files[where])
            flat = (f for f in cq.importers.importStep(str(path)).faces("%PLANE").vals())
            loops = sum(len(f.innerWires()) for f in flat)
            own = len(part.member.body.openings) + len(part.slots)
            t.add("part", part_id, "holes", loops / 2 - own, where)


def holes_in_pictures(m: Made, t: Told) -> None:
    """What a map or a picture shows of a plate with its holes, over the same plate without."""
    for part in m.truck.parts:
        if isinstance(part.member.body, Plate):
            bare = len(faces(part.member, None, m.shop))
            holes = len(faces(part.member, part, m.shop)) - bare - len(part.slots)
            t.add("part", part.id, "holes", holes, "picture/plate.faces")
