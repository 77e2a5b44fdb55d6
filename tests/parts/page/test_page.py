"""The page of a chassis: self-contained under its own content policy, and drawn by a real browser
(headless Chromium, where it is installed).
"""

from __future__ import annotations

import base64
import hashlib
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from typed import soapstone

CHROMIUM = shutil.which("chromium")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("page")
    got = soapstone("demo", "--out", str(out))
    assert got.returncode == 0, got.stderr
    return out / "DEMO1" / "draft" / "index.html"


def test_one_file_under_its_own_policy(page: Path) -> None:
    text = page.read_text()
    assert len(text) < 3_000_000
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text).group(1)
    assert "default-src 'none'" in policy and "unsafe" not in policy
    for tag in ("style", "script"):
        inside = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.S)
        assert len(inside) == 1
        assert (
            f"'sha256-{base64.b64encode(hashlib.sha256(inside[0].encode()).digest()).decode()}'"
            in policy
        ), tag
    assert (
        not re.search(r'(src|href)="(https?:|//)', text)
        and " style=" not in text
        and " onclick" not in text
    )


def test_links_lead_to_files_that_are_there(page: Path) -> None:
    links = [x for x in re.findall(r'href="([^"#][^"]*)"', page.read_text())]
    assert len(links) > 100 and all((page.parent / x).is_file() for x in links), [
        x for x in links if not (page.parent / x).is_file()
    ][:3]


def test_words_a_screen_reader_needs(page: Path) -> None:
    text = page.read_text()
    assert (
        'lang="en"' in text
        and 'aria-live="polite"' in text
        and text.count('role="img"') > 50
        and "not an approval" in text
    )
    assert len(re.findall(r'<canvas[^>]*tabindex="0"[^>]*aria-label', text)) == 1


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.parametrize(("wide", "tall"), [(1280, 900), (400, 900)], ids=["desk", "phone"])
def test_a_browser_draws_the_truck_without_a_complaint(
    page: Path, tmp_path: Path, wide: int, tall: int
) -> None:
    """Pixels of made parts (blue) and of the truck (grey) in the picture; nothing on the console,
    nothing refused.
    """
    from PIL import Image

    shot = tmp_path / "shot.png"
    flags = (
        "--headless --no-sandbox --use-gl=angle --use-angle=swiftshader --enable-unsafe-swiftshader"
        " --disable-quic --no-first-run --disable-background-networking --disable-component-update"
        " --disable-sync --hide-scrollbars --enable-logging=stderr"
    )
    got = subprocess.run(
        [
            str(CHROMIUM),
            *flags.split(),
            f"--user-data-dir={tmp_path / 'profile'}",
            f"--window-size={wide},{tall}",
            "--virtual-time-budget=5000",
            f"--screenshot={shot}",
            page.as_uri(),
        ],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
    )
    said = [x for x in got.stderr.splitlines() if "CONSOLE" in x or "Refused" in x]
    assert not said, said
    picture = Image.open(shot).convert("RGB")
    pixels = list(picture.getdata())
    blue = sum(1 for r, g, b in pixels if b > r + 40 and b > 70 and g < b)
    grey = sum(1 for r, g, b in pixels if abs(r - g) < 12 and 5 < r - b < 40 and 90 < r < 230)
    assert blue > 1000 and grey > 800, (blue, grey)
