"""Effort: how many steps each stage of a search may take."""

from dataclasses import dataclass

from nesting.base.search import Effort


@dataclass(frozen=True, slots=True)
class Settings:
    """Steps of one effort.

    Attributes
    ----------
    first : int
        Steps of ruin and recreate before anything heavier is loaded.
    rounds : int
        Rounds of further search, every second followed by a set cover over the pool; twice as many where nothing is
        asked for.
    steps : int
        Steps of each round.
    cover : float
        CP-SAT's deterministic time for each set cover.
    columns : int
        Sheets of the pool that the set cover chooses from.
    points : tuple of int
        Positions in each direction for the bound from patterns, coarse before fine; empty leaves that bound out.
    pricings : int
        Steps of dynamic programming for that bound.
    tracked : int
        Items that the pricing uses at most once in a pattern.
    sets : int
        Pairs of pieces looked at for refuting one mix of sheets by all ways to cut its largest parts.
    packing : float
        CP-SAT's deterministic time for refuting one mix of sheets by free packing.
    asks : int
        Rounds of sheets that the linear program asks for, each followed by a set cover and by dives.
    turns : int
        Times that it is solved in each such round.
    dives : int
        Dives of each such round.
    mean : int
        Mean number of nodes that a step removes.
    whole : int
        Thousandths of steps that empty whole sheets.
    blink : int
        Thousandths of choices skipped.
    history : int
        Length of the memory of late acceptance.
    fill : int
        Thousandths of a sheet that must be filled for the pool.
    every : int
        Steps between looks for the pool.
    ties : int
        Steps for each try at a larger offcut.
    order : int or None
        Dear work of all searches of an order together, in microseconds of a machine of reference; None sets no limit.
    strips : int or None
        The same of the searches of one good that are made only to have its small parts cut off strips.
    """

    first: int
    rounds: int
    steps: int
    cover: float
    columns: int = 4000
    points: tuple[int, ...] = (80, 300)
    pricings: int = 2_500_000_000
    tracked: int = 4
    sets: int = 20_000_000
    packing: float = 0.15
    asks: int = 0
    turns: int = 12
    dives: int = 8
    mean: int = 8
    whole: int = 50
    blink: int = 50
    history: int = 100
    fill: int = 700
    every: int = 10
    ties: int = 1000
    order: int | None = None
    strips: int | None = None


SETTINGS: dict[Effort, Settings] = {
    "quick": Settings(first=1000, rounds=0, steps=0, cover=0.0, points=(), ties=0),
    "normal": Settings(
        first=3000, rounds=2, steps=40_000, cover=0.5, columns=1500, asks=5, order=2_300_000, strips=300_000
    ),
    "thorough": Settings(
        first=3000,
        rounds=2,
        asks=24,
        steps=100_000,
        points=(80, 400),
        pricings=15_000_000_000,
        sets=500_000_000,
        packing=1.0,
        cover=1.0,
        columns=2500,
        ties=5000,
    ),
}
