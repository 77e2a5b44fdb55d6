"""reissue, compare, export and import: a revision again, two side by side, one chassis as a single
file.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..options import Json, said, say

if TYPE_CHECKING:
    from ...parts.truck.likeness import Compared, Likeness

Folder = Annotated[Path, typer.Option("--archive", help="folder of released revisions")]
Out = Annotated[Path, typer.Option("--out", help="folder the chassis folder goes into")]


def reissue(
    chassis: Annotated[str, typer.Argument(help="chassis")],
    letter: Annotated[str, typer.Argument(help="revision letter; the last one if not given")] = "",
    archive: Folder = Path("archive"),
    out: Out = Path("out"),
    level: Annotated[
        str, typer.Option("--level", help="as it was signed for this level; the last if not given")
    ] = "",
    rebuild: Annotated[
        bool,
        typer.Option(
            "--rebuild",
            help=(
                "build it anew as well and say what differs; always where another version stored it"
            ),
        ),
    ] = False,
) -> None:
    """Write a released revision again, as it was last signed, to the byte as it was stored, with
    its log sheets; one that another revision has superseded says so on every page. With another
    version of the tool, say what this one would make differently.
    """
    from .. import disk
    from ..archive import current
    from ..archive import reissue as issue
    from ..archive.store import Archive
    from ..building.build import VERSION

    store = Archive(archive)
    r = store.record(chassis, letter)
    files = issue.stored(store, r)
    signed, now = issue.at_level(store, r, level)
    given = {p: x for p, x in signed.items() if not p.startswith(issue.INPUT)}
    given |= issue.log_files(store, r, now)
    good = store.record(chassis).letter
    words = "" if good == r.letter else issue.superseded(good)
    folder = disk.swap_in(out / chassis, r.letter, issue.over(given, words) if words else given)
    page = current.write(store, chassis, out)
    print(
        f"{chassis} {r.letter}, as signed for {now}: {len(given)} files as they were stored, in"
        f" {folder}"
    )
    print(
        f"{words}: every page says so" if words else f"it is the good revision of {chassis}: {page}"
    )
    if rebuild or r.data.get("tool") != VERSION:
        say("building it anew")
        rows = issue.differing(files, issue.rebuilt(store, r))
        said()
        if not any(rows.values()):
            print("built anew from its inputs it is the same to the byte")
        for word, paths in rows.items():
            if paths:
                print(
                    f"{word}, version {r.data.get('tool')} then, {VERSION} now: {len(paths)}:"
                    f" {', '.join(paths[:12])}{' ...' if len(paths) > 12 else ''}"
                )


def compare(
    one: Annotated[str, typer.Argument(help="CHASSIS:LETTER, or CHASSIS for its last")],
    two: Annotated[str, typer.Argument(help="the same")],
    archive: Folder = Path("archive"),
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="PDF of every plate that changed, old dashed, new solid"),
    ] = None,
    as_json: Json = False,
) -> None:
    """What differs between two revisions or two chassis: readings as typed, solved values, parts,
    sheets; outlines drawn over each other.
    """
    from .. import disk
    from ..archive import compare as c
    from ..archive import reissue as issue
    from ..archive.store import Archive

    store = Archive(archive)
    sides = [store.record(*issue.named(store, w)) for w in (one, two)]
    d = c.differences(store, *sides)
    if picture is not None:
        pages = c.overlays(store, *sides, d)
        if not pages:
            raise SoapstoneError(
                Exit.COMMAND_LINE,
                [
                    Fault(
                        "--picture",
                        str(picture),
                        "a plate whose outline changed",
                        "no outline differs: there is nothing to draw",
                    )
                ],
            )
        disk.put_file(picture, pages)
    if as_json:
        print(json.dumps({**d._asdict(), "parts": d.parts._asdict()}, indent=1))
        return
    a, b = (f"{r.data['chassis']}:{r.letter}" for r in sides)
    for title, rows in (("readings", d.readings), ("solved values", d.values)):
        print(f"{title}: {len(rows)} differ")
        for k, x, y in rows:
            print(f"  {k:34} {x or 'none':>18} -> {y or 'none'}")
    print(f"parts of {a} and {b}:")
    print("\n".join(f"  {line}" for line in said_of(d.parts)))
    print(
        f"sheets and files that differ: {len(d.files)}"
        + (f": {', '.join(d.files[:14])}{' ...' if len(d.files) > 14 else ''}" if d.files else "")
    )


def said_of(found: Compared, own: Collection[Likeness] = ()) -> list[str]:
    """What became of the parts, a line an answer; only the number of those that are the same.

    ``own``: answers that are told elsewhere.
    """
    from ...parts.truck.likeness import Likeness
    from ...parts.words.names import part

    return [
        f"{word}: {len(ids)}"
        + ("" if word is Likeness.SAME or not ids else f": {', '.join(map(part, ids))}")
        for word, ids in found.by_likeness().items()
        if word not in own and (ids or word not in (Likeness.GONE, Likeness.COME))
    ]


def export(
    chassis: Annotated[str, typer.Argument(help="chassis")],
    file: Annotated[Path, typer.Argument(help="zip to write")],
    archive: Folder = Path("archive"),
) -> None:
    """One chassis with all its revisions as a single file."""
    from .. import disk
    from ..archive import transfer as moving
    from ..archive.store import Archive

    data = moving.packed(Archive(archive), chassis)
    disk.put_file(file, data)
    print(f"{file}: {chassis}, {len(data)} bytes")


def import_(
    file: Annotated[Path, typer.Argument(help="file that export wrote")],
    archive: Folder = Path("archive"),
) -> None:
    """Take a chassis in.

    Nothing is written outside the archive, and nothing if anything in the file is not what it says.
    """
    from ..archive import transfer as moving
    from ..archive.store import Archive

    name, new = moving.taken_in(Archive(archive), file)
    print(f"{name}: {new} revisions were new")
