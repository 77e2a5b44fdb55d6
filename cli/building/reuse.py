"""Files taken again where nothing they are made from changed: from the last draft, or from the
cache.

What each file of a draft was made from is kept, as a hash, beside it; a file that is not as it was
written, or anything else that does not fit, is simply made.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from pathlib import Path

from ...layout.reader import speech
from .. import disk
from .cache import Cache, key_of

NAME = ".made.json"
WHOLE = "."
"""The row of what the whole draft was made from."""


class Reuse:
    """What the draft in ``base`` and the cache can give again. Without a folder only the cache."""

    def __init__(self, base: Path | None = None) -> None:
        self.base, self.cache = base, Cache()
        self.old: Mapping[str, list[str]] = {}
        self.keys: dict[str, str] = {}
        try:
            self.old = dict(json.loads((base / NAME).read_bytes())) if base else {}
        except (OSError, ValueError, TypeError):
            self.old = {}

    def ready(self, path: str, *rests_on: object) -> bytes | None:
        """A file, if it was made from the same before; notes what it is made from now."""
        if self.base is None and self.cache.folder is None:
            return None
        key = self.keys[path] = key_of(rests_on, speech())
        found = self._drafted(path, key)
        return self.cache.get(key) if found is None else found

    def get(self, path: str, make: Callable[[], bytes], *rests_on: object) -> bytes:
        """The file again, or made."""
        found = self.ready(path, *rests_on)
        return make() if found is None else found

    def whole(self, *rests_on: object) -> dict[str, bytes] | None:
        """Every file of the draft, if all of it was made from the same and is as it was written;
        notes what it is made from now.
        """
        key = self.keys[WHOLE] = key_of(rests_on, speech())
        if self.base is None or self.old.get(WHOLE) != [key, ""]:
            return None
        draft = self.base / "draft"
        try:
            listed = json.loads((draft / "manifest.json").read_bytes())["files"]
            shas = {row["path"]: row["sha256"] for row in listed}
            shas["manifest.json"] = self.old["manifest.json"][1]
            made = {path: (draft / path).read_bytes() for path in shas}
        except (OSError, ValueError, TypeError, KeyError, IndexError):
            return None
        whole = all(hashlib.sha256(data).hexdigest() == shas[path] for path, data in made.items())
        return made if whole and _files_in(draft) == len(made) else None

    def keep(self, made: Mapping[str, bytes]) -> None:
        """Put what was made, and may be asked for again, into the cache."""
        for path, key in self.keys.items():
            if path in made:
                self.cache.put(key, made[path])
        self.cache.trim()

    def save(self, made: Mapping[str, bytes]) -> None:
        """Keep what this draft's files were made from."""
        if self.base is not None:
            rows = {
                path: [key, hashlib.sha256(made[path]).hexdigest() if path in made else ""]
                for path, key in sorted({"manifest.json": "", **self.keys}.items())
                if path in made or path == WHOLE
            }
            disk.put_file(self.base / NAME, json.dumps(rows).encode())
        self.keep(made)

    def _drafted(self, path: str, key: str) -> bytes | None:
        if self.base is None:
            return None
        try:
            was, sha = self.old[path]
            if was != key:
                return None
            data = (self.base / "draft" / path).read_bytes()
        except (KeyError, ValueError, TypeError, OSError):
            return None
        return data if hashlib.sha256(data).hexdigest() == sha else None


def _files_in(folder: Path) -> int:
    return sum(1 for path in folder.rglob("*") if path.is_file())
