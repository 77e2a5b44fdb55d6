"""What a fabricator is told of a file that is no TOML: the line, what is wrong with it, what to do;
never the words of the library that reads it.
"""

from __future__ import annotations

import tomllib

import pytest
from soapstone.layout.faults import no_toml

OURS = (
    ("[spring]\nrate = 225\nwire = 1\nrate = 224\n", 4, "rate is typed twice", "in line 2 already"),
    ("[a]\nb = 1\n[c]\nb = 1\nb = 2", 5, "b is typed twice", "in line 4 already"),
    ("[a]\nb = 1\n[c]\nd = 1\n[a]\ne = 1\n", 5, "[a] stands twice", "in line 1 already"),
    ("a = { left = 1, left = 2 }\n", 1, "left is typed twice", "delete the other"),
    ('a = "x\nb = 1\n', 1, "a quote is opened", "close it on its line"),
    ('a = "x', 1, "a quote is opened", "close it"),
    ("a = { both = 1\n", 1, "a bracket is opened", "close it"),
    ("[a\nb = 1\n", 1, "a bracket is opened", "close it"),
    ("a = 1\nrate =\n", 2, "nothing readable behind", '"" for not read yet'),
    ("a = yes\n", 1, "nothing readable behind", "text in quotes"),
    ("a = 17 1/2\n", 1, "more stands behind the value", "text in quotes"),
    ("x y = 1\n", 1, "no = behind the name", "mend that line"),
    ('a = "C:\\q"\n', 1, "a \\ in quotes", "write two"),
    ('a = "1\' 11 1/2""\n', 1, "more stands behind", "leave the inch sign out"),
    ('a = "t\x01"\n', 1, "a sign that does not print", "type that line again"),
    ("= 1\n", 1, "it cannot be read", "mend that line"),
)
LIBRARY = ("Cannot", "overwrite", "Unterminated", "Invalid", "Expected", "declare", "column", "('")


@pytest.mark.parametrize(("text", "line", "says", "remedy"), OURS)
def test_it_is_said_in_a_fabricators_words(text: str, line: int, says: str, remedy: str) -> None:
    with pytest.raises(tomllib.TOMLDecodeError) as e:
        tomllib.loads(text)
    told = str(no_toml("T1.toml", text, e.value))
    assert f"T1.toml line {line}: " in told and says in told and remedy in told, told
    assert not any(word in told for word in LIBRARY), told


def test_an_empty_text_and_a_line_past_the_end_are_told_too() -> None:
    assert "line 1" in str(no_toml("T1.toml", "", tomllib.TOMLDecodeError("odd (at line 9)")))
