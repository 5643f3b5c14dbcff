"""What people wrote reaches the terminal as text: no command obeys it, whichever way it came in."""

import logging
import sys
from pathlib import Path

import pytest

from pricing.cli.command import run
from pricing.cli.telling import log_shown
from pricing.cli.terminal import progress_bar
from tests.generated_orders import consignment

EVIL = "\x1b]0;owned\x07\x9b2J\u202e"
ESCAPED = "\\u001b]0;owned\\u0007\\u009b2J\\u202e"


def _run(monkeypatch: pytest.MonkeyPatch, *args: str | Path) -> int:
    monkeypatch.setattr(sys, "argv", ["casewright", *map(str, args)])
    with pytest.raises(SystemExit) as left:
        run()
    return int(str(left.value.code or 0))


def _harmless(text: str) -> bool:
    """Say whether a terminal shows all of a text (the parser's own colours are off where nobody looks)."""
    return all(character.isprintable() or character in "\n\t" for character in text)


@pytest.fixture
def order(tmp_path: Path) -> Path:
    return consignment(1).write(tmp_path)


def test_keys_of_files_names_of_files_and_arguments(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path, order: Path
) -> None:
    scenarios = tmp_path / "scenarios.toml"
    scenarios.write_text('[scenario."\\u001b]0;owned\\u0007"]\neffort = 1\n')
    shop = tmp_path / "studio"
    shop.mkdir()
    shop.joinpath("shop.toml").write_text(f'["{EVIL.translate({27: None, 7: None})}"]\nx = 1\n')
    named = tmp_path / f"order{EVIL}.toml"
    named.write_text(f'"key{EVIL[7:].translate({7: None})}" = 1\n[[artwork]]\n"w\\u001bx" = 1\n')
    out = tmp_path / "out"
    for args in (
        ("what-if", order, scenarios),
        ("quote", order, "--shop", shop, "--out", out),
        ("quote", named, "--out", out),
        ("quote", tmp_path / f"none{EVIL}.csv", "--out", out),
        ("quote", order, "--out", out, f"--{EVIL}"),
        ("quote", order, "--out", out, "--effort", EVIL),
        (EVIL,),
    ):
        assert _run(monkeypatch, *args) == 2, args
        told = capfd.readouterr()
        assert told.err.strip(), args
        assert _harmless(told.out + told.err), (args, told)
    assert not out.exists()


def test_a_heading_that_a_terminal_would_obey_is_shown_and_written_without_it(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    order = tmp_path / "order.csv"
    order.write_text(f"piece,title,height,width,depth,weight,st\x1bored{EVIL}\nA,One,20,20,1,5,shelf\n")
    status = _run(monkeypatch, "quote", order, "--out", tmp_path / f"out{EVIL}", "--effort", "quick", "--tables")
    told = capfd.readouterr()
    assert status in (0, 3), told
    assert "Written to" in told.out
    assert ESCAPED in told.out
    assert _harmless(told.out + told.err)


def test_what_is_logged_and_what_stands_on_the_bar(capfd: pytest.CaptureFixture[str]) -> None:
    with progress_bar() as progress:
        progress("sheets", 0.5, f"[bold]{EVIL}")
        logging.getLogger("nesting").info("compiled %s [red]", EVIL)
    told = capfd.readouterr().err
    assert f"compiled {ESCAPED} [red]" in " ".join(told.split())
    root = logging.getLogger()
    before = root.handlers[:]
    root.handlers[:] = []
    try:
        log_shown()
        logging.getLogger("pricing.desk").error("papers of %s", EVIL, exc_info=ValueError(EVIL))
    finally:
        root.handlers[:] = before
    told = capfd.readouterr().err
    assert f"ERROR: papers of {ESCAPED}" in told
    assert f"ValueError: {ESCAPED}" in told
    assert _harmless(told)
