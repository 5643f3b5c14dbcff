"""The door for Python programs: read an order, read a studio, quote the one by the other, write what comes out.

All of it can be had from :mod:`pricing` itself, without waiting for anything until it is called.
"""

from datetime import date
from pathlib import Path

from nesting.base.faults import FaultsFound
from nesting.base.search import USUAL, Search
from nesting.intake import read_order
from nesting.order import Order
from pricing.output.job import Extras, folder_faults, write_quote
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.office import Office, read_office

__all__ = ["Extras", "FaultsFound", "Search", "quote", "read_order", "read_studio", "write"]


def read_studio(folder: str | Path | None = None, *, beside: str | Path | None = None) -> Office:
    """Read the studio's files: shop, prices, rates, rack and destinations.

    Parameters
    ----------
    folder : str or Path, optional
        Where they are, as ``casewright start`` writes them; a file that is missing there stays as built in, and all are
        when no folder is given.
    beside : str or Path, optional
        Folder of the order, whose ``destinations.csv`` is known too.

    Returns
    -------
    Office
        All that the studio knows before an order comes in.

    Raises
    ------
    FaultsFound
        Every fault of every file.
    """
    return read_office(*(None if each is None else Path(each) for each in (folder, beside)))


def quote(order: Order, studio: Office, *, on: date, number: str = "", search: Search = USUAL) -> Quote:
    """Work an order out: crates, cutting plans, and a price.

    Parameters
    ----------
    order : Order
        As :func:`nesting.intake.read_order` reads it.
    studio : Office
        As :func:`read_studio` reads it.
    on : date
        Day of the quote; nothing reads the clock, so the same day, seed and effort give the same quote.
    number : str
        That the quote bears.
    search : Search
        How cutting plans are searched, who is told how far they are and who may end them.

    Returns
    -------
    Quote
        With the build under ``build`` and the price under ``total``.

    Raises
    ------
    FaultsFound
        Every reason why the order cannot be built or priced, all at once.
    KeyboardInterrupt
        When a search was interrupted and there is no ``search.stop``.
    """
    return work(order, studio, on=on, number=number, search=search)


def write(made: Quote, folder: str | Path, extras: Extras | None = None, *, search: Search = USUAL) -> tuple[str, ...]:
    """Write ``quote.xlsx``, ``build.json`` and what else is asked for.

    Parameters
    ----------
    made : Quote
        What :func:`quote` returned.
    folder : str or Path
        Where to; made where it is missing. All files are replaced, or none.
    extras : Extras, optional
        What else is written: the shop packet, tables, ``quote.json``, more pages in the workbook.
    search : Search
        Who is told how far it is and may end the searches of the extras; their seed and effort are those of the quote.

    Returns
    -------
    tuple of str
        Names of the files written.

    Raises
    ------
    FaultsFound
        When nothing can be written to that folder.
    OSError
        When something cannot be written; what stood there before is untouched.
    """
    out = Path(folder)
    if faults := folder_faults(out):
        raise FaultsFound(faults)
    return write_quote(made, out, extras or Extras(), search).files
