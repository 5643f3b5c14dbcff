"""An existing Dask cluster as an executor, through Dask's own client; what it queues, retries and replaces is its own.

The setting goes out once, as a task of its own that the scheduler can do again wherever it is lost, and is copied to
every worker that is there. Dask is imported here alone, and only when a cluster is asked for.
"""

import logging
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from pricing.batch.edition import edition
from pricing.batch.engine import Engine
from pricing.batch.tls import Certificates
from pricing.batch.troubles import ClusterError, OtherEditionError, WorkerKilledError
from pricing.batch.working import Setting, work_task

NAME: Final = "casewright"
CONNECT: Final = 15.0
"""Seconds in which a scheduler must answer."""
NO_WORKER: Final = 60.0
"""Seconds for which a cluster may be without any worker: one that died is back by then."""
_COUNTED: Final = 2.0
TRIES: Final = 1
"""How often the scheduler is to try a task again whose worker died (its ``allowed-failures``)."""
LOOPBACK: Final = ("127.0.0.1", "localhost", "::1")


def trusted_wire(address: str) -> str:
    """Return the warning for an address that leads off this machine without TLS; else nothing.

    Raises
    ------
    ClusterError
        When it is no address.
    """
    try:
        parts = urlsplit(address if "://" in address else f"tcp://{address}")
        usable = parts.hostname and parts.port
    except ValueError:
        usable = None
    if not usable or parts.scheme not in ("tcp", "tls"):
        raise ClusterError(f'found "{address}"; accepted: a scheduler as tcp://HOST:PORT or tls://HOST:PORT')
    if parts.scheme == "tls" or parts.hostname in LOOPBACK:
        return ""
    return (
        f"Warning: the wire to {parts.hostname} is open: whoever reaches it reads the orders and can run any "
        "program on its machines. Outside a network of your own use tls:// with --tls."
    )


@contextmanager
def cluster(setting: Setting, address: str, tls: Path | None = None) -> Iterator[Engine]:
    """Work on a cluster that runs already.

    Parameters
    ----------
    setting : Setting
        What all tasks share.
    address : str
        Of the scheduler, such as ``tcp://127.0.0.1:8786`` or ``tls://studio-2:8786``.
    tls : Path, optional
        Folder with the certificates.

    Raises
    ------
    ClusterError
        When there is no scheduler, no worker, or no Dask here.
    OtherEditionError
        When a worker is of another edition.
    """
    client = _connected(address, tls)
    try:
        _same_edition(client, address)
        packed = client.submit(_given, setting, pure=False)
        packed.result()
        client.replicate(packed)
        executor = client.get_executor(pure=False)
        watch = _Watch(client, address)
        yield Engine(executor, work_task, (packed,), watch.width, _killed(), watch.look)
    finally:
        with suppress(Exception):  # whatever it has to say, the scheduler may be gone
            client.close(timeout=2)


def _given(setting: Setting) -> Setting:
    """Return the setting: a task, so that it can be done again."""
    return setting


def _connected(address: str, tls: Path | None) -> Any:
    """Return a client."""
    certificates = Certificates.of(tls) if tls else None
    try:
        import distributed
    except ImportError as error:
        raise ClusterError(
            "A cluster needs Dask, which is not installed here; accepted: pip install 'casewright[cluster]'"
        ) from error
    _hush()
    dask: Any = distributed  # its functions have no types of their own
    security = certificates and dask.Security(
        tls_ca_file=str(certificates.authority),
        tls_client_cert=str(certificates.certificate),
        tls_client_key=str(certificates.key),
        require_encryption=True,
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # versions are compared by us, and told as a refusal
            return dask.Client(address, timeout=CONNECT, security=security, set_as_default=False, name=NAME)
    except (OSError, ValueError, TypeError, RuntimeError) as error:
        raise ClusterError(
            f"No scheduler answers at {address} ({_said(error)}). Is it started, and reached?"
        ) from error


def _hush() -> None:
    """Let Dask's loggers, each of which has a level of its own, be silent: what they would say is said once, by us."""
    for name in (*logging.root.manager.loggerDict, "distributed", "tornado.application", "asyncio"):
        if name.partition(".")[0] in ("distributed", "tornado", "asyncio"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


def _said(error: BaseException) -> str:
    """Return the first line of what an exception says."""
    return (str(error).strip() or type(error).__name__).splitlines()[0]


def _same_edition(client: Any, address: str) -> None:
    """Refuse a cluster of which any worker is of another edition, or that has none."""
    try:
        client.wait_for_workers(1, timeout=CONNECT)
    except TimeoutError as error:
        raise ClusterError(f"No worker has joined the scheduler at {address}. Start one there first.") from error
    # Two steps: an older version has no edition to ask for.
    versions = _answers(client, version, NAME)
    if other := {f"{NAME} {each}" for each in versions if each != version(NAME)}:
        raise OtherEditionError(edition(), other)
    if other := {each for each in _answers(client, edition) if each != edition()}:
        raise OtherEditionError(edition(), other)


def _answers(client: Any, call: Any, *words: str) -> list[str]:
    """Ask every worker."""
    told = client.run(call, *words, on_error="return")
    return [f"unknown ({_said(each)})" if isinstance(each, BaseException) else str(each) for each in told.values()]


def _killed() -> tuple[type[BaseException], ...]:
    from distributed.scheduler import KilledWorker

    return KilledWorker, WorkerKilledError


class _Watch:
    """Knows how many workers there are, and whether the scheduler still is."""

    def __init__(self, client: Any, address: str) -> None:
        self._client, self._address = client, address
        self._at, self._count, self._seen = 0.0, 1, time.monotonic()

    def width(self) -> int:
        """Return how many workers there are; asked anew every other second."""
        now = time.monotonic()
        if now - self._at > _COUNTED:
            self._at = now
            try:
                self._count = len(self._client.nthreads())
            except Exception as error:  # its client raises nearly anything when the scheduler is gone
                raise self._gone() from error
            if self._count:
                self._seen = now
        return max(1, self._count)

    def look(self, error: BaseException | None) -> None:
        """Look whether there are a scheduler and workers."""
        if error is not None and (type(error).__module__.startswith(("distributed", "concurrent", "asyncio"))):
            raise self._gone() from error
        if self._client.status != "running":
            raise self._gone()
        self.width()
        if time.monotonic() - self._seen > NO_WORKER:
            raise ClusterError(f"For {NO_WORKER:.0f} s there was no worker at {self._address}.")

    def _gone(self) -> ClusterError:
        return ClusterError(f"The scheduler at {self._address} is gone.")
