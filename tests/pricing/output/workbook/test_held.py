"""A workbook with held crates, calculated anew by another program: every total is the quote's own."""

from pathlib import Path

import pytest

from pricing.output.workbook import workbook_bytes
from pricing.quoting.quote import Quote, quote
from pricing.studio.office import Office
from tests.pricing.builds import holding, small_build
from tests.pricing.output.workbook.support import DAY, changed, differences, recalculated

pytestmark = pytest.mark.office


def held(*pieces: str) -> Quote:
    return quote(holding(small_build(), *pieces), Office(), on=DAY)


def test_workbooks_with_held_crates_recalculated(office: str, tmp_path: Path) -> None:
    wanted = {"closed": held("A-01"), "riding": held("A-02#2"), "all": held("A-01", "A-02#2")}
    files = {name: workbook_bytes(each) for name, each in wanted.items()}
    for name, content in recalculated(office, files, tmp_path).items():
        assert differences(content, wanted[name]) == [], name


def test_the_least_charge_is_not_charged_where_nothing_is_made_whatever_it_is(office: str, tmp_path: Path) -> None:
    made = held("A-01", "A-02#1")
    files = {"dear": changed(made, {"minimum_charge": 500})}
    assert differences(recalculated(office, files, tmp_path)["dear"], made) == []
