"""A settings file read table by table: what is wrong is kept as faults and read as the default, so
that every fault of the file is found in one run.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from ...layout import units
from ...layout.faults import Fault, as_typed
from .tables import rows as table_rows

Tables = Mapping[str, tuple[str, ...]]
"""Words of each table of a settings file."""
OPTIONAL = ("measured", "price", "key", "count")
"""Words a row of a list table may leave out, or whose absence is told by itself."""
LONGEST_KEY, LONGEST_FIELD = 40, 80
"""Characters of a name painted on the rack; of a field's name in a fault."""
EDGE = 1e-9
"""mm by which a typed length may miss its range: rounding of a conversion."""


class SettingsReader:
    """Walks a settings file once; ``faults`` gathers what is wrong.

    ``table``: the file as TOML reads it; ``tables``: the words it may hold; ``unit``: what a bare
    number means in it, "in" or "mm".
    """

    def __init__(self, table: Mapping[str, object], tables: Tables) -> None:
        self.table, self.tables, self.faults = table, tables, list[Fault]()
        for name, content in table.items():
            if name not in tables:
                allowed = "one of " + " ".join(tables)
                self.fault(f"[{name}]", "", allowed, nearest(name, tuple(tables)))
                continue
            for row in content if isinstance(content, list) else [content]:
                self._words(name, row)
        self.unit = self.choice("units", "length", ("in", "mm"), "in")

    def _words(self, name: str, row: object) -> None:
        """A fault for every word of a row that its table does not know."""
        allowed = self.tables[name]
        for word, typed in row.items() if isinstance(row, dict) else ():
            if word not in allowed:
                field = f"{name}.{word}"[:LONGEST_FIELD]
                self.fault(field, typed, "one of " + " ".join(allowed), nearest(word, allowed))

    def fault(self, field: str, typed: object, allowed: str, remedy: str) -> None:
        """Keep one thing that is wrong."""
        self.faults.append(Fault(field, as_typed(typed), allowed, remedy))

    def get(self, table: str, word: str, default: object) -> object:
        """What is typed, or the default."""
        found = self.table.get(table, {})
        return found.get(word, default) if isinstance(found, dict) else default

    def choice(self, table: str, word: str, words: tuple[str, ...], default: str) -> str:
        """One word of a closed list; the default after a fault."""
        value = self.get(table, word, default)
        if value not in words:
            self.fault(f"{table}.{word}", value, " | ".join(words), "use one of these")
            return default
        return str(value)

    def text(self, table: str, word: str, default: str, limit: int = 60) -> str:
        """Text on one line; the default after a fault."""
        value = self.get(table, word, default)
        if not isinstance(value, str) or len(value) > limit or "\n" in value:
            allowed = f"up to {limit} characters on one line"
            self.fault(f"{table}.{word}", value, allowed, "shorten it, in quotes")
            return default
        return value

    def length(self, field: str, typed: object, low: float, high: float) -> float:
        """A length in mm.

        ``typed``: as the file has it, a bare number in the file's unit; ``low``, ``high``: its
        range in inches, whatever the file's unit. After a fault the middle of the range, so that
        what rests on it can be read on.
        """
        factor = 1.0 if self.unit == "in" else units.IN
        says = f"{low * factor:.4g} .. {high * factor:.4g} {self.unit}"
        try:
            value = units.parse(typed, "length", self.unit)
        except units.UnitError as e:
            self.fault(field, typed, says, str(e))
            return (low + high) / 2 * units.IN
        if not low * units.IN - EDGE <= value <= high * units.IN + EDGE:
            self.fault(field, typed, says, "measure it again")
        return value

    def number(self, field: str, typed: object, low: float, high: float) -> float:
        """A plain number within ``low`` to ``high``; ``low`` after a fault.

        Text is a fault even where it reads as a number, and so is true or false.
        """
        if (
            isinstance(typed, bool)
            or not isinstance(typed, int | float)
            or not low <= typed <= high
        ):
            self.fault(field, typed, f"a number, {low:g} .. {high:g}", "type a plain number")
            return low
        return float(typed)

    def rows(self, table: str) -> list[tuple[str, dict[str, object]]]:
        """Keys and rows of a list table that can be read, in the file's order.

        Every row has its key and every word its table wants, and keys do not repeat; a row that
        has not is a fault and left out. Empty, after a fault, for what is no list of tables.
        """
        found = self.table.get(table, [])
        if not isinstance(found, list) or not all(isinstance(row, dict) for row in found):
            allowed = f"rows, each under [[{table}]]"
            self.fault(f"[{table}]", "", allowed, "write it with double brackets")
            return []
        good: dict[str, dict[str, object]] = {}
        for number, row in enumerate(found, 1):
            key = row.get("key")
            if not isinstance(key, str) or not _is_key(key) or key in good:
                allowed = f"a name of its own, 1 to {LONGEST_KEY} characters"
                self.fault(f"{table}.{number}.key", key, allowed, "say what is painted on the rack")
                continue
            missing = [
                word for word in self.tables[table] if word not in OPTIONAL and word not in row
            ]
            if missing:
                allowed = "with " + ", ".join(missing)
                self.fault(f"{table}.{number}", key, allowed, "add what is missing")
                continue
            good[key] = row
        return list(good.items())

    def steel(self, field: str, name: object) -> str:
        """A steel of the table; its first after a fault."""
        known = [row["key"] for row in table_rows("steels")]
        if name not in known:
            remedy = "use a steel of the table: its strength must be known"
            self.fault(field, name, " | ".join(known), remedy)
            return known[0]
        return str(name)


def _is_key(text: str) -> bool:
    """Whether a name can stand on one line of a list."""
    return 1 <= len(text) <= LONGEST_KEY and "\n" not in text


def nearest(name: str, known: tuple[str, ...]) -> str:
    """The word most like the one typed, in a sentence."""
    found = difflib.get_close_matches(name[:LONGEST_FIELD], known, n=1, cutoff=0.5)
    return f"the nearest known one is {found[0]}" if found else "see the example in the README"
