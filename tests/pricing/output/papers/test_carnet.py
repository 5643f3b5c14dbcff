"""The general list of a carnet, held against what two chambers in the United Kingdom ask of it.

Every item by itself, only identical ones grouped, nothing vague, the country by its two letters, no column added.
"""

from decimal import Decimal
from typing import Any

from pricing.output.papers.carnet import COLUMNS, carried, general_list
from pricing.output.papers.consignment import consignments
from pricing.output.papers.files import batches
from pricing.output.papers.pages import general_list_pdf
from pricing.output.papers.paper import Look
from tests.pricing.output.papers.orders import HOME, abroad, mixed, priced, text_of, work

CARNET: dict[str, Any] = {"extra": {"carnet": "yes"}}


def test_columns_are_those_of_the_form_and_no_other() -> None:
    """Annex to the ATA Convention (Brussels, 6 December 1961), the general list; the last two from memory."""
    assert COLUMNS == (
        "Item number", "Trade description of goods and marks and numbers, if any", "Number of pieces",
        "Weight or volume", "Value", "Country of origin", "For customs use",
    )  # fmt: skip
    text = text_of(general_list_pdf(general_list(abroad(mixed())), Look()))
    for wanted in ("Item number", "Trade description of goods and marks and numbers, if any", "Number of pieces",
                   "Weight or volume", "Value, USD", "Country of origin", "For customs use", "A-04, in package K4",
                   "904.00", "US", "within a year of the carnet's issue", "customs broker decides"):  # fmt: skip
        assert wanted in text
    assert "A-03" not in text, "nobody said that it goes under a carnet"


def test_identical_items_alone_are_grouped_and_sums_are_those_of_the_lines() -> None:
    made = priced(work(1, "consigned", quantity=2, **CARNET), work(2, "consigned", **CARNET))
    listed = general_list(abroad(made))
    assert [(each.number, each.count, each.value, each.origin) for each in listed.items] == [
        (1, 2, "1,802.00", "US"), (2, 1, "902.00", "US"),
    ]  # fmt: skip
    assert (listed.count, listed.value) == (3, "USD 2,704.00")
    kilograms = [Decimal(each.weight.split(" kg")[0]) for each in listed.items]
    pounds = [Decimal(each.weight.split("\n")[1].split(" lb")[0]) for each in listed.items]
    assert listed.weight == f"{sum(kilograms)} kg\n{sum(pounds)} lb"
    assert kilograms[0] == 2 * kilograms[1]
    assert listed.items[0].about[-1] == "Marks: A-01, in package K1, K2"
    assert listed.missing == ()


def test_what_is_vague_sold_or_of_no_known_country_is_told() -> None:
    made = priced(
        work(1, "consigned", title="Various studies", **CARNET),
        work(2, "sold", **CARNET),
        work(3, "consigned", extra={"carnet": "yes", "origin": "Iceland"}),
        work(4, "consigned", title="Etching the sea", **CARNET),
    )
    listed = general_list(abroad(made))
    assert listed.missing == (
        "a title that is not vague of A-01 (order)",
        "country of origin, two letters, of A-03 (order)",
        "terms: what is sold does not come back, and goes under no carnet; of A-02 (order)",
    )
    assert listed.items[2].origin == ""


def test_no_list_at_home_nor_where_nobody_asks() -> None:
    made = priced(work(1, "consigned", HOME, **CARNET), work(2, "consigned"))
    assert [carried(each) for each in consignments(made)] == [(), ()]
    assert not [each for each in batches(made) if each.kind.name == "carnet-list"]
