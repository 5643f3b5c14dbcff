"""Starting the desk by its command: a free port on loopback, a key for the network, and clear words when it cannot."""

import re
import socket
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from pricing.desk.serve import bind, data_folder, own_addresses
from pricing.store.database import FILE
from tests.desk.running import started

COMMAND = [sys.executable, "-c", "from pricing.cli import main; main()", "desk", "--no-browser", "--data"]


def test_it_opens_on_loopback_only(tmp_path: Path) -> None:
    with started(tmp_path / "data") as address:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+", address)
        assert httpx.get(address, timeout=30, trust_env=False).status_code == 200
        port = int(address.rpartition(":")[2])
        for other in own_addresses():
            with socket.socket() as probe:
                probe.settimeout(2)
                assert probe.connect_ex((other, port)) != 0, "nobody else in the network reaches it"
    assert (tmp_path / "data" / FILE).exists()


def test_on_a_network_it_asks_for_the_key_that_it_told(tmp_path: Path) -> None:
    with started(tmp_path, "--lan") as address:
        plain, _, key = address.partition("/?key=")
        assert len(key) >= 32
        with httpx.Client(base_url=plain, timeout=30, trust_env=False) as client:
            assert client.get("/").status_code == 401
            assert client.get(f"/?key={key}", follow_redirects=True).status_code == 200


@pytest.mark.parametrize("case", ["no store", "port taken"])
def test_what_is_in_the_way_is_said_in_a_line(tmp_path: Path, case: str) -> None:
    options: list[str] = []
    taken = bind("127.0.0.1", 0)
    if case == "no store":
        (tmp_path / FILE).write_bytes(b"a letter that is no database, long enough to be looked at " * 30)
    else:
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
