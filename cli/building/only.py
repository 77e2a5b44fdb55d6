"""One part alone: cut file, drawing and solid, with its mirror image where it has one."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ...layout.faults import Exit, Fault, SoapstoneError
from .. import disk
from ..screen import said, say
from .design import designed

if TYPE_CHECKING:
    from ...parts.model.assembly import Part
    from ...parts.truck.truck import Truck
    from ...parts.verdict.findings import Judged
    from .design import Designed

NEAR = 5
"""Codes named where the one typed is not known."""


def code_of(typed: str) -> str:
    """The code of a part without its side, as a person types it.

    >>> code_of("cm2"), code_of("CM2 left"), code_of("CM2.L")
    ('CM2', 'CM2', 'CM2')
    """
    return typed.strip().upper().replace(" ", ".").partition(".")[0]


def unknown(option: str, typed: str, codes: Sequence[str]) -> SoapstoneError:
    """The fault for a code no part has, with those like it."""
    own = sorted(set(codes))
    near = difflib.get_close_matches(code_of(typed)[:20], own, n=NEAR, cutoff=0.5) or own[:NEAR]
    remedy = "the code of a part, as its drawing says it"
    return SoapstoneError(
        Exit.COMMAND_LINE, [Fault(option, typed[:40], f"such as {', '.join(near)}", remedy)]
    )


def make_only(path: Path, out: Path, shop: Path | None, typed: str) -> int:
    """Write the files of one part, both hands, into ``out/<chassis>/only-<code>``; its exit code.

    Faults (COMMAND_LINE) for a code nobody has, (READINGS_OWED) for one whose family waits.
    """
    from . import solid_files
    from .build import Build
    from .part_files import part_files
    from .reuse import Reuse

    disk.ready(out)
    found = designed(path, shop)
    code = code_of(typed)
    chosen = _chosen(found.truck, code)
    if not chosen:
        raise _not_made(found, typed)
    looked = found.looked(say)
    disk.DISK.make_folder(out / found.job.chassis)
    build = Build(found, looked, again=Reuse(out / found.job.chassis), say=say)
    twins = [build.drawn_with[part.id] for part in chosen if part.id in build.drawn_with]
    drawn = list({part.id: part for part in (*chosen, *twins)}.values())
    made = part_files(build, drawn)
    say("solid")
    work = solid_files.to_make(build, ())
    paths = {build.solid_path(part) for part in drawn}
    own = {own_path: part for own_path, part in work.parts.items() if own_path in paths}
    made |= solid_files.solids(work._replace(parts=own, whole=""))
    base, name = out / build.chassis, f"only-{code}"
    folder = disk.swap_in(base, name, made, disk.begun_with(base / name, build.chassis))
    said()
    _tell(drawn, folder, made, looked.judged)
    verdicts = [looked.judged.of(part.id).verdict for part in drawn]
    if any(verdict.refused for verdict in verdicts):
        return int(Exit.CHECK_FAILS)
    return int(Exit.READINGS_OWED) if any(verdict.bars for verdict in verdicts) else 0


def _chosen(truck: Truck, code: str) -> list[Part]:
    """Rows of a truck that are cut for a code at any of their places."""
    return [
        part
        for part in truck.parts
        if code in {place.partition(".")[0] for place in (part.id, *part.places)}
    ]


def _not_made(found: Designed, typed: str) -> SoapstoneError:
    """Why there is no such part: what its family waits for or fails by, or that nobody has it."""
    from ...parts.model.codes import stem_of
    from ...parts.truck.truck import families

    truck, asked = found.truck, code_of(typed)
    own = {family.code for _, family in families() if asked.startswith(family.letters)}
    for who, keys in truck.waiting.items():
        family = stem_of(who.rpartition(" ")[2])
        if family in own:
            remedy = f"read them; soapstone readings --for {family} says where and how"
            fault = Fault(code_of(typed), "", f"the readings {', '.join(map(str, keys))}", remedy)
            return SoapstoneError(Exit.READINGS_OWED, [fault])
    for finding in found.looked(say).judged.findings:
        if finding.kind == "part" and stem_of(finding.id) in own:
            fault = Fault(
                f"{finding.title} {finding.id}", "", "a part that can be made", finding.reason
            )
            return SoapstoneError(Exit.CHECK_FAILS, [fault])
    return unknown("--only", typed, [part.id.partition(".")[0] for part in truck.singles])


def _tell(drawn: Sequence[Part], folder: Path, made: dict[str, bytes], judged: Judged) -> None:
    from ...parts.words.names import called

    print(f"{len(made)} files in {folder}")
    for path in sorted(made):
        print(f"  {path}")
    for part in drawn:
        if not judged.cut(part.id)[0]:
            words = called(part.member.title, part.id)
            print(f"{words} is not for cutting: {judged.cut(part.id)[1]}", file=sys.stderr)
