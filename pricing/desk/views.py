"""How pages are made: templates from the package, escaped by default, with the few words that they share."""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final

from jinja2 import Environment, FunctionLoader, StrictUndefined
from starlette.responses import HTMLResponse, Response

from nesting.base.counts import plural
from nesting.base.measure import format_length, format_weight, what_is_left
from nesting.base.ratio import ratio_text
from nesting.base.writing import Writing
from nesting.crates.registry import called
from pricing.desk.help import HELP
from pricing.desk.steps import said, ways_back, words
from pricing.money import half_up, show
from pricing.output.outgoing import TITLES


def template_text(name: str) -> str | None:
    """Return a template of the package, or None."""
    place = files("pricing.desk") / "templates" / name
    return place.read_text(encoding="utf-8") if place.is_file() else None


def money(amount: Decimal | None, currency: str) -> str:
    """Write an amount; nothing where there is none."""
    return "" if amount is None else show(amount, currency)


def figure(amount: Decimal) -> str:
    """Write an amount without its currency, for columns that state it once."""
    return f"{amount:,.2f}"


def percent(ratio: Decimal | Fraction | str) -> str:
    """Write a ratio as a per cent."""
    return f"{half_up(Fraction(ratio) * 100, Decimal('0.1')).normalize():f} %"


def signed(amount: Decimal, currency: str) -> str:
    """Write a difference with its sign."""
    if not amount:
        return "no change"
    return f"{'+' if amount > 0 else '−'} {show(abs(amount), currency)}"


def is_figure(cell: object) -> bool:
    """Whether a cell of a table is a number, however it is written."""
    try:
        return Decimal(str(cell)).is_finite()
    except InvalidOperation:
        return False


def places_said(row: Sequence[str]) -> list[int]:
    """Return at which places a row says anything but no, which is what a blank cell of a choice means."""
    return [place for place, cell in enumerate(row) if cell not in ("", "no")]


def anchor(name: str) -> str:
    """Return a name as the id of what bears it on a page: an id has no blanks."""
    return "_".join(name.split())


def day(value: date) -> str:
    """Write a day: 24 April 2026."""
    return f"{value.day} {value:%B %Y}"


def moment(at: datetime) -> str:
    """Write a moment in UTC: 30 November 2026, 20:11."""
    there = at.astimezone(UTC)
    return f"{there.day} {there:%B %Y, %H:%M}"


_BETWEEN_TAGS: Final = re.compile(r"(<(?:script|style|textarea)\b.*?</(?:script|style|textarea)>|<[^>]*>)", re.DOTALL)
_SAID: Final = re.compile(r'(?<= aria-label=")[^"]*|(?<= title=")[^"]*')
"""What of a page nobody reads as a text, or types into: it stays as it is."""


def told_on_page(html: str, writing: Writing) -> str:
    """Return a page, or a drawing, with figures and days of its texts as they are written; fields keep theirs."""
    if writing.is_plain:
        return html
    parts = _BETWEEN_TAGS.split(html)
    parts[::2] = map(writing.told, parts[::2])
    parts[1::2] = (_SAID.sub(lambda found: writing.told(found[0]), tag) for tag in parts[1::2])
    return "".join(parts)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    """Return the templates, each compiled once for all desks of a process: none of what they share is a desk's own."""
    made = Environment(
        loader=FunctionLoader(template_text), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, auto_reload=False,
    )  # fmt: skip
    made.filters.update(
        money=money,
        percent=percent,
        rate=ratio_text,
        signed=signed,
        measure=format_length,
        left=what_is_left,
        weight=format_weight,
        day=day,
        moment=moment,
        figure=figure,
        packing=called,
        anchor=anchor,
        places_said=places_said,
        said=said,
        words=words,
        ways_back=ways_back,
    )
    made.globals.update(helps=HELP, plural=plural, paper_titles=TITLES)
    made.tests["figure"] = is_figure
    return made


class Views:
    """Templates, filled in as one desk shows them."""

    def __init__(self, today: Callable[[], date] = date.today, writing: Callable[[], Writing] = Writing) -> None:
        self._today, self._writing = today, writing
        self._environment = _environment()

    @property
    def writing(self) -> Writing:
        """How the studio reads figures and days."""
        return self._writing()

    def ready(self) -> None:
        """Compile what pages of a job share: the first that is looked at would wait for it."""
        for name in ("base.html", "job.html", "parts.html", "steps.html", "money.html"):
            self._environment.get_template(name)

    def page(self, template: str, path: str, values: Mapping[str, Any], status: int = 200) -> Response:
        """Return a page as it stands at a path of the desk.

        Figures and days of its texts are written as the studio reads them; a value ``writing`` says otherwise.
        """
        shared = {"path": path, "here": "", "search": None, "leads": (), "today": self._today()}
        text = self._environment.get_template(template).render({**shared, **values})
        return HTMLResponse(told_on_page(text, values.get("writing") or self.writing), status)
