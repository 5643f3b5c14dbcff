"""Many orders as people run them: processes, a real cluster under TLS, and kill -9 of workers and runs.

Twenty tiny orders; wherever and however often it is interrupted, the table of all is the same byte for byte.
"""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pytest

from pricing.batch.keeping import Kept
from tests.generated_orders import sale, single

ROOT = Path(__file__).parents[3]
FILES = ("summary.csv", "summary.parquet", "summary.xlsx")
COUNT = 20
PATIENCE = 120.0
"""Seconds after which nothing more is expected, on a machine that is busy with other things."""
Say = Callable[..., list[str]]


def words(*said: str | Path) -> list[str]:
    """Return the command with its words."""
    return [sys.executable, "-m", "pricing.cli", *map(str, said)]


def surroundings() -> dict[str, str]:
    """Return the environment of a command."""
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}


def command(*said: str | Path) -> subprocess.CompletedProcess[str]:
    """Run the command to its end."""
    return subprocess.run(
        words(*said), cwd=ROOT, env=surroundings(), capture_output=True, encoding="utf-8", timeout=PATIENCE, check=False
    )


def started(*said: str | Path, log: Path | None = None) -> subprocess.Popen[bytes]:
    """Start the command and go on."""
    out = log.open("wb") if log else subprocess.DEVNULL
    try:
        return subprocess.Popen(words(*said), cwd=ROOT, env=surroundings(), stdout=out, stderr=subprocess.STDOUT)
    finally:
        if log:
            out.close()  # type: ignore[union-attr]  # mypy does not see that it is a file then


def wait_for(true: Callable[[], object], what: str, every: float = 0.01) -> None:
    """Wait until something is true."""
    until = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < until, f"waited in vain for {what}"
        time.sleep(every)


def kept_in(out: Path) -> int:
    """Return how many orders are kept whole."""
    with suppress(FileNotFoundError):
        return sum(not each.name.startswith(".") for each in (out / "orders").iterdir())
    return 0


def children(parent: int) -> list[int]:
    """Return processes that a process started and that work Python of ours, and theirs."""
    found = []
    for task in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            if f"\nPPid:\t{parent}\n" in (task / "status").read_text(encoding="ascii", errors="replace"):
                found += [int(task.name), *children(int(task.name))]
    return found


def workers_of(parent: int) -> list[int]:
    """Return the worker processes of a run or of a nanny: those that were spawned to work."""
    spawned = []
    for each in children(parent):
        with suppress(OSError):
            if b"spawn_main" in Path(f"/proc/{each}/cmdline").read_bytes():
                spawned.append(each)
    return spawned


def contents(out: Path) -> dict[str, bytes]:
    """Return the tables of all orders."""
    return {name: (out / name).read_bytes() for name in FILES}


@pytest.fixture(scope="module")
def orders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("orders")
    for seed in range(COUNT // 2):
        sale(seed).write(folder)
        single(seed).write(folder)
    return folder


@pytest.fixture(scope="module")
def plain(orders: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return what one process makes of the orders, undisturbed."""
    out = tmp_path_factory.mktemp("plain") / "out"
    done = command("batch", orders, "--out", out, "--workers", "1", "--effort", "quick", "--date", "2027-04-01",
                   "--rows-only")  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{COUNT} orders: {COUNT} worked\nBought stock only")
    return out


def disturbed(
    orders: Path, out: Path, by: list[str], worker: Callable[[int], list[int]], moments: tuple[int, ...] = (2, 7, 12)
) -> None:
    """Start the batch again and again, and kill a worker and then the run at some moments; let the last one end."""
    said: list[str | Path] = [
        "batch",
        orders,
        "--out",
        out,
        *by,
        "--effort",
        "quick",
        "--date",
        "2027-04-01",
        "--rows-only",
    ]
    for moment in moments:
        run = started(*said)
        try:
            wait_for(partial(reached, run, out, moment), f"{moment} orders to be kept")
            for each in worker(run.pid)[:1]:
                with suppress(ProcessLookupError):
                    os.kill(each, signal.SIGKILL)
            wait_for(partial(reached, run, out, moment + 2), "two more")
            left = workers_of(run.pid)
        finally:
            run.kill()
            run.wait()
        # Nobody waits for these any more, and they know it.
        wait_for(partial(ended, left), "workers to end")
    done = command(*said)
    assert done.returncode in (0, 3), done.stderr  # some of the benchmark's orders are held
    assert "were kept from before" in done.stdout


def reached(run: subprocess.Popen[bytes], out: Path, count: int) -> bool:
    """Whether a run has kept so many orders, or has ended."""
    return kept_in(out) >= count or run.poll() is not None


def ended(processes: list[int]) -> bool:
    """Whether none of these runs."""
    for each in processes:
        with suppress(OSError):
            if "\nState:\tZ" not in Path(f"/proc/{each}/status").read_text(encoding="ascii", errors="replace"):
                return False
    return True


@pytest.mark.slow
def test_processes_killed_at_three_moments_leave_the_table_as_it_is(orders: Path, plain: Path, tmp_path: Path) -> None:
    disturbed(orders, tmp_path / "out", ["--workers", "2"], workers_of)
    assert contents(tmp_path / "out") == contents(plain)
    assert kept_in(tmp_path / "out") == COUNT


def test_the_whole_call_again_finds_all_kept_and_writes_the_same(orders: Path, plain: Path) -> None:
    before = contents(plain)
    with Kept(plain):  # another run has the folder
        done = command("batch", orders, "--out", plain, "--effort", "quick", "--rows-only")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "another batch is working into this folder" in done.stderr
    done = command("batch", orders, "--out", plain, "--effort", "quick", "--rows-only")  # no day: the folder's own
    assert done.returncode == 0
    assert f"{COUNT} were kept from before" in done.stdout
    assert "Quoted as of 2027-04-01" in done.stdout
    assert contents(plain) == before


def test_exit_statuses_and_orders_that_are_faulty_or_held(tmp_path: Path) -> None:
    orders = tmp_path / "orders"
    orders.mkdir()
    sale(1).write(orders)
    (orders / "held.csv").write_text(
        "piece,width,height,depth,weight,support,method,shock_limit\nH,20,16,1 1/2,6 lb,panel,closed,5 G\n",
        encoding="utf-8",
    )
    out = tmp_path / "out"
    said = ("batch", orders, "--out", out, "--workers", "1", "--effort", "quick")
    done = command(*said)
    assert done.returncode == 3, done.stdout + done.stderr
    assert "! held, held: " in done.stdout
    assert len(list(out.glob("orders/*/quote.xlsx"))) == 2
    (orders / "broken.csv").write_text("piece,width,height,depth\nA,thirty,2,1\n", encoding="utf-8")
    (orders / "gone.csv").symlink_to(tmp_path / "nowhere.csv")
    done = command(*said)
    assert done.returncode == 1
    assert "3 folders" not in done.stdout
    assert "2 were kept from before" in done.stdout
    assert 'broken.csv, row 2, column width: found "thirty"' in done.stdout
    assert "gone.csv: found" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


def test_ctrl_c_keeps_what_is_done(orders: Path, tmp_path: Path) -> None:
    out, log = tmp_path / "out", tmp_path / "log"
    run = started("batch", orders, "--out", out, "--workers", "1", "--effort", "quick", "--rows-only", log=log)
    wait_for(partial(reached, run, out, 1), "an order to be kept")
    left = workers_of(run.pid)
    run.send_signal(signal.SIGINT)
    assert run.wait(PATIENCE) == 130, log.read_text(encoding="utf-8")
    wait_for(partial(ended, left), "workers to end")
    told = log.read_text(encoding="utf-8")
    assert told.startswith("Stopped. ")
    assert f"of {COUNT} orders are done and kept" in told
    assert told.count("\n") == 1
    assert not (out / "summary.csv").exists()


@dataclass(frozen=True)
class Cluster:
    """A scheduler and two workers of this machine."""

    address: str
    tls: Path
    scheduler: subprocess.Popen[bytes]
    nannies: subprocess.Popen[bytes]


def certificates(folder: Path) -> Path:
    """Make certificates as DEVELOPERS.md says."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    script = text.partition("<!-- certificates -->\n```sh\n")[2].partition("```")[0]
    assert script.count("openssl") == 3
    made = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", script], cwd=folder, capture_output=True, text=True, check=False
    )
    assert made.returncode == 0, made.stderr
    return folder


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    assert shutil.which("openssl"), "certificates are made by openssl"
    folder = tmp_path_factory.mktemp("cluster")
    tls = certificates(folder)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"tls://127.0.0.1:{port}"
    scheduler = started("cluster", "scheduler", "--port", str(port), "--tls", tls, log=folder / "scheduler.log")
    nannies = started("cluster", "worker", address, "--workers", "2", "--tls", tls, log=folder / "workers.log")
    try:
        log = folder / "workers.log"
        wait_for(lambda: log.read_bytes().count(b"Registered to:") >= 2, "two workers", 0.05)
        yield Cluster(address, tls, scheduler, nannies)
    finally:
        for each in [*workers_of(nannies.pid), nannies.pid, scheduler.pid]:
            with suppress(ProcessLookupError):
                os.kill(each, signal.SIGKILL)
        nannies.wait()
        scheduler.wait()


def listening(process: int) -> set[str]:
    """Return the addresses on which a process listens, as the kernel writes them."""
    sockets = set()
    for each in Path(f"/proc/{process}/fd").iterdir():
        with suppress(OSError):
            sockets.add(str(each.readlink()))
    found = set()
    for table in ("tcp", "tcp6"):
        for line in Path(f"/proc/net/{table}").read_text(encoding="ascii").splitlines()[1:]:
            cells = line.split()
            if cells[3] == "0A" and f"socket:[{cells[9]}]" in sockets:
                found.add(cells[1].partition(":")[0])
    return found


def test_a_cluster_listens_on_loopback_alone(cluster: Cluster) -> None:
    for process in (cluster.scheduler.pid, cluster.nannies.pid, *workers_of(cluster.nannies.pid)):
        assert listening(process) == {"0100007F"}, process


def test_another_edition_is_refused_before_anything_is_sent(orders: Path, cluster: Cluster, tmp_path: Path) -> None:
    planted = (
        "import pricing.batch.edition as e\n"
        "e.made_by = lambda: 'casewright 9.9'\n"
        "from pricing.cli import main\n"
        "import sys\n"
        f"sys.argv = ['casewright', 'batch', {str(orders)!r}, '--out', {str(tmp_path / 'out')!r}, '--cluster', "
        f"{cluster.address!r}, '--tls', {str(cluster.tls)!r}]\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", planted], cwd=ROOT, env=surroundings(), capture_output=True, encoding="utf-8",
        timeout=PATIENCE, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "here is casewright 9.9 (source" in done.stderr
    assert "there is casewright " in done.stderr
    assert done.stderr.count("\n") == 1
    assert kept_in(tmp_path / "out") == 0


@pytest.mark.slow
def test_a_cluster_killed_at_three_moments_gives_the_table_of_one_process(
    orders: Path, plain: Path, cluster: Cluster, tmp_path: Path
) -> None:
    by = ["--cluster", cluster.address, "--tls", str(cluster.tls)]
    disturbed(orders, tmp_path / "out", by, lambda _: workers_of(cluster.nannies.pid))
    assert contents(tmp_path / "out") == contents(plain)


def test_a_scheduler_that_goes_is_one_clear_error(orders: Path, cluster: Cluster, tmp_path: Path) -> None:
    out, log = tmp_path / "out", tmp_path / "log"
    said: list[str | Path] = ["batch", orders, "--out", out, "--cluster", cluster.address, "--tls", cluster.tls,
            "--effort", "quick", "--rows-only"]  # fmt: skip
    run = started(*said, log=log)
    wait_for(lambda: kept_in(out) >= 2, "two orders to be kept")
    cluster.scheduler.kill()
    try:
        assert run.wait(PATIENCE) == 2
    finally:
        run.kill()
    told = log.read_text(encoding="utf-8")
    assert f"The scheduler at {cluster.address} is gone." in told
    assert "are done and kept; the same command goes on with the rest." in told
    assert told.count("\n") == 1, told
    assert not (out / "summary.csv").exists()
