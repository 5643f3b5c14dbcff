"""One purse for an order: cheap means first, shares by price, and answers that hang on no clock and no core."""

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from nesting.base.search import Effort, Search
from nesting.cutting.laying import Laying
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Layout, Sheet, at_stake, nest
from nesting.cutting.sheets.effort import SETTINGS
from nesting.cutting.sheets.key_costs import Prices
from nesting.cutting.sheets.problem import read_problem
from nesting.cutting.sheets.purse import Allowance, Purse, in_turns
from nesting.cutting.sheets.run import Run
from nesting.cutting.sheets.solve import room
from nesting.shop.house_rules import SawRules
from tests.benchmarks.real_orders import Fits
from tests.layout_verifier import verify
from tests.nesting.cutting.sheets.test_column_generation import cut_up


def tight(good: str = "g", seed: int = 3) -> list[Part]:
    """Cut five sheets up without any loss: parts that hardly any search brings back onto five."""
    return [Part(each.name, each.length, each.width, good) for each in cut_up(5, seed)]


def stock(good: str = "g", cost: int = 100) -> tuple[Sheet, ...]:
    return (Sheet(good, 96, 48, cost),)


def test_shares_go_by_what_is_at_stake_and_what_is_left_goes_on() -> None:
    purse = Purse(1000, {"a": 10, "b": 30, "c": 60, "proven": 0})
    assert purse.share("proven") == 0
    purse.pay("proven", 0)
    assert purse.share("a") == 100
    purse.pay("a", 0)
    assert purse.share("b") == 333
    purse.pay("b", 400)  # the last piece of work may go beyond a share
    assert purse.share("c") == 600
    purse.pay("c", 700)
    assert purse.left == 0
    assert Purse().share("a") is None


@pytest.mark.parametrize(("parts", "stake"), [(cut_up(5, 3), 100 * 20), ([Part("a", 96, 48, "g", 3)], 0)])
def test_what_is_at_stake_is_what_cheap_means_leave_open(parts: list[Part], stake: int) -> None:
    assert at_stake(parts, stock()) == stake
    assert at_stake([Part("a", 97, 97, "g")], stock()) == 0  # fits nowhere


def test_whoever_has_done_least_goes_on_until_it_is_proven_or_nothing_is_left() -> None:
    problem = read_problem(tight(), stock(), 0)

    def hand(name: str, pieces: Sequence[int], run: Run, told: list[str]) -> Iterator[None]:
        for work in pieces:
            told.append(name)
            run.work += work
            yield

    def turns(most: int | None) -> tuple[str, Run]:
        told: list[str] = []
        run = Run(problem, Prices(problem), Search(), most)
        in_turns(run, [(1, hand("p", [1, 10, 100], run, told)), (2, hand("s", [4, 4, 4, 90], run, told))])
        return "".join(told), run

    told, run = turns(None)
    # by weight: p 1, s 2 of 4; p 11, s 4, 6, 51 of 102; p last
    assert told == "pspsssp"
    assert (run.work, run.is_short) == (213, False)
    told, run = turns(12)
    assert told == "psp"
    assert (run.work, run.is_short) == (15, True)


@pytest.mark.parametrize("most", [0, 50_000, 400_000])
def test_a_search_that_is_short_of_work_still_lays_everything(most: int) -> None:
    parts, sheets, allowance = tight(), stock(), Allowance(most)
    layout = nest(parts, sheets, search=Search(), allowance=allowance)
    verify(layout, parts, sheets, 0)
    assert allowance.is_short is not layout.proven
    assert most or not allowance.done


def test_a_search_that_ended_by_itself_gives_the_same_with_more() -> None:
    parts, sheets = cut_up(3, 8), stock()
    own = Allowance()
    first = nest(parts, sheets, allowance=own)
    assert not own.is_short
    again = Allowance(own.done + 1)
    assert nest(parts, sheets, allowance=again) == first
    assert (again.done, again.is_short) == (own.done, False)


def test_a_cheap_proof_comes_before_dear_searches() -> None:
    """Six parts of which no two pairs fit together: patterns refute one sheet in a moment, no search ever would."""
    parts = [Part(f"{k}", 50, 25, "g") for k in range(3)] + [Part(f"l{k}", 46, 25, "g") for k in range(1)]
    sheets = (Sheet("g", 96, 48, 100),)
    allowance = Allowance(2_000_000)
    layout = nest(parts, sheets, allowance=allowance)
    assert layout.proven
    assert allowance.done < 500_000


_CHILD = """
import os, sys
if sys.argv[1] == "one":
    os.sched_setaffinity(0, {sorted(os.sched_getaffinity(0))[0]})
from nesting.base.search import Search
from nesting.cutting.parts import Part
from nesting.cutting.sheets import Sheet, nest
from nesting.cutting.sheets.purse import Allowance
allowance = Allowance(300_000)
print(repr(nest(PARTS, STOCK, search=Search(), allowance=allowance)), allowance)
"""


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="this system does not say which cores a process has")
def test_one_core_and_all_of_them_give_the_same_answer_for_the_same_work() -> None:
    def told(cores: str) -> str:
        done = subprocess.run(
            [sys.executable, "-c", _CHILD.replace("PARTS", repr(tight())).replace("STOCK", repr(stock())), cores],
            capture_output=True,
            text=True,
            check=True,
            cwd=Path(__file__).parents[3],
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
        )
        return done.stdout

    one = told("one")
    assert "is_short" in one
    assert one == told("all")


def _laying(memory: dict[Any, Any] | None, effort: Effort = "normal") -> Laying:
    return Laying(SawRules(), Fits(), Search(effort=effort, memory=memory), kerfs=dict.fromkeys(WANTED, 0))


def _shares(monkeypatch: pytest.MonkeyPatch, spends: dict[str, int]) -> dict[str, int | None]:
    """Have the searches spend so much, whatever they are allowed, and note what they were."""
    allowed: dict[str, int | None] = {}

    def spending(parts: Sequence[Part], sheets: Sequence[Sheet], **how: Any) -> Layout:
        allowance: Allowance = how.pop("allowance")
        good = parts[0].good
        allowed[good] = allowance.most
        spent = spends.get(good, 0)
        short = allowance.most is not None and spent >= allowance.most
        allowance.add(spent, is_short=short)
        return nest(parts, sheets, **{**how, "search": Search(effort="quick")})

    monkeypatch.setattr("nesting.cutting.laying.nest", spending)
    return allowed


WANTED = {"dear": tight("dear"), "cheap": tight("cheap"), "middle": tight("middle")}
STOCK = {"dear": stock("dear", 600), "cheap": stock("cheap", 100), "middle": stock("middle", 300)}


def test_goods_with_most_at_stake_come_first_and_leave_the_rest_to_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = SETTINGS["normal"].order
    assert whole is not None
    allowed = _shares(monkeypatch, {"dear": 100_000})
    layouts = _laying(None).all_sheets(WANTED, STOCK)
    assert [layout.good for layout in layouts] == ["dear", "cheap", "middle"]  # in the order of what is wanted
    rest = whole - 100_000
    assert allowed == {"dear": whole * 600 // 1000, "middle": rest * 300 // 400, "cheap": rest}


@pytest.mark.parametrize(("breaks", "sheets"), [((), 5), (((6, 80),), 6)])
def test_the_room_is_what_the_proven_cost_buys(breaks: tuple[tuple[int, int], ...], sheets: int) -> None:
    """Five sheets cost 500; from six on 80 each, they come to 480."""
    problem = read_problem(tight(), [Sheet("g", 96, 48, 100, breaks=breaks)], 0)
    run = Run(problem, Prices(problem), Search())
    run.raise_bound(500 * run.prices.scale)
    assert room(run) == sheets * problem.stocks[0].area


def test_a_memory_changes_no_share(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is remembered counts as if it were searched again, so dearer goods get what they would get without."""
    for spends in ({"cheap": 100_000, "middle": 200_000}, {"cheap": 10**7, "middle": 5}, {"middle": 10**7}):
        allowed = _shares(monkeypatch, spends)
        alone = _laying(None).all_sheets(WANTED, STOCK)
        first = dict(allowed)
        memory: dict[Any, Any] = {}
        _laying(memory).all_sheets({good: WANTED[good] for good in ("cheap", "middle")}, STOCK)
        allowed.clear()
        assert _laying(memory).all_sheets(WANTED, STOCK) == alone
        assert allowed.items() <= first.items()
        assert allowed["dear"] == first["dear"]


def test_no_limit_is_set_to_thorough(monkeypatch: pytest.MonkeyPatch) -> None:
    allowed = _shares(monkeypatch, {"cheap": 10**9})
    _laying(None, "thorough").all_sheets(WANTED, STOCK)
    assert set(allowed.values()) == {None}


def test_goods_laid_alone_have_what_their_effort_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    allowed = _shares(monkeypatch, {})
    _laying(None).sheets("cheap", WANTED["cheap"], STOCK["cheap"])
    assert allowed == {"cheap": None}
