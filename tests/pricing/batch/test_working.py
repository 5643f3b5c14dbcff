"""One order of a batch: its row, its faults, and that nothing of it ends the batch."""

import pickle
from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.batch import working
from pricing.batch.edition import edition
from pricing.batch.row import Row, plain_of, row_from
from pricing.batch.troubles import OtherEditionError
from pricing.batch.working import Outcome, bought_only, work_task
from pricing.studio.office import Office
from pricing.studio.rack import Rack, RackOffcut
from tests.pricing.batch.samples import ON, setting, task


@pytest.fixture(scope="module")
def small() -> Outcome:
    return work_task(setting(files=True), task(), edition())


def test_an_order_gives_its_row_and_what_quote_writes(small: Outcome) -> None:
    row = small.row
    assert (row.order, row.outcome, row.pieces, row.packages, row.currency) == ("North", "worked", 1, 1, "USD")
    assert row.total is not None
    assert row.total > 0
    assert row.gross_kg is not None
    assert row.gross_lb is not None
    assert abs(row.gross_kg - row.gross_lb * Decimal("0.45359237")) < Decimal("0.1")
    assert set(small.files) == {"quote.xlsx", "build.json"}
    assert small.took.processor > 0


def test_its_files_are_those_of_quote(small: Outcome) -> None:
    from nesting.base.search import QUICK
    from pricing.output.job import Extras, all_contents
    from pricing.quoting.work import remembering, work

    search = remembering(QUICK)
    made = work(task().read(Office()), Office(), on=ON, search=search)
    contents, _ = all_contents(made, Extras(), search)
    assert contents == dict(small.files)


def test_a_row_goes_through_json(small: Outcome) -> None:
    assert row_from(plain_of(small.row)) == small.row
    with pytest.raises(TypeError):
        row_from({"order": "A", "unknown": "x"})


def test_a_faulty_order_is_a_row_with_all_its_faults() -> None:
    done = work_task(setting(), task(width="thirty"), edition())
    assert done.row.outcome == "faulty"
    assert "North.csv, row 2, column width" in done.row.faults
    assert done.files == {}


def test_an_order_that_the_program_fails_on_is_a_row_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("planted")

    monkeypatch.setattr(working, "work", broken)
    row = work_task(setting(), task(), edition()).row
    assert (row.outcome, row.faults) == ("failed", "RuntimeError: planted")


def test_another_edition_is_refused_and_both_are_named() -> None:
    with pytest.raises(OtherEditionError) as found:
        work_task(setting(), task(), "casewright 9.9")
    again = pickle.loads(pickle.dumps(found.value))  # noqa: S301 - as it comes back from a worker
    assert "casewright 9.9" in str(again)
    assert edition() in str(again)


def test_the_rack_is_shared_out_among_no_orders() -> None:
    office = replace(Office(), rack=Rack((RackOffcut("R-1", "ply-3/8", 4_000_000, 4_000_000),)))
    assert bought_only(office).rack == Rack()
    with pytest.raises(ValueError, match="share no rack"):
        replace(setting(), office=office)


def test_digests_tell_apart_all_that_an_answer_depends_on() -> None:
    base, one = setting(), task()
    settings = [base, replace(base, files=True), replace(base, source="x"), replace(base, on=ON.replace(day=2))]
    assert len({each.digest for each in settings}) == 4
    tasks = [one, task("South"), task(width="21"), replace(one, pictures={"A": b"x"}), replace(one, units="metric")]
    assert len({each.digest(base.digest) for each in tasks}) == 5
    assert one.digest(base.digest) == task().digest(setting().digest)


def test_a_row_says_no_more_than_it_knows() -> None:
    row = Row("North", "failed", "north.csv", faults="why")
    assert row_from(plain_of(row)).total is None


def test_a_process_looks_for_what_it_no_longer_needs_when_it_has_grown(monkeypatch: pytest.MonkeyPatch) -> None:
    held = [300, 410, 420, 430, 440, 470, 440]
    looks: list[int] = []
    monkeypatch.setattr(working, "resident_mb", lambda: held[0])
    monkeypatch.setattr(working, "give_back", lambda: looks.append(held[0]))
    room = working.Room()
    while held:
        room.tidy()
        held.pop(0)
    assert looks == [410, 470], "over 400, and then not before it has grown by 50"
