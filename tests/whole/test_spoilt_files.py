"""Job and shop files spoilt at random are refused in sentences or read to numbers;
``tests/soak/loads.py`` tries as many as there is time for.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
import spoilt
from soapstone.parts.stock.settings import settings_text
from trucks import DATA


@pytest.mark.parametrize("seed", range(12))
def test_spoilt_tables_are_refused_in_sentences_or_read_to_numbers(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(12):
        job, shop = spoilt.spoilt_job(draw), spoilt.spoilt_shop(draw)
        assert not spoilt.job_read(job).wrong, job
        assert not spoilt.shop_read(shop).wrong, shop


@pytest.mark.parametrize("seed", range(6))
def test_spoilt_files_are_refused_in_sentences(seed: int, tmp_path: Path) -> None:
    draw = random.Random(seed)
    job, shop = tmp_path / "t.toml", tmp_path / "shop.toml"
    for _ in range(6):
        job.write_bytes(spoilt.spoilt_text(draw, (DATA / "demo.toml").read_text()))
        shop.unlink(missing_ok=True)
        assert not spoilt.file_read(job).wrong
        job.write_text(spoilt.file_of(spoilt.spoilt_job(draw)))
        shop.write_bytes(spoilt.spoilt_text(draw, settings_text()))
        assert not spoilt.file_read(job).wrong


def test_what_is_written_for_it_is_what_was_meant() -> None:
    """The writer of these files against Python's reader of TOML."""
    import tomllib

    for name in ("demo", "demo_uneven"):
        table = tomllib.loads((DATA / f"{name}.toml").read_text())
        assert tomllib.loads(spoilt.file_of(table)) == table
