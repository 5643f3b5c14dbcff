"""What a worker of the desk may take of the machine: a share of its memory, after which the worker ends by itself.

The system counts what a process has asked for (``RLIMIT_DATA``, which Linux applies to all memory that is not shared).
What is refused raises MemoryError, or ends a library that looks for none; either way the desk goes on, says so, and
starts another worker with the next search. Without a limit the system would end whichever program it finds largest.
"""

import os
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Final

from pricing.batch.memory import whole_mb
from pricing.desk import worker

LEAST_MB: Final = 2_000
"""Of a worker, whatever the machine has: libraries and compiled code ask for some 900 of it before any search."""
_SHARE: Final = 4
"""Part of the machine's memory that one worker may take: there are five, and the desk; three of them seldom run."""
SPENT: Final = 75
"""Status with which a worker ends that has no memory left."""


def most_mb() -> int:
    """Return how much a worker may ask for, in MB of 2**20 bytes."""
    return max(LEAST_MB, whole_mb() // _SHARE)


def limit_memory(mb: int) -> bool:
    """Limit what this process may ask for; return whether the system does so."""
    with suppress(ImportError, OSError, ValueError):
        import resource

        _, hard = resource.getrlimit(resource.RLIMIT_DATA)
        most = mb << 20 if hard == resource.RLIM_INFINITY else min(mb << 20, hard)
        resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
        return True
    return False


def main(link: Connection, mb: int = 0) -> None:
    """Be a worker (:func:`pricing.desk.worker.main`) within its ration."""
    limit_memory(mb or most_mb())
    try:
        worker.main(link)
    except MemoryError:
        os._exit(SPENT)  # nothing can be told any more: that would take memory


def told(status: int | None) -> str:
    """Say why a worker ended, after what is said of its search; empty where only that can be said."""
    return f" It needed more memory than the {most_mb():,} MB that it may take." if status == SPENT else ""
