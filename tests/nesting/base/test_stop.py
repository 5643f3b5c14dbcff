"""Ending early: the search that runs keeps its best, those after it are short, and the build says so."""

import pytest

from nesting.base.measure import INCH
from nesting.base.progress import Progress, silent
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.build import Build, build
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from tests.nesting.drawings.builds import supply_of

ORDER = Order(
    "three",
    tuple(Artwork(f"A-{i}", (24 + 3 * i) * INCH, 30 * INCH, 2 * INCH, method="closed") for i in range(3)),
)


def made(stop: Stop | None, progress: Progress) -> Build:
    return build(ORDER, default_shop(), supply_of(default_shop()), search=Search(stop=stop, progress=progress))


def test_an_interrupt_in_a_search_keeps_its_best_and_shortens_the_rest() -> None:
    stop = Stop()
    told: list[tuple[str, float, str]] = []

    def once(stage: str, fraction: float, note: str = "", *_: object) -> None:
        told.append((stage, fraction, note))
        if stop.searching and not stop.asked:
            stop.asked = True
            raise KeyboardInterrupt

    found = made(stop, once)
    assert found.stopped == "interrupt"
    assert all(layout.stopped == "interrupt" for layout in found.layouts)
    assert not stop.searching
    assert not stop.soon
    whole = made(Stop(), silent)
    assert whole.stopped is None
    assert [layout.good for layout in found.layouts] == [layout.good for layout in whole.layouts]
    assert all(a.cost >= b.cost for a, b in zip(found.layouts, whole.layouts, strict=True))


def test_a_wish_between_searches_is_granted_at_the_next() -> None:
    stop = Stop()

    def ask(stage: str, fraction: float, note: str = "", *_: object) -> None:
        if stage == "cutting plans" and 0 < fraction < 1 and not stop.searching:
            assert stop.soon
            assert note
            stop.asked = True

    found = made(stop, ask)
    assert found.layouts[0].stopped is None
    assert {layout.stopped for layout in found.layouts[1:]} == {"interrupt"}


@pytest.mark.parametrize("where", ["crates", "offcuts"])
def test_without_a_stop_an_interrupt_goes_on_up_from_wherever_it_comes(where: str) -> None:
    told: list[str] = []

    def interrupting(stage: str, fraction: float, note: str = "", *_: object) -> None:
        told.append(f"{stage}, {note}")
        if where in told[-1]:
            raise KeyboardInterrupt(stage, fraction, note)

    with pytest.raises(KeyboardInterrupt):
        made(None, interrupting)
    assert sum(where in each for each in told) == 1
