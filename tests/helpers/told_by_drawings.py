"""Facts from cut files, drawings and solids (ezdxf, STEP text)."""

from __future__ import annotations

import io
import re
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from built_jobs import Made
from soapstone.cli.building.file_names import drawing_name, revision_of, solid_name, stem_of
from soapstone.parts.drawing.picture import faces
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.words import names
from told import Told, words_of


def stems(m: Made) -> dict[str, str]:
    return {
        stem_of(p, m.job.chassis, revision_of(p, m.letters), m.shop): p.id for p in m.truck.parts
    }


def from_cut_files(m: Made, t: Told) -> None:
    """Names say chassis, number, revision, hand, thickness, quantity, unit; layers say how many
    holes.
    """
    import ezdxf

    for stem, part in stems(m).items():
        data = m.files.get(f"cut/{stem}.dxf")
        if data is None:
            continue
        where = f"cut/{stem}.dxf"
        chassis, code, revision, _, _, count, unit = stem.split("-")
        body = next(p for p in m.truck.parts if p.id == part)
        assert (chassis, code, unit) == (m.job.chassis, body.number, m.shop.unit)
        t.add("part", part, "revision", revision, where)
        t.add("part", part, "quantity", int(count.removeprefix("q")), where)
        space = ezdxf.read(io.StringIO(data.decode())).modelspace()
        drilled = len(space.query(f'*[layer=="{m.shop.layers["DRILL"]}"]')) // 2
        loops = len(space.query(f'*[layer=="{m.shop.layers["OPENING"]}"]'))
        own = len(body.member.body.openings) + len(body.slots)  # type: ignore[union-attr]
        t.add("part", part, "holes", drilled + loops - own, where)


class Lettered(NamedTuple):
    at: tuple[float, float]
    words: str


def drawn(data: bytes) -> tuple[list[Lettered], float]:
    """A drawing file's words with their places, and the size of a point in it."""
    import ezdxf

    space = ezdxf.read(io.StringIO(data.decode())).modelspace()
    found = [
        Lettered(tuple(e.get_placement()[1])[:2], e.dxf.text)  # type: ignore[arg-type]
        for e in space.query("TEXT")
    ]
    mark = next(e for e in space.query("TEXT") if e.dxf.text == "Quantity")
    return found, mark.dxf.height / (0.72 * 7)


def from_drawings(m: Made, t: Told) -> None:
    """Title block, weld symbols, hole table, a tube's length; DXF by place, PDF by words."""
    for stem, part in stems(m).items():
        where = f"drawing/{drawing_name(stem, m.shop)}"
        words, k = drawn(m.files[where])
        block = {
            a.words: b.words
            for a in words
            for b in words
            if a.words in ("Quantity", "Revision", "Part")
            and abs(a.at[1] - b.at[1]) < k
            and abs(b.at[0] - a.at[0] - 42 * k) < k
        }
        t.add("part", part, "quantity", int(block["Quantity"]), where)
        t.add("part", part, "revision", block["Revision"], where)
        own = next(p for p in m.truck.parts if p.id == part)
        assert block["Part"].startswith(own.number + " ")
        body = own.member.body
        pdf = words_of(m.files[f"drawing/{stem}.pdf"])
        if isinstance(body, Tube):
            length = next(w.words for w in words if re.search("square cut|long point to", w.words))
            t.add("tube", part, "length", re.sub(r" (square|long).*", "", length), where)
            assert length in pdf
        else:
            holes = {x[1] for w in words if (x := re.match(r"(H\d+)  ", w.words))}
            t.add("part", part, "holes", len(holes), where)
            assert all(re.search(rf"^{h}\b", pdf, re.M) for h in holes)
        for n in (w for w in words if re.fullmatch(r"W\d+", w.words)):
            # the number stands at the right end of a reference line 78 points long, its leg left of
            # the mark 30 points along
            legs = {
                w.words
                for w in words
                if re.fullmatch(r"[\d /]+|[\d.]+ mm", w.words)
                and -65 * k < w.at[0] - n.at[0] < -20 * k
                and -11 * k < w.at[1] - n.at[1] < 3 * k
            }
            if legs:
                assert len(legs) == 1, (where, n, legs)
                t.add("weld", n.words, "leg", legs.pop(), where)


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
            t.add("part", part.id, "holes", holes, "picture/faces")
