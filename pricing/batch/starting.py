"""The command lines by which a cluster is started: Dask's own, with what a batch counts on, and bound to loopback."""

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from pricing.batch.cluster import LOOPBACK, TRIES, trusted_wire
from pricing.batch.engine import MOST_MB
from pricing.batch.tls import Certificates
from pricing.batch.troubles import ClusterError

PORT: Final = 8786
"""Where Dask's schedulers listen by habit."""


@dataclass(frozen=True, slots=True)
class Started:
    """A program to become: its words, what its environment says besides, and a warning if there is reason for one."""

    words: tuple[str, ...]
    environment: Mapping[str, str]
    warning: str = ""


def scheduler(host: str, port: int = PORT, tls: Path | None = None) -> Started:
    """Return how a scheduler is started that tries the order of a worker that died once more."""
    secured, kind = _secured(tls)
    words = ("scheduler", "--host", f"{kind}://{host}:{port}", "--dashboard-address", "127.0.0.1:0", *secured)
    settings = {"DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": str(TRIES)}
    return Started(_dask(*words, "--no-dashboard"), settings, _open(host, tls, "scheduler"))


def workers(address: str, count: int, host: str, tls: Path | None = None) -> Started:
    """Return how so many workers are started: a process each, of one thread, replaced when it dies or grows too large.

    Dask looks after memory too: at 95 % of the limit a worker is ended, so the limit stands above what is asked of it.
    """
    warning = trusted_wire(address) or _open(host, tls, "workers")
    secured, _ = _secured(tls)
    words = (
        "worker", address, "--nworkers", str(count), "--nthreads", "1", "--host", host, "--no-dashboard",
        "--dashboard-address", "127.0.0.1:0", "--memory-limit", f"{2 * MOST_MB} MiB", *secured,
    )  # fmt: skip
    settings = {
        "DASK_DISTRIBUTED__WORKER__MEMORY__SPILL": "false",
        "DASK_DISTRIBUTED__WORKER__MEMORY__TARGET": "false",
        # Its profiler looks at the stack a hundred times a second, and nobody reads what it finds.
        "DASK_DISTRIBUTED__WORKER__PROFILE__ENABLED": "false",
    }
    return Started(_dask(*words), settings, warning)


def become(started: Started) -> None:
    """Become that program: signals, output and end are its own."""
    os.execve(started.words[0], started.words, {**os.environ, **started.environment})  # noqa: S606 - our own words


def _dask(*words: str) -> tuple[str, ...]:
    if find_spec("distributed") is None:
        raise ClusterError(
            "A cluster needs Dask, which is not installed here; accepted: pip install 'casewright[cluster]'"
        )
    return (sys.executable, "-m", "dask", *words)


def _secured(tls: Path | None) -> tuple[tuple[str, ...], str]:
    """Return the words for certificates, and the kind of wire."""
    if tls is None:
        return (), "tcp"
    found = Certificates.of(tls)
    words = ("--tls-ca-file", found.authority, "--tls-cert", found.certificate, "--tls-key", found.key)
    return tuple(map(str, words)), "tls"


def _open(host: str, tls: Path | None, what: str) -> str:
    """Return the warning for what others may reach; nothing where they may not, or must show a certificate."""
    if host in LOOPBACK or tls is not None:
        return ""
    return (
        f"Warning: the {what} can be reached from other machines at {host}, and whoever reaches them can run any "
        "program as you. Outside a network of your own give --tls."
    )
