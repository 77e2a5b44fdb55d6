"""The shop's own settings file (TOML): stock on hand, drills, table, cut files, weld, prices,
archive.

Every table may be left out; what is left out keeps the default of ``parts/stock``. Every fault of
the file is found in one run. ``settings.EXAMPLE`` is such a file with every table in it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError, no_toml, tables_of
from ...layout.job.fields_axle import CLASSES
from ..rules.bolts import FRICTION
from ..rules.welds import INCH_LEGS, MM_LEGS
from .classes import USES, fits, metric
from .fillers import USUAL, allowed, filler_of
from .on_hand import (
    INCH_FRAME_BOLTS,
    LAYERS,
    MM_FRAME_BOLTS,
    PlateOnHand,
    Rates,
    SheetOnHand,
    Shop,
    TubeOnHand,
    default_shop,
)
from .settings_reader import SettingsReader, nearest
from .tables import bolt, rows

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
    "rates": ("hour", "cut_inch", "pierce", "margin"),
    "paper": ("size", "terms"),
    "bolts": ("friction", "dowel", "frame_sizes", *USES, *(f"{u}_metric" for u in USES)),
}
TERMS = ("US", "AU")
PAPERS = ("letter", "tabloid", "A4", "A3")
LAYER_CHARS = set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-")
LONGEST_LAYER = 31
"""Characters of a layer's name that an R12 reader takes (common practice, no source)."""
MEASURED_OFF = 0.15
"""Share by which a measured plate may differ from what it is called: beyond, it is another plate
(common practice, no source).
"""
SIGNED = (2, 120)
"""Fewest and most characters of a name or a reason under a lower load."""
SHORTEST_PROCESS = 3
"""Letters of a weld process: GMAW, SMAW, FCAW, TIG, MIG."""
LONGEST_PATH = 200
BED = ["48 in", "96 in"]


def load_shop(path: Path | None) -> Shop:
    """Shop of a settings file, the default shop without one. All faults are gathered before any is
    told.

    Raises
    ------
    SoapstoneError
        With exit code JOB_FILE, and every fault.
    """
    if path is None:
        return default_shop()
    try:
        text = path.read_bytes()
        table = tables_of(text.decode("utf-8-sig"))
    except FileNotFoundError:
        remedy = "there is no such file; check the name"
        raise SoapstoneError(
            Exit.JOB_FILE, [Fault(str(path), "", "a shop settings file", remedy)]
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as e:
        fault = no_toml(path, text.decode("utf-8", "replace"), e)
        raise SoapstoneError(Exit.JOB_FILE, [fault]) from None
    return shop_of_table(table, path)


def shop_of_table(table: Mapping[str, object], path: Path) -> Shop:
    """The shop of a parsed settings file; ``path`` is where that stands.

    Raises SoapstoneError(JOB_FILE) with every fault.
    """
    reader = _ShopReader(table, TABLES)
    shop = reader.shop(path.parent)
    if reader.faults:
        raise SoapstoneError(Exit.JOB_FILE, reader.faults, f"{path.name}: shop settings")
    return shop


class _Loads(NamedTuple):
    """Load factors of the shop's own by case, and what is printed of them."""

    factors: dict[str, float]
    notes: tuple[str, ...]


class _ShopReader(SettingsReader):
    """The shop of a settings file."""

    def plates(self) -> tuple[PlateOnHand, ...]:
        """Plates of the file, thinnest first."""
        made = []
        for number, (key, row) in enumerate(self.rows("plate"), 1):
            nominal = self.length(f"plate.{number}.thickness", row["thickness"], 0.03, 2)
            measured = nominal
            if "measured" in row:
                measured = self.length(f"plate.{number}.measured", row["measured"], 0.03, 2)
            if abs(measured - nominal) > MEASURED_OFF * nominal:
                self.fault(
                    f"plate.{number}.measured",
                    row.get("measured"),
                    "within 15 % of the thickness",
                    "measure again: is it the plate it is called?",
                )
            made.append(
                PlateOnHand(
                    key=key,
                    thickness=nominal,
                    measured=measured,
                    steel=self.steel(f"plate.{number}.steel", row["steel"]),
                    taken="measured" in row,
                )
            )
        return tuple(sorted(made, key=lambda plate: plate.thickness))

    def tubes(self) -> tuple[TubeOnHand, ...]:
        """Tubes of the file."""
        made = []
        for number, (key, row) in enumerate(self.rows("tube"), 1):
            od = self.length(f"tube.{number}.od", row["od"], 0.25, 8)
            wall = self.length(f"tube.{number}.wall", row["wall"], 0.03, 2)
            if 2 * wall >= od:
                says = "less than half the outside diameter"
                self.fault(f"tube.{number}.wall", row["wall"], says, "measure again")
            steel = self.steel(f"tube.{number}.steel", row["steel"])
            made.append(TubeOnHand(key=key, od=od, wall=wall, steel=steel))
        return tuple(made)

    def _prices(self) -> dict[str, float]:
        return {
            key: self.number(f"{table}.{key}.price", row["price"], 0, 1000)
            for table in ("plate", "tube")
            for key, row in self.rows(table)
            if "price" in row
        }

    def loads(self) -> _Loads:
        """Load factors of the shop's own; one below the usual needs a name and a reason."""
        from ...layout.loads.cases import CASES

        usual = {case.name: case.factor for case in CASES}
        factors: dict[str, float] = {}
        notes = []
        given = self.table.get("load", [])
        for i, typed in enumerate(given if isinstance(given, list) else [given], 1):
            row = typed if isinstance(typed, dict) else {}
            key, factor = row.get("key"), row.get("factor")
            if not isinstance(key, str) or key not in usual:
                remedy = nearest(str(key), tuple(usual))
                self.fault(f"load.{i}.key", key, " | ".join(usual), remedy)
                continue
            value = self.number(f"load.{key}.factor", factor, 0.1, 10)
            words = [row.get(word) for word in ("by", "reason")]
            if value < usual[key] - 1e-9 and not all(map(_is_signature, words)):
                self.fault(
                    f"load.{key}.factor",
                    factor,
                    f"{usual[key]:g} or more, or by = and reason =",
                    "a lower load needs a name and a reason; both are printed",
                )
            factors[key] = value
            notes.append(
                f"load case {key}: factor {value:g} instead of {usual[key]:g}"
                + (f", {words[0]}: {words[1]}" if all(isinstance(w, str) for w in words) else "")
            )
        return _Loads(factors, tuple(notes))

    def sheets(self, plates: tuple[PlateOnHand, ...]) -> tuple[SheetOnHand, ...]:
        """Sheets and remnants of plates that are in stock."""
        known = tuple(plate.key for plate in plates)
        made = []
        for i, (key, row) in enumerate(self.rows("sheet"), 1):
            plate = str(row["plate"])
            if plate not in known:
                remedy = nearest(plate, known)
                self.fault(f"sheet.{i}.plate", row["plate"], " | ".join(known), remedy)
                continue
            width, length = sorted(
                self.length(f"sheet.{i}.{word}", row[word], 2, 600) for word in ("width", "length")
            )
            count = self.number(f"sheet.{i}.count", row.get("count", 0), 0, 1000)
            made.append(
                SheetOnHand(
                    stock=plate,
                    name=key,
                    width=width,
                    length=length,
                    quantity=int(count),
                )
            )
        return tuple(made)

    def _filler(self) -> str:
        """The filler as typed; its strength must be known."""
        text = self.text("weld", "filler", "")
        if text and filler_of(text) is None:
            self.fault("weld.filler", text, allowed(), "every weld's strength is worked with it")
            return ""
        return text

    def _classes(self) -> dict[str, str]:
        """Bolts' marks by use, inch grades and metric classes apart."""
        found = {}
        for size, ending in (("5/8-11", ""), ("M16x2", "_metric")):
            marks = tuple(mark for mark in CLASSES if fits(mark, size))
            for use in USES:
                word = use + ending
                if mark := self.choice("bolts", word, ("", *marks), ""):
                    found[word] = mark
        return found

    def _dowel(self) -> str:
        typed = self.get("bolts", "dowel", "")
        return self.steel("bolts.dowel", typed) if typed else ""

    def _frame_bolts(self) -> tuple[str, ...]:
        """Sizes that may hold a crossmember, smallest first, inch or metric, not both."""
        usual = MM_FRAME_BOLTS if self.unit == "mm" else INCH_FRAME_BOLTS
        given = self.get("bolts", "frame_sizes", None)
        if given is None:
            return usual
        known = [row["key"] for table in ("threads", "threads_metric") for row in rows(table)]
        if (
            not isinstance(given, list)
            or not given
            or not all(size in known for size in given)
            or len({metric(size) for size in given}) > 1
        ):
            says = f"a list of inch or of metric sizes, out of {', '.join(known)}"
            self.fault("bolts.frame_sizes", given, says, 'write frame_sizes = ["M12x1.75"]')
            return usual
        return tuple(sorted(set(given), key=lambda size: bolt(size).d))

    def _layers(self) -> dict[str, str]:
        found = dict(LAYERS)
        given = self.table.get("layers", {})
        for name, to in given.items() if isinstance(given, dict) else ():
            if name not in LAYERS:
                continue
            if isinstance(to, str) and 1 <= len(to) <= LONGEST_LAYER and not set(to) - LAYER_CHARS:
                found[name] = to
                continue
            says = f"1 to {LONGEST_LAYER} of letters, digits, _ and -"
            self.fault(f"layers.{name}", to, says, "old tables read no other layer names")
        if len(set(found.values())) < len(found):
            self.fault(
                "layers",
                "",
                "a different name for every layer",
                "two layers with one name cannot be told apart",
            )
        return found

    def _drills(self, usual: tuple[float, ...]) -> tuple[float, ...]:
        """Drills, smallest first."""
        sizes = self.get("drills", "sizes", None)
        if sizes is None:
            return usual
        if not isinstance(sizes, list) or not sizes:
            says = 'write sizes = ["1/8", "1/4"]'
            self.fault("drills.sizes", sizes, "a list of sizes", says)
            return ()
        each = (self.length(f"drills.sizes.{i}", s, 0.03, 4) for i, s in enumerate(sizes, 1))
        return tuple(sorted(each))

    def _bed(self) -> tuple[float, float]:
        """Width and length of the cutting table."""
        bed = self.get("cut", "bed", BED)
        if not isinstance(bed, list) or len(bed) != len(BED):
            self.fault("cut.bed", bed, "two lengths", 'write bed = ["48", "96"]')
            bed = BED
        width, length = (self.length(f"cut.bed.{i}", x, 6, 400) for i, x in enumerate(bed, 1))
        return width, length

    def _process(self) -> str:
        """The weld process in the shop's words."""
        process = self.text("weld", "process", "GMAW")
        if len(process.strip()) < SHORTEST_PROCESS:
            self.fault(
                "weld.process",
                process,
                "a process, such as GMAW, SMAW or FCAW",
                "a weld without a process cannot be held against anything",
            )
        return process

    def _legs(self) -> tuple[float, ...]:
        """Legs of fillets, smallest first."""
        usual = MM_LEGS if self.unit == "mm" else INCH_LEGS
        given = self.get("weld", "legs", None)
        if given is None:
            return usual
        if not isinstance(given, list) or not given:
            self.fault("weld.legs", given, "a list of sizes", 'write legs = ["3/16", "1/4"]')
            return usual
        return tuple(
            sorted({self.length(f"weld.legs.{i}", x, 0.08, 1) for i, x in enumerate(given, 1)})
        )

    def _size(self, field: str, default: str, low: float, high: float) -> float:
        """A length of a table, ``low`` to ``high`` inches."""
        table, word = field.split(".")
        return self.length(field, self.get(table, word, default), low, high)

    def shop(self, folder: Path) -> Shop:
        """The shop; meaningless if there are faults."""
        base, seen = default_shop(), len(self.faults)
        plates = self.plates() if "plate" in self.table else base.plates
        tubes = self.tubes() if "tube" in self.table else base.tubes
        prices = self._prices() if len(self.faults) == seen else {}
        drills, bed = self._drills(base.drills), self._bed()
        archive = self.text("shop", "archive", "", LONGEST_PATH)
        filler, process = self._filler(), self._process()
        name, layers = self.text("shop", "name", ""), self._layers()
        dxf = self.choice("cut", "dxf", ("R2010", "R12"), "R2010")
        unit = self.choice("cut", "unit", ("in", "mm"), "in")
        hole_least = self._size("cut.smallest_hole", "3/8 in", 0.05, 3)
        factor = self.get("cut", "hole_to_thickness", 1.5)
        hole_factor = self.number("cut.hole_to_thickness", factor, 0.5, 5)
        loads = self.loads()
        return Shop(
            plates=plates,
            tubes=tubes,
            drills=drills,
            name=name,
            layers=layers,
            dxf=dxf,
            unit=unit,
            hole_least=hole_least,
            hole_factor=hole_factor,
            bed=bed,
            prices=prices,
            weld=f"{process}, {filler or USUAL}",
            archive=str(folder / archive) if archive else "",
            loads=loads.factors,
            load_notes=loads.notes,
            sheets=self.sheets(plates),
            spacing=self._size("nest.spacing", "3/8 in", 0.1, 4),
            margin=self._size("nest.margin", "1/2 in", 0, 4),
            rates=self._rates(),
            paper=self.choice("paper", "size", PAPERS, "letter"),
            terms=self.choice("paper", "terms", TERMS, "US"),
            friction=self.choice("bolts", "friction", ("", *FRICTION), ""),
            legs=self._legs(),
            inner_radius=self._size("cut.inner_radius", "1/8 in", 0.06, 0.5),
            mark_margin=self._size("cut.mark_margin", "1/8 in", 0.04, 0.5),
            filler=filler,
            classes=self._classes(),
            dowel=self._dowel(),
            frame_bolts=self._frame_bolts(),
            reads=self.unit if self.get("units", "length", "") else "",
        )

    def _rates(self) -> Rates:
        """What work costs."""
        hour, cut_inch, pierce, margin = (
            self.number(f"rates.{word}", self.get("rates", word, 0), 0, 10_000)
            for word in TABLES["rates"]
        )
        return Rates(hour=hour, cut_inch=cut_inch, pierce=pierce, margin=margin)


def _is_signature(text: object) -> bool:
    """Whether a word can stand under a lower load."""
    fewest, most = SIGNED
    return isinstance(text, str) and fewest <= len(text.strip()) <= most
