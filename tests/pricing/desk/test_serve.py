"""Starting the desk by its command: a free port on loopback, a key for the network, and clear words when it cannot."""

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from pricing.desk.serve import bind, data_folder, own_addresses
from pricing.output.outgoing import KINDS
from pricing.store.folder import FILE
from tests.desk.running import started
from tests.pricing import made_by_0_1_0
from tests.pricing.made_by_0_1_0 import FIGURES

COMMAND = [sys.executable, "-c", "from pricing.cli import main; main()", "desk", "--no-browser", "--data"]


def test_it_opens_on_loopback_only(tmp_path: Path) -> None:
    with started(tmp_path / "data") as address:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+", address)
        assert httpx.get(address, headers=address.entry, timeout=30, trust_env=False).status_code == 200
        port = int(address.rpartition(":")[2])
        for other in own_addresses():
            with socket.socket() as probe:
                probe.settimeout(2)
                assert probe.connect_ex((other, port)) != 0, "nobody else in the network reaches it"
    assert (tmp_path / "data" / FILE).exists()


def test_on_a_network_it_asks_for_the_key_that_it_told(tmp_path: Path) -> None:
    with (
        started(tmp_path, "--lan") as address,
        httpx.Client(base_url=address, timeout=30, trust_env=False) as client,
    ):
        assert len(address.key) >= 32
        assert client.get("/").status_code == 401
        assert client.get(f"/?key={address.key}", follow_redirects=True).status_code == 200


@pytest.mark.skipif(os.name != "posix", reason="the browser of this test is a shell script")
def test_another_account_of_the_machine_gets_nothing(tmp_path: Path) -> None:
    """It reaches the port on loopback, and sees the browser's command line: the key in that is good once."""
    browser, seen = tmp_path / "browser", tmp_path / "seen"
    browser.write_text(f'#!/bin/sh\nprintf "%s" "$1" > {seen}.part && mv {seen}.part {seen}\n')
    browser.chmod(0o755)
    with (
        started(tmp_path / "data", browser=f"{browser} %s") as address,
        httpx.Client(base_url=address, timeout=30, trust_env=False) as client,
    ):
        for path in ("/", "/keep/everything.zip", "/?key=", "/?key=guessed", "/static/desk.js"):
            assert client.get(path).status_code == 401
        assert client.post("/jobs", data={"name": "x"}, headers={"origin": address}).status_code == 401
        end = time.monotonic() + 30
        while not seen.exists():
            assert time.monotonic() < end
            time.sleep(0.02)
        opened = seen.read_text()
        assert opened.startswith(f"{address}/?key=")
        assert address.key not in opened
        assert client.get(opened, follow_redirects=True).status_code == 200
        assert client.post("/jobs", data={"name": "x"}, headers={"origin": address}).status_code == 303
        client.cookies.clear()
        assert client.get(opened).status_code == 401
        assert client.get(f"/?key={address.key}").status_code == 303, "the key that was told opens it again"


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a signal of POSIX systems")
def test_on_the_first_start_all_that_0_1_0_sent_is_gone_through_even_after_a_kill(tmp_path: Path) -> None:
    folder = made_by_0_1_0.data_folder(tmp_path / "data")
    with subprocess.Popen([*COMMAND, str(folder)], stdout=subprocess.PIPE, text=True) as desk:
        _printed(folder, 1)
        desk.send_signal(signal.SIGKILL)
    kept = _printed(folder, 1)
    with started(folder) as address:
        assert httpx.get(address, headers=address.entry, timeout=30, trust_env=False).status_code == 200, (
            "pages do not wait for it"
        )
        assert _printed(folder, 3).keys() == {(quote["job"], quote["version"]) for quote in FIGURES["quotes"]}
        after = _printed(folder, 3)
    assert {key: after[key] for key in kept} == kept, "what was gone through before the kill was not gone through again"


def _printed(folder: Path, wanted: int) -> dict[tuple[int, int], str]:
    """Wait until so many sent quotes were gone through; return which, with the moments.

    Each has all of its papers, or none and the reason why they cannot be made.
    """
    end = time.monotonic() + 240.0
    while time.monotonic() < end:
        with closing(sqlite3.connect(folder / FILE, timeout=30)) as link:
            link.execute("BEGIN")  # all of one moment
            if link.execute("PRAGMA user_version").fetchone()[0] >= 6:
                query = """SELECT job, version, at, (SELECT count(*) FROM sent_papers s
                           WHERE s.job = p.job AND s.version = p.version), trouble FROM printings p"""
                rows = link.execute(query).fetchall()
                assert all(row[3] == (0 if row[4] else len(KINDS)) for row in rows)
                assert link.execute("SELECT count(*) FROM sent_papers").fetchone()[0] == sum(row[3] for row in rows)
                if len(rows) >= wanted:
                    return {(row[0], row[1]): row[2] for row in rows}
        time.sleep(0.05)
    raise AssertionError("they were not gone through")


def test_a_port_that_is_taken_is_said_in_a_line(tmp_path: Path) -> None:
    taken = bind("127.0.0.1", 0)
    options = ["--port", str(taken.getsockname()[1])]
    done = subprocess.run([*COMMAND, str(tmp_path), *options], capture_output=True, text=True, timeout=60, check=False)
    taken.close()
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_the_data_folder_is_the_users_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert data_folder() == tmp_path / "casewright"
    monkeypatch.delenv("XDG_DATA_HOME")
    assert data_folder().parts[-3:] == (".local", "share", "casewright")
