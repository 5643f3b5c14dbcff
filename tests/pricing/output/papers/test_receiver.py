"""Who receives works at a place: the party it names, the one of its name, its address, or the one gallery or buyer."""

import pytest

from pricing.output.receiving import receiver_at
from pricing.studio.destinations import Destination
from tests.pricing.output.papers.orders import priced, work

BARE = Destination("Far Pier", "GB")


@pytest.mark.parametrize(
    ("place", "galleries", "name", "known"),
    [
        (BARE, ("Pier Hall", "Pier Hall"), "Pier Hall", True),
        (BARE, ("Pier Hall", ""), "Far Pier", False),
        (BARE, ("Nobody Known", "Nobody Known"), "Far Pier", False),
        (BARE, ("", ""), "Far Pier", False),
        (Destination("Far Pier", "GB", address="Pier 9"), ("Pier Hall", "Pier Hall"), "Far Pier", True),
        (Destination("Far Pier", "GB", party="Lost Hall"), ("Pier Hall", "Pier Hall"), "Far Pier", False),
        (Destination("Far Pier", "GB", party="Pier Hall"), ("", ""), "Pier Hall", True),
        (Destination("Pier Hall", "GB"), ("", ""), "Pier Hall", True),
    ],
)
def test_who_receives(place: Destination, galleries: tuple[str, str], name: str, known: bool) -> None:
    works = [work(number, "consigned", gallery=gallery) for number, gallery in enumerate(galleries, start=1)]
    found = receiver_at(priced(*works), place, works)
    assert found is not None
    assert (found.name, found.known) == (name, known)


def test_nobody_receives_where_the_order_names_no_place() -> None:
    assert receiver_at(priced(work(1, "consigned")), None, ()) is None
