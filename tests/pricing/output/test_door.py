"""The door for Python programs: light to open, typed, all there, and the example of the guide runs as it stands."""

import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

import pricing
from nesting.base.stop import Stop
from pricing import Extras, FaultsFound, Search, quote, read_order, read_studio, write
from pricing.output import door
from tests.pricing.builds import small_order

ROOT = Path(__file__).parents[3]
ON = date(2027, 3, 1)
QUICK = Search(effort="quick")


def example() -> str:
    """Return the first Python block of the guide that comes in by the door."""
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    blocks: list[str] = re.findall(r"```python\n(.*?)```", guide, re.DOTALL)
    return next(block for block in blocks if "from pricing import" in block)


def test_the_example_of_the_guide_runs_as_it_stands(tmp_path: Path) -> None:
    told = subprocess.run(
        [sys.executable, "-W", "error", "-c", example()], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert told.returncode == 0, told.stderr
    assert re.match(r"\d+\.\d\d USD\n", told.stdout)
    for name in ("quote.xlsx", "build.json", "tables/shares.csv"):
        assert f"'{name}'" in told.stdout
        assert (tmp_path / "out" / name).is_file()


def test_the_example_has_about_ten_lines() -> None:
    assert len([line for line in example().splitlines() if line.strip()]) <= 10


def test_what_is_promised_is_there_and_nothing_else() -> None:
    assert sorted(pricing.__all__) == pricing.__all__
    assert sorted(door.__all__) == pricing.__all__
    assert all(getattr(pricing, name) is getattr(door, name) for name in pricing.__all__)
    assert set(pricing.__all__) <= set(dir(pricing))
    with pytest.raises(AttributeError, match="module 'pricing' has no attribute 'quotes'"):
        pricing.quotes  # type: ignore[attr-defined]  # noqa: B018 - asked for on purpose


def test_opening_it_is_light() -> None:
    code = (
        "import sys, pricing\nassert pricing.__all__\n"
        "print(sorted(name for name in sys.modules if name.partition('.')[0] in ('nesting', 'numba', 'typer', 'pint')))"
    )
    told = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True)
    assert told.stdout.strip() == "[]"


def test_what_comes_out_is_what_the_command_makes(tmp_path: Path) -> None:
    from pricing.output.job import Request, run_quote

    order = ROOT / "sample_orders" / "small_sale.csv"
    extras = Extras(document=True, each=True)
    run_quote(Request(order, ON, search=QUICK), tmp_path / "command", extras, number="Q-1")
    made = quote(read_order(order), read_studio(beside=order.parent), on=ON, number="Q-1", search=QUICK)
    names = write(made, tmp_path / "python", extras)
    assert set(names) == {"quote.xlsx", "build.json", "quote.json"}
    for name in ("build.json", "quote.json"):
        assert (tmp_path / "python" / name).read_bytes() == (tmp_path / "command" / name).read_bytes()


def test_every_fault_is_told_before_anything_is_written(tmp_path: Path) -> None:
    (tmp_path / "rates.toml").write_text("[price]\noverhead = 'much'\nprofit = 'more'\n", encoding="utf-8")
    with pytest.raises(FaultsFound) as caught:
        read_studio(str(tmp_path))
    assert len(caught.value.faults) == 2
    in_the_way = tmp_path / "out"
    in_the_way.write_text("a file", encoding="utf-8")
    made = quote(small_order(), read_studio(), on=ON, search=QUICK)
    with pytest.raises(FaultsFound, match="accepted: a folder"):
        write(made, in_the_way)
    assert in_the_way.read_text(encoding="utf-8") == "a file"


def test_an_interrupt_reaches_the_caller_unless_a_stop_was_handed_in() -> None:
    def interrupted(_stage: str, _fraction: float, note: str = "", *_: object) -> None:
        if note.endswith("offcuts") and not stop.asked:
            raise KeyboardInterrupt

    order, studio, stop = small_order(), read_studio(), Stop()
    with pytest.raises(KeyboardInterrupt):
        quote(order, studio, on=ON, search=Search(effort="quick", progress=interrupted))
    made = quote(order, studio, on=ON, search=Search(effort="quick", stop=stop, progress=interrupted))
    assert (made.build.stopped, stop.asked) == ("interrupt", True)
    assert quote(order, studio, on=ON, search=QUICK).build.stopped is None
