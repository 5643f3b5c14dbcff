"""A quote as it is sent: frozen with all that it rests on and with its papers, and told apart from others."""

import json
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from nesting.base.days import days_in
from nesting.base.search import QUICK
from nesting.base.version import made_by
from nesting.crates.cases.consignment import Grouping
from nesting.order import Order
from pricing.desk.content import CellChange, Content, changes, content_from
from pricing.desk.lacking import incomplete_of
from pricing.desk.offered import Going
from pricing.desk.table import read
from pricing.output.outgoing import KINDS, paper
from pricing.output.tables import quote_document
from pricing.quoting.plans import priced, with_plans
from pricing.quoting.quote import Quote
from pricing.quoting.work import cheapest_grouping, work
from pricing.store import Store, StoreError
from pricing.store.codec import decode, encode
from pricing.store.plans import plan_from, plan_text
from pricing.store.quotes import Outgoing, SentQuote
from pricing.studio.office import Office, stocked

_LOG: Final = logging.getLogger(__name__)
NO_OFFERS: Final = Going()


# arguments: each is one thing that is frozen
def outgoing(
    name: str,
    content: Content,
    quote: Quote,
    office: Office,
    words: Mapping[str, str],
    offered: Going = NO_OFFERS,
    papers: Mapping[str, bytes] | None = None,
) -> Outgoing:
    """Return a quote with everything that is kept of it when it is sent; making its papers takes seconds.

    Parameters
    ----------
    name : str
        Of the job.
    content : Content
        What was entered.
    quote : Quote
        What came of it.
    office : Office
        What it came of, with the job's own changes.
    words : mapping of str to str
        For each grave kind of thing that it lacks: why it goes out so.
    offered : Going
        The offers that go out with it.
    papers : mapping of str to bytes, optional
        Its papers, where they are made already.

    Raises
    ------
    StoreError
        When a paper cannot be made.
    """
    plans = [plan_text(plan) for plan in quote.build.layouts] + [plan_text(plan) for plan in quote.build.stick_plans]
    made = papers_of(quote, "sent", offered.pictures) if papers is None else papers
    return Outgoing(
        number=quote.number, sent_on=quote.on, total=quote.total, currency=quote.currency,
        content=json.dumps(
            {
                "name": name, "content": json.loads(content.text()), "words": words,
                "design": encode(quote.build.grouping), "offers": offered.facts,
            }
        ),
        office=json.dumps(encode(office)), plans=json.dumps(plans), result=json.dumps(quote_document(quote)),
        papers={**made, **offered.files},
    )  # fmt: skip


def papers_of(
    quote: Quote, done: str, pictures: Mapping[str, bytes] | None = None, ended: Callable[[], bool] = lambda: False
) -> dict[str, bytes]:
    """Return every paper of a quote that is about to be kept, by name, with its pictures; none where ended before.

    Raises
    ------
    StoreError
        When one cannot be made; nothing was `done` then.
    """
    made: dict[str, bytes] = {}
    try:
        for each in KINDS:
            if ended():
                return {}
            made[each] = paper(quote, each, pictures=pictures)
    except Exception as error:
        _LOG.exception("the papers of %s could not be made", quote.number)
        raise StoreError(f"nothing was {done}: its papers could not be made ({_said(error)})") from error
    return made


def content_of(sent: SentQuote) -> Content:
    """Return what was entered when a quote was sent."""
    return content_from(json.dumps(json.loads(sent.content)["content"]))


def thaw(sent: SentQuote) -> Quote:
    """Work a sent quote through again from what was frozen with it.

    Only for the papers of those that were sent when none were kept: what is kept needs no working through.

    Raises
    ------
    StoreError
        When this version of the program comes to something else; the figures that were kept stand.
    """
    office: Office = decode(Office, json.loads(sent.office))
    days = days_in(office.shop.studio.country)
    order: Order | None = read(content_of(sent), json.loads(sent.content)["name"], days).order
    if order is None:
        raise StoreError(f"{made_by()} cannot read its table of artworks")
    office = replace(office, shop=stocked(office.shop, office.book))
    quick = work(order, office, on=sent.sent_on, search=QUICK, number=sent.number, design=_design(sent, order, office))
    plans = {plan.good: plan for plan in map(plan_from, json.loads(sent.plans))}
    quote = priced(quick, with_plans(quick.build, plans))
    if quote.total != sent.total:
        raise StoreError(f"{made_by()} comes to a total of {quote.total}, not to the {sent.total} that was sent")
    if other := _other_tables(json.loads(sent.result), json.loads(json.dumps(quote_document(quote)))):
        raise StoreError(f"{made_by()} comes to other figures than were sent ({', '.join(other)})")
    return quote


def _design(sent: SentQuote, order: Order, office: Office) -> Grouping:
    """Return how the crates of a sent quote are made: as was chosen for it, or by the rules where none were kept."""
    kept = json.loads(sent.content).get("design")
    if kept is not None:
        chosen: Grouping = decode(Grouping, kept)
        return chosen
    return cheapest_grouping(order, office) or Grouping(())


_WORDS: Final = {"head": ("lacks",), "tables": ("notes",)}
"""What a document says in words about its figures: versions say it otherwise, and no figure is another for it."""
_WORDED: Final[Mapping[str, tuple[str, ...]]] = {"totals": ("step",), "freight": ("standing",)}
"""Columns of tables that are such words."""
_TOTAL: Final = "Total, "
"""Begins the step of the row that says what a total lacks."""


def _other_tables(kept: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """Return what differs between two documents of a quote: their tables by name, and their own facts.

    A column, a table or a fact that a later version adds is no other figure.
    """
    heads = ({key: each for key, each in one.items() if key not in ("tables", *_WORDS["head"])} for one in (kept, now))
    tables = kept["tables"].keys() - set(_WORDS["tables"])
    return [
        *([] if _holds(next(heads), next(heads)) else ["its head"]),
        *sorted(t for t in tables if not _same_rows(_figures(t, kept), _figures(t, now))),
    ]


def _figures(table: str, document: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return the rows of a table without what it only says in words."""
    gone = _WORDED.get(table, ())
    rows = [row for row in document["tables"].get(table, ()) if not str(row.get("step", "")).startswith(_TOTAL)]
    return [{name: cell for name, cell in row.items() if name not in gone} for row in rows]


def _same_rows(kept: Sequence[Mapping[str, Any]], now: Sequence[Mapping[str, Any]]) -> bool:
    return len(kept) == len(now) and all(map(_holds, kept, now))


def _holds(kept: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Whether all that was kept of something is there, and the same."""
    return all(name in now and now[name] == value for name, value in kept.items())


def print_afterwards(store: Store, sent: SentQuote, ended: Callable[[], bool] = lambda: False) -> None:
    """Make the papers of a quote that was sent when none were kept, and keep them; or note why they cannot be made.

    They are made from what was frozen with it, while that still comes to every figure that was sent. Nothing is kept
    where it is ended before all are made.
    """
    trouble, papers = "", {}
    try:
        quote = thaw(sent)
        for name in KINDS:
            if ended():
                return
            papers[name] = paper(quote, name)
    except StoreError as error:
        trouble = str(error)
    except Exception as error:  # noqa: BLE001 - whatever the reason, what was kept of it stands, and the desk opens
        _LOG.exception("the papers of version %s of job %s could not be made", sent.version, sent.job)
        trouble = f"{made_by()} cannot work through what was frozen with it ({_said(error)})"
    with store.database.writing():
        if store.quotes.get(sent.job, sent.version) != sent:
            return  # everything was replaced meanwhile: these are not the papers of what stands there now
        made = store.sent_papers.printing(sent.job, sent.version)
        if made is not None and not made.trouble:
            return  # somebody else made them meanwhile, and what is kept is kept for good
        if trouble:
            told = f"Its papers cannot be made any more: {trouble}. What was sent stands, as its tables show it."
            store.sent_papers.give_up(sent.job, sent.version, made_by(), told)
        else:
            store.sent_papers.keep(sent.job, sent.version, papers, made_by(), afterwards=True)


def _said(error: Exception) -> str:
    text = " ".join(str(error).split())[:200]
    return f"{type(error).__name__}: {text}" if text else type(error).__name__


@dataclass(frozen=True)
class Difference:
    """What changed from one quote to a later one.

    Attributes
    ----------
    entries : list of CellChange
        In the table and the job's own settings.
    prices : list of CellChange
        Prices that both used, before and after.
    total : Decimal or None
        The later total less the earlier; None where one of them is incomplete, so that they do not compare.
    """

    entries: list[CellChange]
    prices: list[CellChange]
    total: Decimal | None


def difference(before: SentQuote, content: Content, document: dict[str, Any], total: Decimal) -> Difference:
    """Compare a sent quote with a later state of its job."""
    old, new = (_prices(each) for each in (json.loads(before.result), document))
    prices = [
        CellChange(0, stock, old[stock], new[stock]) for stock in old if stock in new and old[stock] != new[stock]
    ]
    sent, now = (replace(each, photos={}) for each in (content_of(before), content))
    lacking = incomplete_of(json.loads(before.result)) or incomplete_of(document)
    return Difference(changes(sent, now), prices, None if lacking else total - before.total)


def _prices(document: dict[str, Any]) -> dict[str, str]:
    return {row["stock"]: f"{row['price']} {row['price breaks']}".strip() for row in document["tables"]["prices"]}
