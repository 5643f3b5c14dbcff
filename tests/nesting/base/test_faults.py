import pytest

from nesting.base.faults import Fault, Faults, FaultsFound, refuse
from nesting.base.measure import MeasureError


def test_a_fault_is_one_sentence() -> None:
    fault = Fault("order.csv", 3, "width", "thirty", "a length such as 30 1/2, 2' 6\", 775 mm")
    said = 'order.csv, row 3, column width: found "thirty"; accepted: a length such as 30 1/2, 2\' 6", 775 mm'
    assert fault.message == str(fault) == said


def test_places_are_named_as_the_file_has_them() -> None:
    assert (
        Fault("o.toml", 2, "width", "", "a length", "artwork").message
        == "o.toml, artwork 2, width: found nothing; accepted: a length"
    )
    assert Fault("o.csv", None, None, "", "rows").message == "o.csv: found nothing; accepted: rows"
    assert Fault("o.csv", 4, None, " x\n\x00y ", "rows").message == 'o.csv, row 4: found "x y"; accepted: rows'


def test_long_texts_are_cut() -> None:
    assert len(Fault("o.csv", 1, "title", "x" * 5000, "a title", typed=True).message) < 120
    typed = Faults("o.csv")
    typed.add(1, "title", "x" * 5000, "a title")
    assert [len(fault.message) < 120 for fault in typed] == [True]


def test_what_our_own_code_says_is_told_in_full() -> None:
    said = "A-01: no stocked carton takes it wrapped in paper and foam, with cushions on all its sides"
    assert said in Fault("o.csv", 1, "method", said, "another method").message
    assert len(Fault("o.csv", 1, "method", "x" * 5000, "another method").message) < 1000


def test_all_faults_are_raised_together_from_top_to_bottom() -> None:
    faults = Faults("o.csv")
    faults.stop_if_any()
    assert not faults
    faults.add(7, "width", "a", "b")
    faults.add_measure(3, "height", MeasureError("c", "d"))
    faults.add(3, "depth", "e", "f")
    with pytest.raises(FaultsFound) as caught:
        faults.stop_if_any()
    assert [(f.row, f.column) for f in caught.value.faults] == [(3, "height"), (3, "depth"), (7, "width")]
    assert str(caught.value).count("\n") == 2
    assert len(list(faults)) == 3


def test_a_whole_file_is_refused_with_one_fault() -> None:
    assert str(refuse("o.xls", "an old file", "XLSX")) == 'o.xls: found "an old file"; accepted: XLSX'
    with pytest.raises(AssertionError):
        FaultsFound([])


def test_a_file_whose_name_would_move_the_cursor_is_named_without_that() -> None:
    assert Fault("a\x1b[2Jb.csv", None, None, "", "a table").message.isprintable()
