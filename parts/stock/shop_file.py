"""The shop's own settings file (TOML): stock on hand, drills, table, cut files, weld, prices,
archive.

Every table may be left out; what is left out keeps the default of ``parts/stock``. Every fault of
the file is found in one run.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ...layout import units
from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.fields_axle import CLASSES
from ..rules.bolts import FRICTION
from ..rules.welds import INCH_LEGS, MM_LEGS
from . import LAYERS, PlateOnHand, Rates, SheetOnHand, Shop, TubeOnHand, default_shop, rows
from .classes import USES, fits
from .fillers import USUAL, allowed, filler_of

TABLES: dict[str, tuple[str, ...]] = {
    "shop": ("name", "archive"),
    "units": ("length",),
    "cut": (
        "unit",
        "dxf",
        "smallest_hole",
        "hole_to_thickness",
        "bed",
        "inner_radius",
        "mark_margin",
    ),
    "layers": tuple(LAYERS),
    "plate": ("key", "thickness", "measured", "steel", "price"),
    "tube": ("key", "od", "wall", "steel", "price"),
    "drills": ("sizes",),
    "weld": ("process", "filler", "legs"),
    "load": ("key", "factor", "by", "reason"),
    "sheet": ("key", "plate", "width", "length", "count"),
    "nest": ("spacing", "margin"),
    "rates": ("hour", "cut_inch", "pierce"),
    "paper": ("size",),
    "bolts": ("friction", "dowel", *USES, *(f"{u}_metric" for u in USES)),
}
PAPERS = ("letter", "tabloid", "A4", "A3")
LAYER_CHARS = set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-")
EXAMPLE = """# Shop settings. As printed they change nothing: every line says the default. Leave out what the defaults serve.
# A setting left out keeps its default; a list (plate, tube, drills, sheet) is all there is of its
# kind and leaves the other lists alone.
[shop]
# name = "our shop"
# archive = "archive"        # folder of released revisions, from this file's own folder; without it
# beside the job file

[units]
# length = "in"              # in or mm: what a bare number means in this file, and what screen and
# paper print; without it inches, and the job's own unit is printed

[cut]
unit = "in"                  # unit of the cut files, in or mm; it is in their names too
dxf = "R2010"                # or R12 for an old table
smallest_hole = "3/8"        # smaller holes are drilled, not cut
hole_to_thickness = 1.5      # and so are holes smaller than this times the plate
bed = ["48", "96"]           # what fits on the table
inner_radius = "1/8"         # least radius of an inner corner
mark_margin = "1/8"          # no scribe line nearer than this to an edge or an opening

[layers]                     # rename what the table's software wants otherwise
SCRIBE = "SCRIBE"

[weld]
process = "GMAW"
# filler = "ER70S-6"         # what is in the gun, with its size if the sheets are to say it:
# ER70S-6 .035; without it 70 ksi is ASSUMED
legs = ["1/8", "3/16", "1/4", "5/16", "3/8", "1/2"]   # fillets are made in these legs only; without it these, or 3 4 5 6 8 10 mm where [units] length = "mm"

# [[load]]                   # a load case with the shop's own factor; `soapstone rack loads` lists
# them
# key = "twist"
# factor = 2.0
# by = "who"                 # a factor below the usual one needs a name and a reason; both are
# printed
# reason = "why"

# [[sheet]]                  # sheets and remnants; without any, sheets of the table's size without
# end
# key = "R-014"              # what is painted on it
# plate = "1/4 A36"
# width = "24"
# length = "48"
# count = 1                  # 0: as many as wanted

[nest]
spacing = "3/8"              # between parts
margin = "1/2"               # to the sheet's edge

[rates]
hour = 0                     # at the bench; 0 = not counted
cut_inch = 0                 # an inch of cut
pierce = 0

[paper]
size = "letter"              # letter, tabloid, A4 or A3

# [bolts]                    # without it no torque is printed
# friction = "dry"           # dry, oiled or anti-seize
# pivot = "grade 8"          # marks of inch bolts by use: pivot, steering, frame, mount; the job's
# own go first
# pivot_metric = "class 8.8" # and of metric ones
# dowel = "A36"              # steel of the crossmember's dowels
"""


def load_shop(path: Path | None) -> Shop:
    """Shop of a settings file, the default shop without one.

    Raises SoapstoneError(JOB_FILE) with every fault.
    """
    if path is None:
        return default_shop()
    try:
        table = tomllib.loads(path.read_bytes().decode("utf-8"))
    except FileNotFoundError:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [Fault(str(path), "", "a shop settings file", "there is no such file; check the name")],
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as e:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [Fault(str(path), str(e), "TOML text", "mend that line; text stands in quotes")],
        ) from None
    r = _Reader(table)
    shop = r.shop(path.parent)
    if r.faults:
        raise SoapstoneError(Exit.JOB_FILE, r.faults, f"{path.name}: shop settings")
    return shop


class _Reader:
    """Walks the settings once; what is wrong is kept as faults and read as the default."""

    def __init__(self, table: Mapping[str, Any]) -> None:
        self.table, self.faults = table, list[Fault]()
        for name, content in table.items():
            if name not in TABLES:
                self._fault(
                    f"[{name}]", "", "one of " + " ".join(TABLES), _near(name, tuple(TABLES))
                )
                continue
            for row in content if isinstance(content, list) else [content]:
                for word in row if isinstance(row, dict) else ():
                    if word not in TABLES[name]:
                        self._fault(
                            f"{name}.{word}"[:80],
                            row[word],
                            "one of " + " ".join(TABLES[name]),
                            _near(word, TABLES[name]),
                        )
        self.unit = self._choice("units", "length", ("in", "mm"), "in")

    def _fault(self, field: str, typed: Any, allowed: str, remedy: str) -> None:
        self.faults.append(Fault(field, str(typed), allowed, remedy))

    def _get(self, table: str, word: str, default: Any) -> Any:
        found = self.table.get(table, {})
        return found.get(word, default) if isinstance(found, dict) else default

    def _choice(self, table: str, word: str, words: tuple[str, ...], default: str) -> str:
        value = self._get(table, word, default)
        if value not in words:
            self._fault(f"{table}.{word}", value, " | ".join(words), "use one of these")
            return default
        return str(value)

    def _text(self, table: str, word: str, default: str, limit: int = 60) -> str:
        value = self._get(table, word, default)
        if not isinstance(value, str) or len(value) > limit or "\n" in value:
            self._fault(
                f"{table}.{word}",
                value,
                f"up to {limit} characters on one line",
                "shorten it, in quotes",
            )
            return default
        return value

    def _length(self, field: str, typed: Any, low: float, high: float) -> float:
        """A length in mm within ``low`` to ``high`` inches; the middle of them after a fault."""
        k = 1.0 if self.unit == "in" else units.IN
        says = f"{low * k:.4g} .. {high * k:.4g} {self.unit}"
        try:
            value = units.parse(typed, "length", self.unit)
        except units.UnitError as e:
            self._fault(field, typed, says, str(e))
            return (low + high) / 2 * units.IN
        if not low * units.IN - 1e-9 <= value <= high * units.IN + 1e-9:
            self._fault(field, typed, says, "measure it again")
        return value

    def _number(self, field: str, typed: Any, low: float, high: float) -> float:
        if (
            isinstance(typed, bool)
            or not isinstance(typed, (int, float))
            or not low <= typed <= high
        ):
            self._fault(field, typed, f"a number, {low:g} .. {high:g}", "type a plain number")
            return low
        return float(typed)

    def _rows(self, table: str) -> list[dict[str, Any]]:
        """Rows of a list table; every row has its key, and keys do not repeat."""
        found = self.table.get(table, [])
        if not isinstance(found, list) or not all(isinstance(r, dict) for r in found):
            self._fault(
                f"[{table}]", "", f"rows, each under [[{table}]]", "write it with double brackets"
            )
            return []
        keys: list[str] = []
        good = []
        for i, row in enumerate(found, 1):
            key = row.get("key")
            if not isinstance(key, str) or not 1 <= len(key) <= 40 or "\n" in key or key in keys:
                self._fault(
                    f"{table}.{i}.key",
                    key,
                    "a name of its own, 1 to 40 characters",
                    "say what is painted on the rack",
                )
                continue
            missing = [
                w
                for w in TABLES[table]
                if w not in ("measured", "price", "key", "count") and w not in row
            ]
            if missing:
                self._fault(
                    f"{table}.{i}", key, "with " + ", ".join(missing), "add what is missing"
                )
                continue
            keys.append(key)
            good.append(row)
        return good

    def _steel(self, field: str, name: Any) -> str:
        known = [r["key"] for r in rows("steels")]
        if name not in known:
            self._fault(
                field,
                name,
                " | ".join(known),
                "use a steel of the table: its strength must be known",
            )
            return known[0]
        return str(name)

    def plates(self) -> tuple[PlateOnHand, ...]:
        """Plates of the file, thinnest first."""
        made = []
        for i, r in enumerate(self._rows("plate"), 1):
            t = self._length(f"plate.{i}.thickness", r["thickness"], 0.03, 2)
            measured = (
                self._length(f"plate.{i}.measured", r["measured"], 0.03, 2)
                if "measured" in r
                else t
            )
            if abs(measured - t) > 0.15 * t:
                self._fault(
                    f"plate.{i}.measured",
                    r.get("measured"),
                    "within 15 % of the thickness",
                    "measure again: is it the plate it is called?",
                )
            made.append(
                PlateOnHand(
                    r["key"],
                    t,
                    measured,
                    self._steel(f"plate.{i}.steel", r["steel"]),
                    "measured" in r,
                )
            )
        return tuple(sorted(made, key=lambda p: p.thickness))

    def tubes(self) -> tuple[TubeOnHand, ...]:
        """Tubes of the file."""
        made = []
        for i, r in enumerate(self._rows("tube"), 1):
            od, wall = (
                self._length(f"tube.{i}.od", r["od"], 0.25, 8),
                self._length(f"tube.{i}.wall", r["wall"], 0.03, 2),
            )
            if 2 * wall >= od:
                self._fault(
                    f"tube.{i}.wall",
                    r["wall"],
                    "less than half the outside diameter",
                    "measure again",
                )
            made.append(TubeOnHand(r["key"], od, wall, self._steel(f"tube.{i}.steel", r["steel"])))
        return tuple(made)

    def _prices(self) -> dict[str, float]:
        return {
            r["key"]: self._number(f"{t}.{r['key']}.price", r["price"], 0, 1000)
            for t in ("plate", "tube")
            for r in self._rows(t)
            if "price" in r
        }

    def loads(self) -> tuple[dict[str, float], tuple[str, ...]]:
        """Load factors of the shop's own; one below the usual needs a name and a reason."""
        from ...layout.loads.cases import CASES

        usual, found, notes = {c.name: c.factor for c in CASES}, {}, []
        given = self.table.get("load", [])
        for i, r in enumerate(given if isinstance(given, list) else [given], 1):
            key, factor = (
                r.get("key") if isinstance(r, dict) else None,
                r.get("factor") if isinstance(r, dict) else None,
            )
            if key not in usual:
                self._fault(f"load.{i}.key", key, " | ".join(usual), _near(str(key), tuple(usual)))
                continue
            value = self._number(f"load.{key}.factor", factor, 0.1, 10)
            words = [r.get(w) for w in ("by", "reason")]
            if value < usual[key] - 1e-9 and not all(
                isinstance(w, str) and 2 <= len(w.strip()) <= 120 for w in words
            ):
                self._fault(
                    f"load.{key}.factor",
                    factor,
                    f"{usual[key]:g} or more, or by = and reason =",
                    "a lower load needs a name and a reason; both are printed",
                )
            found[key] = value
            notes.append(
                f"load case {key}: factor {value:g} instead of {usual[key]:g}"
                + (f", {words[0]}: {words[1]}" if all(isinstance(w, str) for w in words) else "")
            )
        return found, tuple(notes)

    def sheets(self, plates: tuple[PlateOnHand, ...]) -> tuple[SheetOnHand, ...]:
        """Sheets and remnants of plates that are in stock."""
        known = [p.key for p in plates]
        made = []
        for i, r in enumerate(self._rows("sheet"), 1):
            if r["plate"] not in known:
                self._fault(
                    f"sheet.{i}.plate",
                    r["plate"],
                    " | ".join(known),
                    _near(str(r["plate"]), tuple(known)),
                )
                continue
            size = sorted(self._length(f"sheet.{i}.{w}", r[w], 2, 600) for w in ("width", "length"))
            made.append(
                SheetOnHand(
                    r["plate"],
                    r["key"],
                    *size,
                    int(self._number(f"sheet.{i}.count", r.get("count", 0), 0, 1000)),
                )
            )
        return tuple(made)

    def _filler(self) -> str:
        """The filler as typed; its strength must be known."""
        text = self._text("weld", "filler", "")
        if text and filler_of(text) is None:
            self._fault("weld.filler", text, allowed(), "every weld's strength is worked with it")
            return ""
        return text

    def _classes(self) -> dict[str, str]:
        """Bolts' marks by use, inch grades and metric classes apart."""
        found = {}
        for metric in (False, True):
            marks = tuple(m for m in CLASSES if fits(m, "M16x2" if metric else "5/8-11"))
            for use in USES:
                word = f"{use}_metric" if metric else use
                if mark := self._choice("bolts", word, ("", *marks), ""):
                    found[word] = mark
        return found

    def _dowel(self) -> str:
        typed = self._get("bolts", "dowel", "")
        return self._steel("bolts.dowel", typed) if typed else ""

    def _layers(self) -> dict[str, str]:
        found = dict(LAYERS)
        given = self.table.get("layers", {})
        for name, to in given.items() if isinstance(given, dict) else ():
            if name in LAYERS and (
                not isinstance(to, str) or not 1 <= len(to) <= 31 or set(to) - LAYER_CHARS
            ):
                self._fault(
                    f"layers.{name}",
                    to,
                    "1 to 31 of letters, digits, _ and -",
                    "old tables read no other layer names",
                )
            elif name in LAYERS:
                found[name] = to
        if len(set(found.values())) < len(found):
            self._fault(
                "layers",
                "",
                "a different name for every layer",
                "two layers with one name cannot be told apart",
            )
        return found

    def shop(self, folder: Path) -> Shop:
        """The shop; meaningless if there are faults."""
        base, seen = default_shop(), len(self.faults)
        plates = self.plates() if "plate" in self.table else base.plates
        tubes = self.tubes() if "tube" in self.table else base.tubes
        prices = self._prices() if len(self.faults) == seen else {}
        sizes = self._get("drills", "sizes", None)
        drills = base.drills
        if sizes is not None:
            drills = (
                tuple(
                    sorted(
                        self._length(f"drills.sizes.{i}", s, 0.03, 4)
                        for i, s in enumerate(sizes, 1)
                    )
                )
                if isinstance(sizes, list) and sizes
                else ()
            )
        if not drills:
            self._fault("drills.sizes", sizes, "a list of sizes", 'write sizes = ["1/8", "1/4"]')
        bed = self._get("cut", "bed", ["48 in", "96 in"])
        if not isinstance(bed, list) or len(bed) != 2:
            self._fault("cut.bed", bed, "two lengths", 'write bed = ["48", "96"]')
            bed = ["48 in", "96 in"]
        archive, filler = self._text("shop", "archive", "", 200), self._filler()
        process = self._text("weld", "process", "GMAW")
        if len(process.strip()) < 3:
            self._fault(
                "weld.process",
                process,
                "a process, such as GMAW, SMAW or FCAW",
                "a weld without a process cannot be held against anything",
            )
        return Shop(
            plates,
            tubes,
            drills,
            self._text("shop", "name", ""),
            self._layers(),
            self._choice("cut", "dxf", ("R2010", "R12"), "R2010"),
            self._choice("cut", "unit", ("in", "mm"), "in"),
            self._length("cut.smallest_hole", self._get("cut", "smallest_hole", "3/8 in"), 0.05, 3),
            self._number(
                "cut.hole_to_thickness", self._get("cut", "hole_to_thickness", 1.5), 0.5, 5
            ),
            (self._length("cut.bed.1", bed[0], 6, 400), self._length("cut.bed.2", bed[1], 6, 400)),
            prices,
            f"{process}, {filler or USUAL}",
            str(folder / archive) if archive else "",
            *self.loads(),
            self.sheets(plates),
            self._length("nest.spacing", self._get("nest", "spacing", "3/8 in"), 0.1, 4),
            self._length("nest.margin", self._get("nest", "margin", "1/2 in"), 0, 4),
            Rates(
                *(
                    self._number(f"rates.{w}", self._get("rates", w, 0), 0, 10_000)
                    for w in TABLES["rates"]
                )
            ),
            self._choice("paper", "size", PAPERS, "letter"),
            self._choice("bolts", "friction", ("", *FRICTION), ""),
            legs=self._legs(),
            inner_radius=self._length(
                "cut.inner_radius", self._get("cut", "inner_radius", "1/8 in"), 0.06, 0.5
            ),
            mark_margin=self._length(
                "cut.mark_margin", self._get("cut", "mark_margin", "1/8 in"), 0.04, 0.5
            ),
            filler=filler,
            classes=self._classes(),
            dowel=self._dowel(),
            reads=self.unit if self._get("units", "length", "") else "",
        )

    def _legs(self) -> tuple[float, ...]:
        """Legs of fillets, smallest first."""
        usual = MM_LEGS if self.unit == "mm" else INCH_LEGS
        given = self._get("weld", "legs", None)
        if given is None:
            return usual
        if not isinstance(given, list) or not given:
            self._fault("weld.legs", given, "a list of sizes", 'write legs = ["3/16", "1/4"]')
            return usual
        return tuple(
            sorted({self._length(f"weld.legs.{i}", x, 0.08, 1) for i, x in enumerate(given, 1)})
        )


def _near(name: str, known: tuple[str, ...]) -> str:
    found = difflib.get_close_matches(name[:80], known, n=1, cutoff=0.5)
    return f"the nearest known one is {found[0]}" if found else "see the example in the README"
