import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import Fault, FaultsFound
from nesting.base.shown import shown, shown_on_a_line
from nesting.base.toml_text import tables_of

OBEYED = ("\x1b", "\x9b", "\x07", "\x08", "\r", "\x7f", "\u202e", "\u2066", "\u2028", "\udc80", "\0")


@pytest.mark.parametrize("character", OBEYED)
def test_what_a_terminal_would_obey_is_written_out(character: str) -> None:
    assert shown(f"a{character}b") == f"a\\u{ord(character):04x}b"


def test_what_people_write_stays() -> None:
    text = "Größe 30 1/2″, 李禹煥\t“Réunion”\nفنجان 👩🏽‍🎨"
    assert shown(text) == text
    assert shown_on_a_line("one\ntwo") == "one\\ntwo"


@given(st.text())
def test_nothing_that_is_obeyed_is_left_and_json_means_the_same(text: str) -> None:
    told = shown(text)
    assert not any(character in told for character in OBEYED)
    assert shown(told) == told
    written = json.dumps({text: text}, ensure_ascii=False)
    assert json.loads(shown(written)) == {text: text}


def test_a_fault_is_one_line_that_no_name_can_end_or_colour() -> None:
    told = Fault("a\x1b[31m.toml", 3, "key\nWritten to /", "x", "nothing like \x9b2J").message
    assert "\n" not in told
    assert told.isprintable()
    assert "key\\nWritten" in told


def test_every_control_character_of_a_toml_file_is_one_fault_at_its_key() -> None:
    text = (
        '"ev\\u001bil" = 1\n[[good]]\nname = "ply\\u0007"\n[a.b]\nnote = "two\\nlines\\tfine"\nc = ["x", "\\u007f"]\n'
    )
    with pytest.raises(FaultsFound) as found:
        tables_of(text, "shop.toml", "TOML")
    assert sorted((fault.column, fault.found) for fault in found.value.faults) == [
        ("a.b.c", "\\u007f"), ("ev\\u001bil", "ev\\u001bil"), ("good.name", "ply\\u0007"),
    ]  # fmt: skip


def test_what_a_terminal_obeys_is_known_in_one_place() -> None:
    """Only the room of the command prints, and there only the module that cleans (and the bar, whose own it is)."""
    root = Path(__file__).parents[3]
    words = ("typer.echo(", " print(", "sys.stdout.write", "stderr.write")
    printing = [
        path.relative_to(root).as_posix()
        for package in ("nesting", "pricing")
        for path in sorted((root / package).rglob("*.py"))
        if any(word in path.read_text("utf-8") for word in words)
    ]
    assert printing == ["pricing/cli/telling.py"]
