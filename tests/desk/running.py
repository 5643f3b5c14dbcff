"""The desk as its own command starts it, for journeys and benchmarks."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def started(folder: Path, *options: str) -> Iterator[str]:
    """Start ``casewright desk`` on a folder and yield its address."""
    arguments = [sys.executable, "-c", "from pricing.cli import main; main()", "desk", "--no-browser", "--data"]
    with subprocess.Popen([*arguments, str(folder), *options], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        try:
            yield line.rpartition(" ")[2].strip().rstrip("/")
        finally:
            process.terminate()
            process.wait(timeout=20)
