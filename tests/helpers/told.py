"""What the files of a build say: every fact with each of its values and where it stands."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from pdf_text import pages


class Told:
    """What the files say: fact -> value -> where it stands."""

    def __init__(self) -> None:
        self.facts: dict[tuple[str, str, str], dict[Any, list[str]]] = defaultdict(dict)

    def add(self, what: str, whose: str, which: str, value: Any, where: str) -> None:
        if which == "on":
            # lists name the side in words, tables by the place's code: the code is what must agree
            value = str(value).replace(".", " ").split()[0]
        if (what, which) == ("tube", "length"):
            # some lists print the unit in their heading, some beside the number
            value = str(value).removesuffix(" mm")
        self.facts[what, whose, which].setdefault(value, []).append(where)

    def apart(self) -> list[str]:
        """Facts with more than one value."""
        return [
            f"{' '.join(k)}: " + "; ".join(f"{v!r} in {', '.join(w[:3])}" for v, w in found.items())
            for k, found in self.facts.items()
            if len(found) > 1
        ]

    def places(self, what: str, which: str) -> set[str]:
        """Kinds of file a fact was found in, by folder and ending."""
        return {
            f"{w.partition('/')[0]}/{w.rpartition('.')[2]}"
            for (a, _, b), found in self.facts.items()
            if (a, b) == (what, which)
            for rows in found.values()
            for w in rows
        }


def words_of(data: bytes) -> str:
    """A PDF's text, a line a row."""
    return "\n".join(pages(data))
