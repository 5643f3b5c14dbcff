"""What is read back out of a kept quote is what the quote itself counted and reckoned."""

import json
from datetime import date
from decimal import Decimal
from typing import Any

from pricing.output.kept import counts_in, reckoned_in
from pricing.output.tables import quote_document
from pricing.quoting.learned import CUT, Reckoned, counts_of, reckoned_of
from pricing.quoting.quote import quote
from pricing.studio.office import Office
from tests.pricing.builds import small_build


def test_a_kept_quote_says_what_the_quote_said() -> None:
    made = quote(small_build(), Office(), on=date(2026, 11, 1))
    tables = json.loads(json.dumps(quote_document(made)))["tables"]
    assert counts_in(tables["labour"]) == counts_of(made.labour)
    assert reckoned_in(tables["takeoff"]) == reckoned_of(made.takeoff.rows)
    assert len(counts_of(made.labour)) > 5
    forms = {each.form for each in reckoned_of(made.takeoff.rows).values()}
    assert forms & set(CUT)
    assert forms - set(CUT)


def test_figures_are_read_as_text_and_as_numbers_and_what_is_odd_is_left_out() -> None:
    rows: list[dict[str, Any]] = [
        {"operation": "Rips", "count": 5}, {"operation": "Rips", "count": "7"}, {"operation": "Leaps", "count": 1},
        {"operation": "Crosscuts", "count": None}, {},
    ]  # fmt: skip
    assert counts_in(rows) == {"rip": 12}
    sheet = {"stock": "ply 4x8", "source": "buy", "unit": "sheet", "used": "2.6", "unit price": 58}
    film = {"stock": "film", "source": "buy", "unit": "roll", "used": 0.25, "unit price": "80.00"}
    rack = {"stock": "R-1", "source": "rack", "unit": "sheet", "used": "1", "parts alone": "1", "unit price": "9"}
    odd = {"stock": "x", "source": "buy", "unit": "fathom"}
    assert reckoned_in([{**sheet, "parts alone": "2.1"}, film, rack, odd]) == {
        "ply 4x8": Reckoned("sheet", Decimal("2.1"), Decimal(58)),
        "film": Reckoned("roll", Decimal("0.25"), Decimal("80.00")),
    }
    assert reckoned_in([sheet])["ply 4x8"].needed == 0, "0.1.0 did not tell the parts alone"
