"""A TOML file to a table, with what was typed kept and its faults in sentences. Used for job, taped and shop files."""

from __future__ import annotations

import hashlib
import re
import tomllib
from pathlib import Path
from typing import Any, NamedTuple

from ..faults import Exit, Fault, SoapstoneError

MAX_BYTES = 16_000_000
MAX_TYPED = 80


class Typed(float):
    """A float of a TOML file that remembers how it was written."""

    text: str

    def __new__(cls, text: str) -> Typed:
        made = super().__new__(cls, text)
        made.text = text
        return made


class Source(NamedTuple):
    """A file as read: its table, where it came from, its sha256."""

    table: dict[str, Any]
    name: str
    sha256: str


def typed(value: Any) -> str:
    """What was typed, as text of at most MAX_TYPED characters."""
    text = value.text if isinstance(value, Typed) else str(value).lower() if isinstance(value, bool) else _short(value)
    if len(text) <= MAX_TYPED:
        return text
    return f"{text[:40]}... ({len(text)} characters)"


def _short(value: Any) -> str:
    if isinstance(value, int) and abs(value) > 10**30:
        return "a number of more than 30 digits"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{typed(k)} = {typed(v)}" for k, v in list(value.items())[:6]) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(typed(v) for v in value[:6]) + (", ...]" if len(value) > 6 else "]")
    return str(value)


def fail(field: str, was: str, allowed: str, remedy: str) -> SoapstoneError:
    """One fault as an error of the job file."""
    return SoapstoneError(Exit.JOB_FILE, [Fault(field, was, allowed, remedy)])


def read(path_or_text: Path | str) -> Source:
    """Table of a TOML file, or of TOML text (a string with a line break or an = in it).

    Raises SoapstoneError(JOB_FILE): no such file, too big, not UTF-8, not TOML (with line and what).
    """
    if isinstance(path_or_text, str) and ("\n" in path_or_text or "=" in path_or_text):
        return parse(path_or_text.encode("utf-8", "surrogatepass"), "job text")
    path = Path(path_or_text)
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise fail(path.name, f"{size} bytes", f"up to {MAX_BYTES} bytes", "a job file is a few pages; is this the right file?")
        raw = path.read_bytes()
    except IsADirectoryError:
        raise fail(typed(str(path_or_text)), "a folder", "a TOML file", "give the file itself") from None
    except FileNotFoundError:
        raise fail(typed(str(path_or_text)), "", "a TOML file", "there is no such file; check its name, or write one with `new`") from None
    except (OSError, ValueError) as e:
        raise fail(typed(str(path_or_text)), "", "a TOML file that can be read", str(getattr(e, "strerror", None) or e)) from None
    return parse(raw, path.name)


def parse(raw: bytes, name: str) -> Source:
    """Table of TOML bytes; a byte-order mark is taken off."""
    sha = hashlib.sha256(raw).hexdigest()
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        line = raw[: e.start].count(b"\n") + 1
        raise fail(f"{name} line {line}", "", "text in UTF-8", "save the file as UTF-8; a sign on that line is not") from None
    text = text.replace("\r\n", "\n")
    try:
        return Source(tomllib.loads(text, parse_float=Typed), name, sha)
    except tomllib.TOMLDecodeError as e:
        raise _not_toml(name, text, str(e)) from None
    except (ValueError, RecursionError) as e:
        what = "brackets nested too deep" if isinstance(e, RecursionError) else "a number with too many digits"
        raise fail(name, what, "TOML text: name = value", "mend that value; a reading has a few digits") from None


def _not_toml(name: str, text: str, said: str) -> SoapstoneError:
    m = re.search(r"\(at line (\d+), column (\d+)\)", said)
    lines = text.split("\n")
    number = int(m[1]) if m else len(lines)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    what = re.sub(r" *\(at .*\)", "", said)
    return fail(f"{name} line {number}", typed(line), "TOML text: name = value, text in quotes", f"{what.lower()}{_hint(line)}; mend that line")


def _hint(line: str) -> str:
    _, sign, value = line.partition("=")
    if sign and re.match(r"\s*[-\d]", value) and re.search(r"[/'\"]|[a-z]", value):
        return ": a fraction or a unit stands in quotes, '23 7/16 in'"
    if sign and not value.strip():
        return ": the value is missing"
    if not sign and line.startswith("[") and not line.endswith("]"):
        return ": the closing bracket is missing"
    return ""
