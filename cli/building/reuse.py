"""Files of the last draft taken again where nothing they are made from changed.

What each was made from is kept, as a hash, beside the draft; a file that is not as it was written,
or anything else that does not fit, is simply made.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from .. import disk

NAME = ".made.json"


@cache
def code() -> str:
    """Hash of the tool's own text: another version makes everything anew."""
    h = hashlib.sha256()
    for package in ("soapstone.layout", "soapstone.parts", "soapstone.cli"):
        root = Path(str(files(package)))
        for p in sorted(root.rglob("*")):
            if p.suffix in (".py", ".csv", ".toml") and "__pycache__" not in p.parts:
                h.update(p.relative_to(root).as_posix().encode() + p.read_bytes())
    return h.hexdigest()


class Reuse:
    """What the draft in ``base`` can give again. Without a folder nothing, ever."""

    def __init__(self, base: Path | None = None) -> None:
        self.base = base
        self.old: Mapping[str, Any] = {}
        self.keys: dict[str, str] = {}
        try:
            self.old = dict(json.loads((base / NAME).read_bytes())) if base else {}
        except (OSError, ValueError, TypeError):
            self.old = {}

    def ready(self, path: str, *rests_on: object) -> bytes | None:
        """A file of the draft, if it was made from the same; notes what it is made from now."""
        if self.base is None:
            return None
        key = self.keys[path] = hashlib.sha256(repr((code(), rests_on)).encode()).hexdigest()
        try:
            was, sha = self.old[path]
            if was != key:
                return None
            data = (self.base / "draft" / path).read_bytes()
        except (KeyError, ValueError, TypeError, OSError):
            return None
        return data if hashlib.sha256(data).hexdigest() == sha else None

    def get(self, path: str, make: Callable[[], bytes], *rests_on: object) -> bytes:
        """The file again, or made."""
        found = self.ready(path, *rests_on)
        return make() if found is None else found

    def save(self, made: Mapping[str, bytes]) -> None:
        """Keep what this draft's files were made from."""
        if self.base is not None:
            rows = {
                p: [k, hashlib.sha256(made[p]).hexdigest()]
                for p, k in sorted(self.keys.items())
                if p in made
            }
            disk.put_file(self.base / NAME, json.dumps(rows).encode())
