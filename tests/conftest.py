"""What all tests share: hypothesis profiles, and outside programs that are skipped loudly or, in CI, required."""

import os
import shutil
import signal

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("usual", deadline=None, derandomize=True, max_examples=60, print_blob=True)
settings.register_profile(
    "deep", deadline=None, max_examples=3000, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "usual"))


if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A run that was sent to the background ignores Ctrl-C from its start: tests of interrupts would not hear theirs.
    signal.signal(signal.SIGINT, signal.default_int_handler)


def _program(kind: str, *names: str) -> str:
    """Return the path of the first program found; skip loudly without it, or fail where it is required."""
    for name in names:
        if path := shutil.which(name):
            return path
    message = f"{kind} tests need one of: {', '.join(names)}"
    if kind in os.environ.get("CASEWRIGHT_REQUIRE", "").split():
        pytest.fail(message)
    pytest.skip(message)


@pytest.fixture(scope="session")
def office() -> str:
    """Path of LibreOffice."""
    return _program("office", "soffice", "libreoffice")


@pytest.fixture(scope="session")
def browser() -> str:
    """Path of Chromium."""
    return _program("browser", "chromium", "chromium-browser")
