"""How much memory a process holds, and giving back what it holds without need."""

import ctypes
import sys
from contextlib import suppress
from pathlib import Path

_STATUS = Path("/proc/self/statm")


def resident_mb() -> int:
    """Return the megabytes (of 2**20 bytes) that this process holds; 0 where the system does not tell."""
    try:
        import resource

        return int(_STATUS.read_text(encoding="ascii").split()[1]) * resource.getpagesize() >> 20
    except (OSError, ImportError):
        return 0


def peak_mb() -> int:
    """Return the most megabytes that this process ever held; 0 where the system does not tell."""
    try:
        for line in Path("/proc/self/status").read_text(encoding="ascii", errors="replace").splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) >> 10
    except (OSError, ValueError):
        pass
    return 0


def whole_mb() -> int:
    """Return the megabytes of this machine's memory; 0 where the system does not tell."""
    import os

    try:
        return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") >> 20
    except (AttributeError, ValueError, OSError):
        return 0


def give_back() -> None:
    """Hand free memory back to the system, where its C library knows how (glibc's ``malloc_trim``)."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)
