"""How a cluster is started, and what is said of a wire that others reach."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from nesting.base.faults import FaultsFound
from pricing.batch import starting
from pricing.batch.cluster import trusted_wire
from pricing.batch.troubles import ClusterError
from pricing.cli.command import app


def test_a_scheduler_binds_to_loopback_and_tries_once_more() -> None:
    made = starting.scheduler("127.0.0.1")
    words = " ".join(made.words)
    assert "--host tcp://127.0.0.1:8786" in words
    assert "--dashboard-address 127.0.0.1:0" in words
    assert made.environment == {"DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1"}
    assert made.warning == ""


def test_an_open_wire_is_warned_of_and_certificates_end_the_warning(tmp_path: Path) -> None:
    assert "can run any program as you" in starting.scheduler("0.0.0.0").warning  # noqa: S104 - it is what is warned of
    assert "can run any program" in starting.workers("tcp://studio-2:8786", 1, "127.0.0.1").warning
    with pytest.raises(FaultsFound) as found:
        starting.scheduler("0.0.0.0", tls=tmp_path)  # noqa: S104 - the same
    assert len(found.value.faults) == 3
    for name in ("ca.pem", "cert.pem", "key.pem"):
        (tmp_path / name).touch()
    made = starting.scheduler("0.0.0.0", tls=tmp_path)  # noqa: S104 - the same
    assert made.warning == ""
    assert "tls://0.0.0.0:8786" in made.words
    assert str(tmp_path / "key.pem") in made.words


@pytest.mark.parametrize(
    ("address", "warned"),
    [
        ("tcp://127.0.0.1:8786", False),
        ("localhost:8786", False),
        ("tls://studio-2:8786", False),
        ("studio-2:8786", True),
    ],
)
def test_the_wire_to_a_cluster_is_warned_of_where_it_is_open(address: str, warned: bool) -> None:
    assert bool(trusted_wire(address)) == warned


@pytest.mark.parametrize("address", ["studio-2", "http://studio-2:80", "tcp://:8786", "tcp://a:b", ""])
def test_what_is_no_address_is_refused(address: str) -> None:
    with pytest.raises(ClusterError, match="accepted: a scheduler as"):
        trusted_wire(address)


@pytest.mark.parametrize(
    "said",
    [
        ["cluster", "worker"],
        ["cluster", "scheduler", "tcp://127.0.0.1:8786"],
        ["batch", "x", "--out", "y", "--workers", "2", "--cluster", "tcp://127.0.0.1:8786"],
        ["batch", "x", "--out", "y", "--rows-only", "--packet"],
        ["batch", "x", "--out", "y", "--cluster", "studio-2"],
    ],
)
def test_a_call_that_is_wrong_ends_with_2(said: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(app, said)
    assert done.exit_code == 2, done.output
    assert list(tmp_path.iterdir()) == []
