"""A worker that needs more memory than it may take ends by itself, and the desk says so and goes on."""

import subprocess
import sys
from dataclasses import dataclass

import pytest

from nesting.base.progress import Progress
from nesting.base.stop import Stop
from pricing.desk import ration
from pricing.desk.search import Searches

resource = pytest.importorskip("resource")


@dataclass(frozen=True)
class Hungry:
    """Work that takes more memory than any worker may."""

    name: str = "hungry"

    def run(self, _report: Progress, _stop: Stop) -> int:
        """Ask for it."""
        return len(bytearray((ration.most_mb() + 1000) << 20))


@dataclass(frozen=True)
class Modest:
    """Work that takes next to nothing."""

    name: str = "modest"

    def run(self, _report: Progress, _stop: Stop) -> int:
        """Return a number."""
        return 7


@pytest.mark.skipif(sys.platform != "linux", reason="RLIMIT_DATA counts all private memory on Linux alone")
def test_a_worker_has_a_ration_and_the_desk_outlives_one_that_spends_it() -> None:
    searches, told = Searches(), list[object]()

    def finished(found: object, _stopped: bool) -> str:
        told.append(found)
        return "it ended well"

    try:
        hungry = searches.begin(1, (Hungry(),), finished, patience=0)
        modest = searches.begin(2, (Modest(),), finished, patience=0)
        assert hungry is not None
        assert modest is not None
        for _ in range(1200):
            if modest.over:
                break
            with searches._changed:  # noqa: SLF001 - what the searches themselves wait by
                searches._changed.wait(0.05)  # noqa: SLF001
        assert (hungry.state, told) == ("failed", [{"modest": 7}])
        assert "the first figure stands" in hungry.news
        assert f"more memory than the {ration.most_mb():,} MB" in hungry.news
        assert modest.news == "it ended well"
    finally:
        searches.close()


def test_a_limit_is_set_and_never_above_the_one_that_there_is() -> None:
    code = (
        "import resource; from pricing.desk.ration import limit_memory; "
        "resource.setrlimit(resource.RLIMIT_DATA, (1 << 31, 1 << 31)); "
        "print(limit_memory(1000), resource.getrlimit(resource.RLIMIT_DATA)[0] >> 20, end=' '); "
        "print(limit_memory(5000), resource.getrlimit(resource.RLIMIT_DATA)[0] >> 20)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "1000", "True", "2048"]


def test_a_share_of_the_machine_and_a_least(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ration, "whole_mb", lambda: 16_000)
    assert ration.most_mb() == 4_000
    monkeypatch.setattr(ration, "whole_mb", lambda: 0)
    assert ration.most_mb() == ration.LEAST_MB
    assert ration.told(ration.SPENT).strip().endswith("MB that it may take.")
    assert ration.told(-11) == ration.told(None) == ""
