"""What warming the desk is for: the first change of a fresh desk finds all loaded that it needs."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

_FIRST_CHANGE = """
import gc, json, sys
from pathlib import Path
from pricing.desk.app import make_app
from pricing.desk.content import Content
from pricing.desk.desk import Desk
from pricing.store import Store
from tests.pricing.desk.orders import DAY, HEADINGS, twelve

def compiled():
    from numba.core.dispatcher import Dispatcher
    found = [each for each in gc.get_objects() if isinstance(each, Dispatcher)]
    ours = [each for each in found if each.py_func.__module__.startswith("nesting")]
    return {each.py_func.__qualname__: len(each.overloads) for each in ours}

desk = Desk(Store(Path(sys.argv[1])), today=lambda: DAY, patience=60.0, effort="quick")
make_app(desk)
if sys.argv[2] == "warm":
    desk.warm()
modules, loaded = set(sys.modules), compiled() if "numba" in sys.modules else {}
job = desk.store.jobs.add("Twelve")
sheaf = desk.save(job, Content(headings=HEADINGS, rows=tuple(map(tuple, twelve()))), based_on=0, what="begun")
late = {name.partition(".")[0] for name in set(sys.modules) - modules}
print(json.dumps([bool(sheaf.answer), loaded == compiled(), sorted(late)]))
desk.close()
"""


@pytest.mark.parametrize(("state", "ready"), [("warm", True), ("cold", False)])
def test_the_first_change_loads_nothing_after_the_desk_is_warm(tmp_path: Path, state: str, *, ready: bool) -> None:
    """Cold, it loads numba, the compiled search and solvers: a second, or twenty where nothing is compiled."""
    command = [sys.executable, "-c", _FIRST_CHANGE, str(tmp_path), state]
    root = Path(__file__).parents[3]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=root)
    priced, same, late = json.loads(done.stdout)
    assert priced
    assert same is ready
    assert ({"numba", "scipy", "ortools"} & set(late) == set()) is ready
