"""Scenarios of a job: a text of tables as ``casewright what-if`` reads it, written by a form or by hand, and quoted.

Text that was written by hand keeps its words and order: a form adds a table at the end, and takes one out whole.
"""

import re
import tomllib
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any, Final

from nesting.base.progress import Progress
from nesting.base.rule_files import Rule, rule_toml, typed_value
from nesting.base.search import Effort, Search
from nesting.base.stop import Stop
from nesting.base.toml_text import toml_key, toml_value
from nesting.crates.cases.consignment import Grouping
from nesting.crates.held import without_named
from nesting.crates.registry import askable
from nesting.order import AUTO, Order
from pricing.ahead.what_if import Answer, Scenario, scenarios_from
from pricing.ahead.what_if.report import figures
from pricing.ahead.what_if.run import AS_IT_IS, answer
from pricing.desk.held import held_pieces
from pricing.desk.rulebook import rate_rules, shop_rules, stored_text, titled
from pricing.money import typed_amount
from pricing.quoting.incomplete import beside
from pricing.quoting.keeping import left_aside, of_these
from pricing.quoting.lacks import graves
from pricing.quoting.ledger import Entry, entries_of
from pricing.studio.office import Office

FILE: Final = "the scenarios"
_HEAD: Final = re.compile(r"\s*\[\[?\s*scenario\s*\.\s*(?:([A-Za-z0-9_-]+)|\"([^\"]*)\"|'([^']*)')\s*[\].]")
_UNPRICED: Final = "not quoted: it was ended early"


@dataclass(frozen=True)
class Weighed:
    """What one scenario comes to, in the figures that are compared.

    Attributes
    ----------
    name, title : str
        As in the text.
    figures : mapping of str to number
        As :func:`pricing.ahead.what_if.report.figures` has them; empty where it cannot be built.
    late_days : int
        Of what is latest.
    troubles : tuple of str
        What its total lacks gravely, a line a kind.
    refused : tuple of str
        Why it cannot be built.
    held : tuple of str
        Pieces whose crate is held: its total is without them, and compares with no other but one without the same.
    incomplete : tuple of str
        What its total lacks that must be paid and is not known: it compares with no other.
    entries : tuple of Entry
        What its total is the sum of.
    packages : tuple of (str, str, float)
        Each crate that travels: its name, its method, and what it weighs in kg.
    sheets : tuple of (str, int)
        How many sheets of each good are cut.
    late : tuple of (str, int)
        What is late in its calendar, by how many days.
    aside : tuple of str
        Pieces of crates for which a design was taken that does not count then.
    """

    name: str
    title: str
    figures: Mapping[str, float | int | Decimal]
    late_days: int = 0
    troubles: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    incomplete: tuple[str, ...] = ()
    entries: tuple[Entry, ...] = ()
    packages: tuple[tuple[str, str, float], ...] = ()
    sheets: tuple[tuple[str, int], ...] = ()
    late: tuple[tuple[str, int], ...] = ()
    aside: tuple[str, ...] = ()

    @property
    def without(self) -> str:
        """What stands beside its total where crates are held or it is incomplete; empty else."""
        return beside(without_named(self.held), self.incomplete)

    def compares_with(self, other: "Weighed") -> bool:
        """Say whether advice may be drawn from two totals: neither is incomplete, and both lack the same pieces."""
        return self.held == other.held and not (self.incomplete or other.incomplete)

    @property
    def base(self) -> bool:
        """Whether it is the job without any scenario."""
        return self.name == AS_IT_IS

    @property
    def total(self) -> Decimal | None:
        """What the client pays."""
        total = self.figures.get("total")
        return total if isinstance(total, Decimal) else None


@dataclass(frozen=True)
class Quoting:
    """The work of quoting a job and its scenarios; see :func:`pricing.ahead.what_if.run_scenarios`."""

    order: Order
    office: Office
    text: str
    on: date
    seed: int
    effort: Effort = "normal"
    taken: Grouping | None = None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return "scenarios"

    def run(self, report: Progress, stop: Stop) -> tuple[Weighed, ...]:
        """Quote one after the other, each cut as the job is once it has settled, so that they compare with its total.

        Asked to stop, those that follow stay unquoted.
        """
        whole = [
            Scenario(AS_IT_IS, AS_IT_IS, self.order, self.office),
            *scenarios_from(self.text.encode(), FILE, self.order, self.office),
        ]
        found, memory = [], dict[Hashable, Any]()
        for number, each in enumerate(whole):
            if stop.asked:
                found.append(Weighed(each.name, each.title, {}, refused=(_UNPRICED,)))
                continue
            report(f"{number} of {len(whole)} done", number / len(whole))
            search = Search(self.seed, self.effort, stop, memory=memory)
            made = answer(each, on=self.on, search=search, taken=of_these(self.taken, self._as_they_are(each.order)))
            found.append(weighed(made, self.taken))
        return tuple(found)

    def _as_they_are(self, order: Order) -> list[str]:
        """Return the pieces of a scenario that are those of the job, for which designs were taken."""
        was = {copy.piece: copy.as_made() for copy in self.order.copies()}
        return [copy.piece for copy in order.copies() if was.get(copy.piece) == copy.as_made()]


@dataclass(frozen=True)
class Weighing:
    """Scenarios that were quoted.

    Attributes
    ----------
    key : str
        What they are of; see :func:`pricing.desk.ways.key_of`.
    found : tuple of Weighed
        The job as it is first.
    stopped : bool
        Whether it was ended early.
    """

    key: str
    found: tuple[Weighed, ...]
    stopped: bool


def weighed(made: Answer, taken: Grouping | None = None) -> Weighed:
    """Return the figures of an answer; of designs that were taken, which of them do not count in it."""
    if made.quote is None:
        return Weighed(made.name, made.title, {}, refused=made.refused)
    quote = made.quote
    build = quote.build
    late = [(f"{each.kind} {each.what}", each.late_days) for each in (made.calendar.entries if made.calendar else ())]
    lacks = tuple(lack.line for lack in graves(quote.lacks))
    return Weighed(
        made.name, made.title, figures(quote), max((days for _, days in late), default=0), lacks, (),
        held_pieces(build), quote.incomplete, entries_of(quote),
        tuple((each.crate, each.method, round(each.gross_kg, 3)) for each in build.travelling),
        tuple((build.shop.good(each.good).title, each.sheet_count) for each in build.layouts),
        tuple((what, days) for what, days in late if days),
        tuple(" + ".join(pieces) for pieces in left_aside(taken, build)),
    )  # fmt: skip


# -- the text ----------------------------------------------------------------------------------------------------------


def listed(text: str) -> list[tuple[str, str]]:
    """Return name and title of every scenario; none where the text is not such a text."""
    try:
        tables = tomllib.loads(text).get("scenario", {})
    except (ValueError, RecursionError):
        return []
    if not isinstance(tables, dict):
        return []
    titles = {name: table.get("title", name) if isinstance(table, dict) else name for name, table in tables.items()}
    return [(name, str(title)) for name, title in titles.items()]


def added(text: str, title: str, changes: Sequence[tuple[str, str]], order: Order, office: Office) -> str:
    """Return the text with one scenario more.

    Parameters
    ----------
    text : str
        The scenarios so far.
    title : str
        What it is called.
    changes : sequence of (str, str)
        What differs and how: a piece and its way to pack or number of copies, a rule or a rate and its value, a stock
        and its price, a destination and its freight profile.
    order, office
        Of the job.

    Raises
    ------
    ValueError
        When a change is of nothing that is known, or its value will not do.
    """
    taken = {name for name, _ in listed(text)}
    slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40] or "scenario"
    name = next(each for each in _names(slug) if each not in taken)
    lines = [f"[scenario.{name}]", f"title = {toml_value(title)}", *_lines(changes, order, office)]
    return "\n".join([*([text.rstrip(), ""] if text.strip() else []), *lines, ""])


def _names(slug: str) -> Iterator[str]:
    yield slug
    yield from (f"{slug}-{number}" for number in count(2))


def _lines(changes: Sequence[tuple[str, str]], order: Order, office: Office) -> Iterator[str]:
    """Yield a line for every change."""
    pieces = {artwork.piece for artwork in order.artworks}
    rules: dict[str, tuple[str, Rule]] = {rule.name: ("rates", rule) for rule in rate_rules(office.rates, office.rates)}
    rules |= {rule.name: ("shop", rule) for rule in shop_rules(office.shop, office.shop)}
    rules |= {titled(rule): (table, rule) for table, rule in rules.values()}
    without = [what for what, how in changes if what in pieces and how == "0"]
    if without:
        yield f"order.without = [{', '.join(map(toml_value, without))}]"
    for what, how in changes:
        if what in pieces:
            if how not in without and how != "0":
                yield f"order.change.{toml_key(what)}.{_of_piece(what, how)}"
        elif what in rules:
            table, rule = rules[what]
            yield f"{table}.{'.'.join(map(toml_key, rule.name.split('.')))} = {_of_rule(rule, how, office)}"
        elif what in office.book.by_stock:
            yield f"prices.{toml_key(what)} = {_number(what, how, office)}"
        elif any(what == place.name for place in office.destinations.rows):
            yield f"destinations.{toml_key(what)}.profile = {toml_value(how)}"
        else:
            raise ValueError(f"{what[:60]}: there is no piece, rule, stock or destination of that name")


def _of_piece(piece: str, how: str) -> str:
    known = (AUTO, *askable())
    if how in known:
        return f"method = {toml_value(how)}"
    if how.isascii() and how.isdigit():
        return f"quantity = {int(how)}"
    raise ValueError(f"{piece}: one of {', '.join(known)}, or a number of copies; 0 leaves it out")


def _of_rule(rule: Rule, how: str, office: Office) -> str:
    """Write a rule's value as the studio's own files have it."""
    try:
        return rule_toml(rule.facts, typed_value(rule.facts, stored_text(rule, how, office.book.currency)))
    except ValueError as error:
        raise ValueError(f"{titled(rule)}: {error}") from error


def _number(what: str, how: str, office: Office) -> str:
    try:
        return f"{typed_amount(how, office.book.currency):f}"
    except ValueError as error:
        raise ValueError(f"{what}: {error}") from None


def without(text: str, name: str) -> str:
    """Return the text without one scenario; LookupError where it has none of that name.

    Raises
    ------
    ValueError
        When the text is written so that it cannot be taken out as whole lines.
    """
    if name not in dict(listed(text)):
        raise LookupError(f"there is no scenario {name[:40]}")
    kept, inside = [], False
    for line in text.splitlines():
        if head := _HEAD.match(line):
            inside = name in head.groups()
        if not inside:
            kept.append(line)
    made = "\n".join(kept).strip() + "\n" if any(line.strip() for line in kept) else ""
    wanted = tomllib.loads(text)
    del wanted["scenario"][name]
    if tomllib.loads(made) != {key: value for key, value in wanted.items() if value}:
        raise ValueError(f"{name}: take it out of the text by hand; its lines stand among those of others")
    return made
