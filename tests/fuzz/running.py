"""Many cases after each other, counted, and what is wrong with any of them kept with the bytes that show it."""

import hashlib
import json
import re
import signal
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from random import Random
from types import FrameType
from typing import Final

from nesting.base.faults import FaultsFound
from tests.fuzz.changing import Tree, bytes_bent, changed, words_of
from tests.fuzz.readers import READERS, Reader

HANGS: Final[float] = 5
"""Seconds of processor time after which a reader is taken to hang."""
MOST_KEPT: Final = 300
_LARGEST: Final = 60_000
_DEEP: Final = 0.4
_GOOD: Final = 0.15
_BENT: Final = 0.1
"""Most documents of a pool, and characters of one; how often one is changed further that was refused behind the first
check, how often the good one, and how often bytes are bent too."""


class Hangs(BaseException):
    """A reader took too long."""


@dataclass
class Told:
    """What came of the cases of one reader.

    Attributes
    ----------
    cases, read, refused, past : int
        Cases in all; read without a fault; refused; of those refused, how many got past the first check: they were told
        of a cell, a row or a key, and not of the file as a whole.
    kept : int
        Documents kept to be changed further, since they were answered as none before.
    slowest : float
        Seconds of processor time of the slowest case.
    wrong : dict
        By kind of exception and place in our code: how often, and the first bytes that show it.
    """

    cases: int = 0
    read: int = 0
    refused: int = 0
    past: int = 0
    kept: int = 0
    slowest: float = 0.0
    wrong: dict[str, tuple[int, bytes]] = field(default_factory=dict)


def fuzz(reader: Reader, cases: int, seed: int) -> Told:
    """Give a reader many cases; the same seed, the same cases."""
    random = Random(f"{reader.name} {seed}")
    good = reader.good()
    words = words_of(good)
    taken: list[Tree] = [good]
    deep: list[Tree] = []
    seen: set[object] = set()
    told = Told()
    reader.read(reader.written(good))  # what is meant to be good is read
    for _ in range(cases):
        of = deep if deep and random.random() < _DEEP else taken
        tree = changed(good if random.random() < _GOOD else random.choice(of), random, words)
        data = reader.written(tree)
        bent = random.random() < _BENT
        answer = _answer(reader, bytes_bent(data, random) if bent else data, told)
        if answer is None or bent:
            continue
        if answer == "read":
            _keep(taken, tree, random)
        elif answer not in seen:
            seen.add(answer)
            told.kept += 1
            _keep(deep, tree, random)
    return told


def _keep(pool: list[Tree], tree: Tree, random: Random) -> None:
    """Add a document to a pool, in the place of another where it is full."""
    if len(json.dumps(tree, default=str)) > _LARGEST:
        return
    if len(pool) < MOST_KEPT:
        pool.append(tree)
    else:
        pool[random.randrange(MOST_KEPT)] = tree


def _answer(reader: Reader, data: bytes, told: Told) -> object:
    """Return what is answered, as far as it tells one way through the reader from another; None at the first check."""
    told.cases += 1
    began = time.process_time()
    answer: object = None
    try:
        with _within(HANGS):
            found = reader.read(data)
        told.read += 1
        answer = "read" if not isinstance(found, list) else frozenset(map(_shape, map(str, found))) or "read"
    except reader.refuses as error:
        told.refused += 1
        if isinstance(error, FaultsFound):
            deep = frozenset((_shape(f.column or ""), _shape(f.accepted)) for f in error.faults if f.column or f.row)
            answer = deep or None
        else:
            answer = _shape(str(error))
        told.past += answer is not None
    except (Exception, Hangs) as error:  # noqa: BLE001 - whatever else comes is what is looked for
        kind = f"{type(error).__name__} {_where(error)}"
        count, first = told.wrong.get(kind, (0, data))
        told.wrong[kind] = (count + 1, first)
    told.slowest = max(told.slowest, time.process_time() - began)
    return answer


def _shape(text: str) -> str:
    """Return a message without what it quotes."""
    return re.sub(r"[\d.,]+", "0", re.sub(r'"[^"]*"', '""', text))[:120]


def _where(error: BaseException) -> str:
    """Return the innermost place of our own code that an exception went through."""
    frames = [
        frame
        for frame in traceback.extract_tb(error.__traceback__)
        if "/nesting/" in frame.filename or "/pricing/" in frame.filename or frame.filename.endswith("_verifier.py")
    ]
    if not frames:
        return str(error)[:80]
    last = frames[-1]
    return f"{'/'.join(last.filename.split('/')[-3:])}:{last.name}"


@contextmanager
def _within(seconds: float) -> Iterator[None]:
    """Raise :class:`Hangs` where the work takes longer, counted in processor time."""

    def late(_number: int, _frame: FrameType | None) -> None:
        raise Hangs

    before = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def shares(cases: int) -> dict[str, int]:
    """Return how many of all cases each reader gets."""
    weights = Counter({reader.name: reader.weight for reader in READERS})
    return {name: max(1, round(cases * weight / weights.total())) for name, weight in weights.items()}


def name_of(data: bytes) -> str:
    """Return a short name for bytes that are kept."""
    return hashlib.sha256(data).hexdigest()[:12]
