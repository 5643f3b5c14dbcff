"""The cheaper way: of the single changes that are worth a quote, the one that saves most; named, never taken.

A change counts only where its total compares with the quote's: nothing more is held or incomplete, and nothing is wrong
that is not wrong now. Each is quoted with the least search, so that a saving is what it is at the least.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.progress import silent
from nesting.base.search import QUICK, Effort, Memory, Search
from nesting.crates.cases.consignment import Grouping
from pricing.ahead.swaps import Swap, swaps
from pricing.money import cents, show
from pricing.quoting.designing import marked_up
from pricing.quoting.keeping import kept_design
from pricing.quoting.quote import Quote
from pricing.quoting.troubles import plain, troubles
from pricing.quoting.work import cheapest_grouping, work

QUOTED: Final[dict[Effort, int]] = {"quick": 3, "normal": 3, "thorough": 12}
"""Changes that are quoted at the most, by the effort of the quote."""
_ANEW: Final = 12
"""Pieces of an order up to which the best change is quoted once more, with all crates chosen anew: among more pieces
such a search with the least effort found nothing better than the crates of the quote, and takes the longer."""


@dataclass(frozen=True, slots=True)
class Cheaper:
    """A cheaper way than the one that was quoted.

    Attributes
    ----------
    words : str
        What is done otherwise.
    saves : Decimal
        Of the total, at the least.
    protection : str
        What it costs in protection.
    currency : str
        Of what it saves.
    tried : int
        How many changes were quoted.
    """

    words: str
    saves: Decimal
    protection: str
    currency: str
    tried: int

    @property
    def line(self) -> str:
        """The whole in one sentence."""
        return (
            f"A cheaper way, not taken: {self.words} saves at least {show(self.saves, self.currency)}; "
            f"{self.protection}."
        )


def cheaper(made: Quote, search: Search = QUICK, *, taken: Grouping | None = None) -> Cheaper | None:
    """Return the single change that saves most; None where none of those that were quoted does.

    Parameters
    ----------
    made : Quote
        As it stands. Of a job that was cut in part nothing is said: what is cut is cut.
    search : Search
        Its seed, memory and stop; what is quoted has the least search, however long that of the quote was.
    taken : Grouping, optional
        Designs that somebody took for some of its crates, which stay so.

    Notes
    -----
    Only the most promising changes are quoted, fewer where the quote itself had little search, and none that promises
    less than another saves; so nothing says that there is no better one.
    """
    if made.sawn is not None or made.incomplete or made.build.stopped:
        return None
    memory = {} if search.memory is None else search.memory
    # What a quick quote laid out stands in the memory as it is cut; beside any other stand the drafts of its choice.
    quick = Search(search.seed, "quick", progress=silent, memory=memory, draft=made.build.effort != "quick")
    known = {plain(each) for each in troubles(made)}

    def saved(swap: Swap, design: Grouping | None) -> Decimal:
        """Return what a swap saves; nothing where it does not compare."""
        try:
            other = work(
                swap.order, swap.office, on=made.on, search=quick, number=made.number, design=design, taken=taken
            )
        except FaultsFound:
            return Decimal(0)
        sound = made.compares_with(other) and {plain(each) for each in troubles(other)} <= known
        return made.total - other.total if sound else Decimal(0)

    best: Swap | None = None
    saves, tried = Decimal(0), 0
    direct = marked_up(made.rates.price)
    for swap in swaps(made, quick.memory)[: QUOTED[made.build.effort]]:
        if search.stop is not None and search.stop.asked:
            break
        if swap.promise * direct <= cents(saves):
            break  # nor do those after it promise as much as one saves
        tried += 1
        if (less := saved(swap, _kept(made, swap, quick.memory) if swap.keeps else None)) > saves:
            best, saves = swap, less
    if best is None:
        return None
    if best.keeps and len(made.build.order.copies()) <= _ANEW:  # with other crates made anew too it may save more
        saves = max(saves, saved(best, None))
    return Cheaper(best.words, saves, best.protection, made.currency, tried)


def _kept(made: Quote, swap: Swap, memory: Memory | None) -> Grouping | None:
    """Return the quote's own designs for all that a swap leaves alone, and what the rules give for the rest.

    A search might find better ones: the swap saves that much at the least, which is enough to tell swaps apart.
    """
    was = made.build.grouping
    ruled = cheapest_grouping(swap.order, swap.office, memory) or Grouping(())
    return was and kept_design(was, made.build.order.copies(), swap.order, ruled)
