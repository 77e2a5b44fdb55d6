"""The form on the phone: one file under a strict policy, the same rows as the job file, and what it
hands back taken in; a real browser at the size of a phone and of a desk (headless Chromium, where
it is installed).
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import CHROMIUM, DESK, Browser, Tab, browser, saved
from soapstone.cli.archive.releasing import inputs_of
from soapstone.layout import units
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.form import blank_job
from soapstone.layout.job.sheet import sheet_rows
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from soapstone.parts.drawing.display import PAGE
from soapstone.parts.drawing.spans import span
from soapstone.parts.form.facts import FIRST, facts, said
from soapstone.parts.form.html import form
from soapstone.parts.truck.needs import first_fields
from typed import DEMO, run

needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
MOST = 600_000
"""Bytes of the form without photos."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A blank truck, its form, and photos to take."""
    from PIL import Image

    made = tmp_path_factory.mktemp("form")
    (made / "T1.toml").write_text(blank_job("T1"))
    run("readings", str(made / "T1.toml"), "--form", str(made / "T1.html"))
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "Maker"
    shot = Image.effect_noise((2400, 1200), 40).convert("RGB")
    shot.save(made / "shot.jpg", exif=exif)
    (made / "no.jpg").write_bytes(b"no photo at all")
    with (made / "huge.jpg").open("wb") as file:
        file.truncate(50_000_000)
    return made


def test_one_small_file_under_its_own_policy(folder: Path) -> None:
    text = (folder / "T1.html").read_text()
    assert len(text.encode()) <= MOST and len(form(load(DEMO))) <= MOST
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text).group(1)
    assert "default-src 'none'" in policy and "unsafe" not in policy and "http" not in policy
    assert "connect-src" not in policy and "form-action 'none'" in policy
    for tag in ("style", "script"):
        inside = re.search(rf"<{tag}>(.*?)</{tag}>", text, re.S).group(1)
        own = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"'sha256-{own}'" in policy, tag
    outside = text.replace("http://www.w3.org/2000/svg", "")
    found = re.findall(r"https?://| style=| on[a-z]+=|innerHTML|fetch\(|eval\(", outside)
    assert not found


def test_the_form_asks_what_the_measuring_sheet_asks() -> None:
    """Every row of the sheet is a field of the form, at its stop, with its code and its words."""
    job = load(DEMO)
    known = facts(job)
    codes = [field["code"] for field in known["fields"]]
    assert set(codes) == {row.code for row in sheet_rows(job)} | {
        field.sheet_code for field in FIELDS.values() if field.at_truck
    }
    stops = [field["stop"] for field in known["fields"]]
    assert stops == sorted(stops) and set(stops) == set(range(len(known["stops"])))
    assert known["known"] == {row.reading: row.value for row in sheet_rows(job) if row.value} | {
        path: typed for path, typed in known["known"].items() if path.startswith(("job.", "units."))
    }


def test_no_key_of_the_job_file_is_read_by_people() -> None:
    shown = [said(name) for name in FIELDS]
    assert not [text for text in shown if re.search(r"[_*]|\.\w|centre|tyre", text)]


def test_every_arrow_lies_in_the_sketch_and_starts_at_its_datum() -> None:
    """Along from the plumb line, across from the center line, up from floor, rail or hub."""
    for field in FIELDS.values():
        place = span(field)
        for x, y in filter(None, (place.at, place.start)):
            assert 140 <= x <= 700 and 60 <= y <= PAGE[1], field.name
        words = field.how.lower()
        if field.kind == "length" and "full-bump plumb line" in words and place.start:
            assert place.start[0] == 590.0, field.name
        if field.kind == "length" and "from the center line" in words:
            assert place.plan and place.start and place.start[1] == 184.0, field.name
        if field.kind == "length" and re.search(r"floor to|above the floor", words):
            assert place.start is not None and place.start[1] == 321.0, field.name


@pytest.fixture(scope="module")
def opened(folder: Path) -> Iterator[Browser]:
    with browser(folder) as made:
        yield made


@pytest.fixture(scope="module")
def phone(opened: Browser, folder: Path) -> Tab:
    """The form on a phone, begun by touch."""
    tab = opened.tab((folder / "T1.html").as_uri())
    tab.offline()
    tab.touch("input[type=text]")
    tab.types("Pat")
    tab.touch("input[placeholder]")
    tab.types("tape 2")
    tab.touch("button", "Begin")
    return tab


SPELLED = {
    "length": (
        "23 7/16", "-3 1/4", "1' 11 1/2\"", "2ft 3in", "595.3 mm", "17-1/2\"", "½", "23 ⅞", ".5",
        "1e2", "+4", "5 1/7", "5 9/8", "1' 13\"", "seven", "5, 3", "5 lbf", "", "1 2 3", "12 in 3",
        "99999 3/16", "- 3",
    ),
    "angle": ("6", "3° 30'", "0.1 rad", "-4.5 deg", "5° 70'", "12°"),
    "force": ("860 lbf", "3.8 kN", "390 kgf", "5"),
    "rate": ("225", "39.4 N/mm", "225 lb per in"),
    "count": ("8.75", "3 in", "1/2"),
}  # fmt: skip


@needs_chromium
def test_the_phone_reads_what_the_job_file_reads(phone: Tab) -> None:
    """The form's script against the module that knows units, spelling by spelling."""
    for kind, texts in SPELLED.items():
        for text in texts:
            mine = phone.run(
                f"(() => {{ try {{ return valued({json.dumps(text)}, '{kind}') }}"
                " catch (error) { return error.message } })()"
            )
            try:
                own = units.parse(text, kind, units.SHORT.get(kind, ("",))[0])
            except units.UnitError:
                assert isinstance(mine, str) and len(mine) > 20, (kind, text, mine)
            else:
                assert mine == pytest.approx(own, abs=1e-9), (kind, text)


@needs_chromium
def test_keys_by_touch_give_a_fraction_and_the_check_comes_at_once(phone: Tab) -> None:
    phone.run("go('frame.station.1.outer')")
    phone.touch(".box-in")
    for key in ("1", "7"):
        phone.touch(".digits button", key)
    phone.touch(".parts button", "3/8")
    phone.touch(".parts button", "1/2")
    phone.touch(".last button", "Next")
    assert phone.run("document.activeElement.dataset.path") == "frame.station.1.outer.right"
    phone.types("45")
    told = phone.run("[...document.querySelectorAll('.told')].map(x => x.textContent).join('|')")
    assert "Left and right differ by 27 1/2 in" in told and "allowed is 5 in to 40 in" in told
    phone.touch(".last button", "Clear")
    phone.types("17 9/16")
    assert phone.run("entry('frame.station.1.outer.left').value") == "17 1/2"
    phone.run("go('frame.station.1.outside')")
    phone.types("36")
    told = phone.run("document.querySelector('.told').textContent")
    assert "outer left + outer right gives 35 1/16 in" in told
    phone.touch(".last button", "Clear")
    phone.types("35 1/16")
    assert phone.run("document.querySelector('.told').textContent") == "within range"


@needs_chromium
def test_the_state_of_the_truck_is_checked(phone: Tab) -> None:
    phone.run("go('frame.station.1.bottom')")
    phone.types("25 1/4")
    assert "Say how the truck stands" in phone.run("document.querySelector('.told').textContent")
    phone.touch(".states button", "frame on stands")
    told = phone.run("document.querySelector('.told').textContent")
    assert "read at ride height, and the truck was frame on stands" in told
    phone.touch(".states button", "at ride height")
    assert phone.run("document.querySelector('.told').textContent") == "within range"


@needs_chromium
def test_what_was_typed_outlives_a_reload_and_stands_in_a_second_window(
    phone: Tab, opened: Browser, folder: Path
) -> None:
    phone.run("go('frame.station.1.outer')")
    phone.run("change('frame.station.1.outer.left', {value: '17 1/2'})")
    phone.run("go('frame.station.1.bottom')")
    phone.reload()
    assert phone.run("entry('frame.station.1.outer.left').value") == "17 1/2"
    assert phone.run("who.at") == "frame.station.1.bottom", "where it was left"
    other = opened.tab((folder / "T1.html").as_uri(), DESK)
    other.run("go('frame.station.2.outer')")
    phone.run("go('frame.station.2.outer')")
    other.types("18")
    phone.until("document.querySelector('.box-in').value === '18'")
    phone.touch(".box-in")
    phone.types("3")
    other.until("document.querySelector('.box-in').value !== '18'")
    for tab in (phone, other):
        tab.run("change('frame.station.2.outer.left', {value: '18'})")
    assert not other.complaints(), other.complaints()


@needs_chromium
def test_photos_are_scaled_and_what_is_no_photo_is_told(phone: Tab, folder: Path) -> None:
    phone.run("go('frame.station.1.outer')")
    for name, says in (("no.jpg", "not a photo"), ("huge.jpg", "50 MB")):
        phone.chooses("#beside input[type=file]", folder / name)
        phone.until(f"document.getElementById('photo-told').textContent.includes('{says}')")
    phone.chooses("#beside input[type=file]", folder / "shot.jpg")
    phone.until("document.querySelectorAll('.photos img').length === 1")
    phone.until("document.querySelector('.photos img').naturalWidth === 1600")
    phone.run("go('frame.station.1.outer'), go('frame.station.2.wall')")
    phone.touch("#beside button", "Cannot be measured")
    phone.types("no room <b>")
    assert "leave out < and >" in phone.run("document.querySelector('.told').textContent")
    phone.run("change('frame.station.2.wall.left', {cannot: 'tank in the way'})")


@needs_chromium
def test_a_part_at_a_time_asks_only_what_the_part_needs(phone: Tab) -> None:
    """What is cut first stands at the head; then a part the fitter chose."""
    phone.run("show('parts')")
    phone.touch("ul.parts button", FIRST)
    assert set(phone.run("line().map(item => item.field.name)")) <= first_fields()
    phone.run("show('parts')")
    phone.touch("ul.parts button", "fish plate")
    assert phone.run("who.only") == "fish plate"
    fields = phone.run("line().map(item => item.field.name)")
    own = next(row for row in facts(load(DEMO))["parts"] if row["title"] == "fish plate")
    names = [field["name"] for field in facts(load(DEMO))["fields"]]
    assert set(fields) <= {names[int(place)] for place in own["fields"]}
    phone.run("show('walk')")


@needs_chromium
def test_the_form_by_keyboard_alone(opened: Browser, folder: Path) -> None:
    """At a desk: the first stop by Tab and Enter, three readings, and on to the last page."""
    tab = opened.tab((folder / "T1.html").as_uri(), DESK)
    tab.run("go('arms.joint_thread')")
    for text in ("2", "1 1/4", "12"):
        tab.types(text)
        tab.presses("Enter")
    assert tab.run("entry('arms.joint_thread').value") == "2"
    assert tab.run("entry('arms.joint_engagement').value") == "1 1/4"
    tab.reload()
    for _ in range(12):
        tab.presses("Tab")
        if tab.run("document.activeElement.id") == "to-hand":
            break
    tab.presses("Enter")
    assert tab.run("document.querySelector('h1').textContent") == "Hand back"
    assert not tab.complaints(), tab.complaints()


@needs_chromium
def test_what_is_handed_back_is_taken_and_photos_stand_beside_the_job(
    phone: Tab, folder: Path
) -> None:
    """Without a network, after a reload."""
    from PIL import Image

    phone.run(
        "change('frame.station.1.outer.left', {value: '17 1/2'}),"
        " change('frame.station.1.bottom.left', {value: '25 1/4', state: 'ride'}),"
        " change('frame.station.2.wall.left', {value: '', cannot: 'tank in the way'}),"
        " keepPhotos('frame.station.1.outer.left', []).then(() => go('frame.station.1.outer'))"
    )
    phone.chooses("#beside input[type=file]", folder / "shot.jpg")
    phone.until("document.querySelectorAll('.photos img').length === 1")
    phone.reload()
    phone.run("show('hand')")
    phone.touch("button", "Save the file")
    file = saved(folder)
    job = folder / "T1.toml"
    told = run("readings", str(job), "--take", str(file))
    assert "cannot be measured F-24" in told and "tank in the way (Pat)" in told
    got = load(job)
    left = got.readings[Key("frame.station.1.outer", "L")]
    assert left.value == pytest.approx(17.5 * 25.4) and left.by == "Pat" and left.date
    assert left.instrument == "tape 2"
    assert got.readings[Key("frame.station.1.bottom", "L")].state == "ride"
    photo = folder / "T1.photos" / "F-21-1-left-1.jpg"
    with Image.open(photo) as picture:
        assert picture.size == (1600, 800) and not picture.getexif() and "exif" not in picture.info
    beside = tomllib.loads((folder / "T1.taped.toml").read_text())["said"]
    assert beside["frame.station.1.outer.left"]["photos"] == [photo.name]
    before = (folder / "T1.taped.toml").read_bytes()
    run("readings", str(job), "--take", str(file))
    assert (folder / "T1.taped.toml").read_bytes() == before, "twice is once"
    assert [x.name for x in photo.parent.iterdir()] == [photo.name]
    phone.run("change('frame.station.1.outer.left', {value: '17 5/8'})")
    (folder / "downloads" / file.name).unlink()
    phone.touch("button", "Save the file")
    run("readings", str(job), "--take", str(saved(folder)))
    left = load(job).readings[Key("frame.station.1.outer", "L")]
    assert left.value == pytest.approx(17.625 * 25.4), "corrected on the phone, handed back again"
    run("readings", str(job), "--form", str(folder / "T1.html"))
    phone.reload()
    phone.run("ENTRIES.get('frame.station.1.outer.left').sent = ''")
    phone.run("FACTS.known['frame.station.1.outer.left'] = '18'")
    field = "FACTS.fields[BY_NAME.get('frame.station.*.outer')]"
    told = phone.run(f"judged('frame.station.1.outer.left', {field}).ask.join()")
    assert "The job now says 18" in told
    assert not phone.complaints(), phone.complaints()


@needs_chromium
def test_a_bad_file_takes_nothing_in_part(folder: Path, tmp_path: Path) -> None:
    """A value out of range, and a photo that is none, beside good readings."""
    job = tmp_path / "T1.toml"
    job.write_text(blank_job("T1"))
    right = {"path": "frame.wheelbase", "code": "F-01", "value": "144 in", "state": "ride"}
    wrong = {"path": "frame.station.1.outer.left", "code": "F-21", "value": "45 in"}
    none = "data:image/jpeg;base64," + base64.b64encode(b"\xff\xd8 none").decode()
    for bad, says in (
        (wrong, "5 in .. 40 in"),
        ({**wrong, "value": "17", "photos": [none]}, "not"),
    ):
        file = tmp_path / "back.txt"
        facts = {"soapstone form": 1, "chassis": "T1", "readings": [right, bad]}
        file.write_text(json.dumps(facts))
        assert says in run("readings", str(job), "--take", str(file), code=3)
        assert sorted(x.name for x in tmp_path.iterdir()) == ["T1.toml", "back.txt"]


def test_a_photo_handed_back_as_it_came_loses_where_it_was_taken(tmp_path: Path) -> None:
    """A file that did not go through the form's canvas: the second stripping is the tool's own."""
    import io

    from PIL import Image

    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    raw = io.BytesIO()
    Image.new("RGB", (64, 32), "red").save(raw, "JPEG", exif=exif, comment=b"home")
    assert b"Exif" in raw.getvalue() and b"home" in raw.getvalue()
    job = tmp_path / "T1.toml"
    job.write_text(blank_job("T1"))
    shot = "data:image/jpeg;base64," + base64.b64encode(raw.getvalue()).decode()
    row = {"path": "frame.wheelbase", "code": "F-01", "remark": "pin in view", "photos": [shot]}
    file = tmp_path / "back.json"
    file.write_text(json.dumps({"soapstone form": 1, "chassis": "T1", "readings": [row]}))
    run("readings", str(job), "--take", str(file))
    kept = (tmp_path / "T1.photos" / "F-01-1.jpg").read_bytes()
    assert kept in inputs_of(job, None).values(), "a release keeps it with the readings"
    assert b"Exif" not in kept and b"home" not in kept and b"GPS" not in kept
