"""One value, and every output reads it: the same words in the same order beside every total that is written."""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest

from pricing.ahead.methods import Pricer, combine
from pricing.ahead.methods.report import document, report
from pricing.ahead.what_if import report as what_if
from pricing.ahead.what_if.run import Answer
from pricing.desk.lacking import shown
from pricing.output.summary import summary
from pricing.output.tables import csv_files, quote_json
from pricing.output.workbook import workbook_bytes
from pricing.quoting.lacks import LACKING, TO_KNOW, Lack, graves
from pricing.quoting.quote import Quote, quote
from pricing.studio.destinations import Destination, Destinations
from pricing.studio.office import Office
from tests.pricing.output.workbook.support import DAY, opened, sample

ORDER = "gallery_consignment.csv"


@cache
def lacking() -> Quote:
    """Return the sample's quote as it lacks much: freight, insurance, prices of its own."""
    made = sample(ORDER)
    works = tuple(replace(work, price=None, declared=None) for work in made.build.order.artworks)
    order = replace(made.build.order, artworks=works, warnings=("a column is not understood",))
    places = Destinations((Destination("Harbour Gallery", profile="van"),))
    return quote(
        replace(made.build, order=order),
        Office(book=made.book, rates=made.rates, destinations=places, rack=made.rack),
        on=DAY,
    )


def in_order(texts: Sequence[str], wanted: Sequence[Lack], *, words: str = "whole") -> bool:
    """Whether the texts hold each line once, in this order."""
    places = [[n for n, text in enumerate(texts) if getattr(lack, words) in text] for lack in wanted]
    return all(len(each) == 1 for each in places) and places == sorted(places)


def cells(content: bytes, tab: str) -> Iterator[str]:
    """Yield the texts of a page of a workbook, from top to bottom."""
    for row in opened(content, values=True)[tab].iter_rows(values_only=True):
        yield from (cell for cell in row if isinstance(cell, str))


def unwrapped(text: str, mark: str) -> list[str]:
    """Return the lines that begin with a mark, each with those that it runs on in."""
    found: list[str] = []
    for line in text.splitlines():
        if line.startswith(mark):
            found.append(line.removeprefix(mark))
        elif found and line.startswith("  "):
            found[-1] += " " + line.strip()
    return found


def test_the_quote_that_these_tests_read_lacks_enough_to_be_in_some_order() -> None:
    assert len(graves(lacking().lacks)) >= 3
    assert len(lacking().lacks) - len(graves(lacking().lacks)) >= 2


def test_the_summary_has_the_list_directly_below_the_total() -> None:
    made = lacking()
    lines = summary(made).splitlines()
    total = next(n for n, line in enumerate(lines) if line.startswith("Total, "))
    assert lines[total + 1] == LACKING
    assert TO_KNOW in lines
    assert max(map(len, lines[total:])) <= 100
    told = "\n".join(lines[total:]).replace(f"\n{TO_KNOW}", "")
    assert unwrapped(told.replace("\n- ", "\n! "), "! ") == [lack.whole for lack in made.lacks]


def test_a_price_that_lacks_nothing_has_no_list() -> None:
    made = replace(sample("small_sale.csv"))
    vars(made)["lacks"] = ()  # where the property keeps what it made once
    assert summary(made).splitlines()[-1].startswith("Total, ")
    quoted = list(cells(workbook_bytes(made), "Quote"))
    assert LACKING not in quoted
    assert "Nothing stands out." in list(cells(workbook_bytes(made), "Assumptions"))


def test_the_workbook_has_what_is_grave_below_the_total_and_all_of_it_under_assumptions() -> None:
    made = lacking()
    content = workbook_bytes(made)
    quoted, assumed = list(cells(content, "Quote")), list(cells(content, "Assumptions"))
    total = next(place for place, text in enumerate(quoted) if text.startswith("Total, incomplete: no freight to "))
    assert total < quoted.index(LACKING) < quoted.index("Terms")
    assert in_order(quoted, graves(made.lacks))
    assert not any(lack.text in text for lack in made.lacks if not lack.grave for text in quoted)
    assert in_order(assumed, made.lacks)


def test_tables_and_json_have_it_as_values_and_as_words() -> None:
    made = lacking()
    found = json.loads(quote_json(made))
    assert [each["line"] for each in found["lacks"]] == [lack.line for lack in made.lacks]
    first = found["lacks"][0]
    assert set(first) == {"kind", "grave", "count", "names", "text", "line", "reasons", "mended_in"}
    assert (first["grave"], first["names"]) == (True, list(made.lacks[0].names))
    notes = list(csv.DictReader(io.StringIO(csv_files(made)["notes.csv"])))
    assert [(row["kind"], row["note"], row["where_mended"]) for row in notes[1:]] == [
        (lack.kind, lack.line, lack.mend.files) for lack in made.lacks
    ]


def test_the_desk_has_the_same_lines() -> None:
    assert [each["line"] for each in shown(lacking().lacks, 1)] == [lack.line for lack in lacking().lacks]


def test_scenarios_have_what_is_grave_below_each_total() -> None:
    made = lacking()
    answers = (Answer("as it is", "as it is", made, None), Answer("other", "other", sample("small_sale.csv"), None))
    text = what_if.report(answers, "USD")
    before, other = text.split("\nother ")
    told = [unwrapped(part.replace("\n    ! ", "\n! "), "! ") for part in (before, other)]
    assert told == [[lack.whole for lack in graves(answer.quote.lacks)] for answer in answers if answer.quote]
    plain = what_if.document(answers, "USD")["scenarios"]
    assert [each["line"] for each in plain[0]["lacks"]] == [lack.line for lack in made.lacks]


@pytest.fixture(scope="module")
def small() -> Quote:
    return sample("small_sale.csv")


def test_a_comparison_says_what_its_totals_lack_once_for_those_that_lack_the_same(small: Quote) -> None:
    office = Office(book=small.book, rates=small.rates, destinations=small.destinations)
    found = combine(Pricer(small.build.order, office, DAY))
    text = report(found, "USD", "inch")
    assert found.comparison.now.lacks
    for head, lacks in found.lacking():
        assert f"{head}:" in " ".join(text.split())
        for lack in lacks:
            assert lack.whole in " ".join(text.split())
    assert len(found.lacking()) == len({head for head, _ in found.lacking()}) <= 3
    assert [each["line"] for each in document(found, "USD")["now"]["lacks"]] == [
        lack.line for lack in found.comparison.now.lacks
    ]
    page = list(cells(workbook_bytes(small, methods=found), "Methods"))
    assert in_order(page, found.lacking()[0][1])
