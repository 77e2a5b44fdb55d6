"""Shop documents written in another process, from what is sent there, and taken again."""

from __future__ import annotations

import pickle
import re
from pathlib import Path

import pytest
from built_jobs import made
from designs import designed_of, looked_at
from pdf_text import pages
from soapstone.cli.building import sheet_files
from soapstone.cli.building.build import Build
from soapstone.cli.building.nest_files import nest_files
from soapstone.cli.building.travel_files import travel_files
from soapstone.layout import reader
from soapstone.layout.reader import Speech, System, Voice
from soapstone.parts import documents
from soapstone.parts.design.site import SlipError
from trucks import job


def sent() -> sheet_files.SheetsToWrite:
    """What is sent for the demo, as it arrives."""
    found = designed_of(job("demo"))
    build = Build(found, looked_at(found))
    cut = [part for part in build.truck.parts if build.judged.cut(part.id)[0]]
    nested = nest_files(build.job, cut, build.shop, build.kept, foot=build.foot)[1]
    work = sheet_files.sheets_to_write(build, nested, travel_files(build)[1])
    arrived = pickle.loads(pickle.dumps(work))
    assert isinstance(arrived, sheet_files.SheetsToWrite)
    return arrived


def test_what_is_written_elsewhere_kept_or_not_is_the_same_to_the_byte(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    work, before = sent(), reader.reader()
    monkeypatch.setenv("SOAPSTONE_CACHE", "off")
    alone, packets = sheet_files.document_files(work)
    monkeypatch.setenv("SOAPSTONE_CACHE", str(tmp_path))
    assert sheet_files.document_files(work) == (alone, packets)
    monkeypatch.setattr(documents.steps, "shown", None)  # nothing is drawn the second time
    monkeypatch.setattr(documents.engine, "_built", None)
    assert sheet_files.document_files(work._replace(key="0" * 64)) == (alone, packets)
    monkeypatch.setattr(documents, "files", None)
    assert sheet_files.document_files(work) == (alone, packets)
    assert alone.items() <= made("demo").files.items()
    assert reader.reader() is before


@pytest.mark.again
def test_no_sheet_kept_for_one_reader_is_given_to_another(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Units and words of the trade are put in where text is laid out, so that two sheets may say
    the same until then.
    """
    monkeypatch.setenv("SOAPSTONE_CACHE", str(tmp_path))
    work = sent()
    sheet_files.document_files(work)
    other = work._replace(voice=Voice(System.METRIC, Speech("AU")), key="1" * 64)
    try:
        made, _ = sheet_files.document_files(other)
    finally:
        reader.take(work.voice)
    for path, data in made.items():
        if path.endswith(".pdf"):
            said = " ".join(pages(data))
            assert "Inches unless" not in said, path
            assert not re.search(r"\b(tires?|centers?|transmission)\b", said), path


def test_a_sheet_that_asks_for_holds_is_told_that_they_were_left_behind() -> None:
    with pytest.raises(SlipError, match="not sent along"):
        list(sent().truck.assembly.holds)
