"""What a dry run says at its end: what would have been stored and written, and that nothing was."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from .record import Record
from .store import Archive

LAST = "dry run: everything above was checked, nothing was written"


def tell(store: Archive, stored: Record, folders: Mapping[Path, Mapping[str, bytes]]) -> None:
    """Print what a record or an event would bring into the archive, and how many files into which
    folders.
    """
    kept = stored.data["files"]
    brings = {row["sha256"]: row["bytes"] for row in kept}
    brings = {name: n for name, n in brings.items() if not store.content_path(name).exists()}
    print(
        f"would be stored in {store.folder}: a record of {stored.chassis} {stored.letter},"
        f" {len(kept)} files of it, {len(brings)} contents not there yet"
        f" ({sum(brings.values()) / 1e6:.1f} MB before they are packed)"
    )
    for folder, made in folders.items():
        print(f"would be written: {len(made)} files into {folder}")
    print(LAST)
