"""The desk as its own command starts it, for journeys and benchmarks."""

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from playwright.sync_api import BrowserContext

from pricing.desk.guard import cookie_of

WINDOWS: Final[list[BrowserContext]] = []
"""Every window that is open: each may come in wherever a desk runs, as if its page had been opened by the desk."""
RUNNING: Final[list["Address"]] = []


class Address(str):
    """Where a desk runs, as it is put before a path.

    Attributes
    ----------
    key : str
        What lets somebody in.
    line : str
        What the command told first.
    """

    __slots__ = ("key", "line")
    key: str
    line: str

    @property
    def cookie(self) -> str:
        """The name of the cookie that bears the key."""
        return cookie_of(self.partition("//")[2])

    @property
    def entry(self) -> Mapping[str, str]:
        """The headers of somebody who was let in."""
        return {"cookie": f"{self.cookie}={self.key}"}

    def admit(self, window: BrowserContext) -> None:
        """Let a window in."""
        window.add_cookies([{"name": self.cookie, "value": self.key, "url": str(self)}])


def let_in(window: BrowserContext) -> None:
    """Let a window in wherever a desk runs."""
    for address in RUNNING:
        address.admit(window)


@contextmanager
def started(folder: Path, *options: str, browser: str = "") -> Iterator[Address]:
    """Start ``casewright desk`` on a folder and yield its address; it opens its page only where a browser is named."""
    arguments = [sys.executable, "-c", "from pricing.cli import main; main()", "desk", "--data", str(folder), *options]
    if not browser:
        arguments.append("--no-browser")
    environment = {**os.environ, "BROWSER": browser}
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        plain, _, key = line.rpartition(" ")[2].strip().partition("/?key=")
        address = Address(plain)
        address.key, address.line = key, line.strip()
        for window in WINDOWS:
            address.admit(window)
        RUNNING.append(address)
        try:
            yield address
        finally:
            RUNNING.remove(address)
            process.terminate()
            process.wait(timeout=20)
