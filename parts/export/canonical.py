"""STEP text in canonical form: same model, same bytes.

The kernel numbers entities by the order of pointers and counts assemblies per process. Entities are
hashed from the leaves up, equal ones become one, sorted by hash of their content and numbered
again.
"""

from __future__ import annotations

import hashlib
import re

_ROW = re.compile(r"#(\d+)\s*=\s*(.*?);\s*\n(?=#|ENDSEC)", re.S)
_REF = re.compile(r"#(\d+)")
_NOISE = re.compile(r"-?\d+\.\d*E-(?:1[3-9]|[2-9]\d)(?!\d)|-0\.(?![0-9E])")
"""Numbers that are zero but for the kernel's rounding, which depends on what the process did
before.
"""
_COUNTER = re.compile(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\()'[^']*','[^']*'")


TOOL = "soapstone"


def canonical(text: str, name: str, shop: str = "") -> bytes:
    """The file so that the same solid gives the same bytes on every machine.

    Its header says what it is, the shop and the tool; time and counters are fixed; its data stand
    in an order that depends on content alone.

    Parameters
    ----------
    text : str
        STEP as the kernel writes it.
    """
    said, by = (x.replace("'", "''") for x in (name, shop))
    text = re.sub(
        r"FILE_DESCRIPTION\(.*?\);\s*FILE_NAME\(.*?\);",
        lambda _: (
            f"FILE_DESCRIPTION(('{said}'),'2;1');\n"
            f"FILE_NAME('{said}','1970-01-01T00:00:00',('{by}'),('{by}'),'{TOOL}','{TOOL}','');"
        ),
        text,
        count=1,
        flags=re.S,
    )
    text = text.replace("Open CASCADE STEP translator", TOOL)
    text = re.sub(rf"{TOOL} [\d.]+[ \d.]*", TOOL, text)
    head, _, rest = text.partition("DATA;\n")
    data, _, tail = rest.partition("ENDSEC;")
    rows = {
        int(entity): re.sub(r"\s*\n\s*", "", body) for entity, body in _ROW.findall(data + "ENDSEC")
    }
    rows = {
        entity: _NOISE.sub("0.", _COUNTER.sub(r"\1'','part'", body))
        for entity, body in rows.items()
    }
    marks = _hashes(rows)
    first: dict[str, int] = {}
    for entity in sorted(rows):
        first.setdefault(marks[entity], entity)
    number = {mark: place for place, mark in enumerate(sorted(first), 1)}
    lines = [
        f"#{number[mark]}="
        f"{_REF.sub(lambda match: f'#{number[marks[int(match[1])]]}', rows[first[mark]])};"
        for mark in sorted(first)
    ]
    return (head + "DATA;\n" + "\n".join(lines) + "\nENDSEC;" + tail).encode()


def _hashes(rows: dict[int, str]) -> dict[int, str]:
    """Hash of each entity with what it refers to, from the leaves up."""
    marks: dict[int, str] = {}
    for start in rows:
        stack = [start]
        while stack:
            row = stack[-1]
            if row in marks:
                stack.pop()
                continue
            owed = [int(other) for other in _REF.findall(rows[row]) if int(other) not in marks]
            if owed:
                stack += owed
                continue
            own = _REF.sub(lambda match: marks[int(match[1])], rows[row])
            marks[row] = hashlib.sha256(own.encode()).hexdigest()[:24]
            stack.pop()
    return marks
