"""Python is told to look for circles seldom, and not at all when a command ends."""

import subprocess
import sys
from pathlib import Path

import pytest

ORDER = Path(__file__).parents[3] / "sample_orders" / "no_such_order.csv"
_TOLD = """
import atexit, gc, sys
sys.argv[1:] = {arguments!r}
atexit.register(lambda: print("at the end", gc.get_threshold()[0], gc.get_freeze_count() > 10_000))
from pricing.cli import main
main()
"""


@pytest.mark.parametrize("arguments", [["--version"], ["quote", str(ORDER), "--out", "nowhere"]])
def test_a_command_ends_without_looking_through_all_that_it_made(arguments: list[str]) -> None:
    """However it ends."""
    done = subprocess.run(
        [sys.executable, "-c", _TOLD.format(arguments=arguments)], capture_output=True, text=True, check=False
    )
    assert done.stdout.endswith("at the end 200000 True\n"), done.stderr
