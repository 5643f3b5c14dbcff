"""An order with held crates: its total is without them, their pieces bear nothing, and no lack is graver."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nesting.base.measure import INCH
from nesting.build import build
from nesting.order import Artwork, Order
from pricing.money import total
from pricing.quoting.lacks import Lack
from pricing.quoting.marginal import marginal_prices
from pricing.quoting.quote import Quote, quote
from pricing.quoting.sawn import Sawn
from pricing.quoting.supply import supply_of
from pricing.quoting.troubles import troubles
from pricing.studio.office import Office
from tests.pricing.builds import build_of, holding, small_build
from tests.weakened import weaken

ON = date(2026, 11, 1)
ALL = ("A-01", "A-02#1")


def priced(*held: str) -> Quote:
    """Price the small build with the crates of some pieces held."""
    return quote(holding(small_build(), *held), Office(), on=ON)


def lack(made: Quote, kind: str) -> Lack:
    return next(each for each in made.lacks if each.kind == kind)


@pytest.mark.parametrize(("held", "without"), [
    (("A-01",), "without K1, held"), (("A-02#1",), "without K2, K3, K4, held"), (ALL, "without K1, K2, K3, K4, held"),
])  # fmt: skip
def test_the_total_is_without_what_is_held_and_says_so(held: tuple[str, ...], without: str) -> None:
    made = priced(*held)
    assert made.without == without
    assert made.total < priced().total
    assert priced().without == ""
    assert {
        share.piece: share.total for share in made.shares if share.piece in made.build.held_pieces
    } == dict.fromkeys(made.build.held_pieces, Decimal(0))
    assert total(share.total for share in made.shares) == made.total
    assert [share.crate for share in made.shares] == ["K1", "K2", "K3"], "a held piece still says where it would ride"
    assert not {sale.piece for sale in made.sales} & made.build.held_pieces


def test_where_every_crate_is_held_nothing_is_charged_not_even_the_least_charge() -> None:
    made = priced(*ALL)
    assert made.rates.price.minimum > 0
    assert made.total == 0
    assert (made.lines, made.passed, made.shipments, made.sales, made.labour) == ((), (), (), (), ())
    assert [lack.kind for lack in made.lacks][:1] == ["held"]
    assert Sawn() == (made.sawn or Sawn())


def test_a_held_work_is_insured_by_nobody() -> None:
    both, one = priced(), priced("A-01")
    assert both.section("insurance") - one.section("insurance") == Decimal("1000.00") * both.rates.insurance.rate
    works = tuple(replace(work, price=None, declared=None) for work in small_build().order.artworks)
    bare = holding(replace(small_build(), order=replace(small_build().order, artworks=works)), "A-01")
    assert lack(quote(bare, Office(), on=ON), "insurance").names == ("A-02#1", "A-02#2")


def test_what_is_held_is_the_gravest_lack_with_reason_and_what_would_pass() -> None:
    made = priced("A-02#1")
    first = made.lacks[0]
    assert (first.kind, first.gravity, first.grave, first.count) == ("held", 0, True, 3)
    assert first.names == ("K2", "K3", "K4")
    assert first.text == "3 crates are held, not cut and not in this total"
    assert first.reasons[0] == "K2 (back, bending 1920 psi of 815 psi; would pass: two cleats more)"
    assert first.mend.at == "K2"
    assert "accept_held" in first.mend.files
    assert troubles(made)[0] == "K2: held, back, bending 1920 psi of 815 psi; would pass: two cleats more"
    assert sum("held" in each for each in troubles(made)) == 1, "its riders are no troubles of their own"


def test_a_line_of_which_a_crate_is_held_adds_nothing() -> None:
    made = priced("A-02#1")
    adds = marginal_prices(made, lambda order: quote(build_of(order, ()), Office(), on=ON))
    assert [each.piece for each in adds] == ["A-01"]


# -- acceptances, by the expander's own standing -----------------------------------------------------------------------


def order(*accepts: str) -> Order:
    """Return an order of closed crates, each with what its row accepts."""
    works = (
        Artwork(f"A-0{n}", 24 * INCH, 24 * INCH, 2 * INCH, weight_kg=Decimal(5), price=Decimal(1000), method="closed",
                accept_held=text, destination="Harbour Gallery")
        for n, text in enumerate(accepts, start=1)
    )  # fmt: skip
    return Order("made by hand", tuple(works))


def worked(wanted: Order) -> Quote:
    office = Office()
    return quote(build(wanted, office.shop, supply_of(office)), office, on=ON)


def code_of(piece: str) -> str:
    """Return the code that an acceptance of a piece's crate must bear."""
    made = worked(order("", ""))
    return next(crate.code for crate in made.build.every if piece in crate.pieces)


def test_an_accepted_crate_is_cut_and_its_reason_stands_beside_the_check_that_it_fails(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weaken(monkeypatch, "A-01")
    made = worked(order(f"{code_of('A-01')}: the owner agreed", ""))
    assert made.build.held == ()
    assert "held" not in {each.kind for each in made.lacks}
    assert lack(made, "check").names == ("K1",)
    assert lack(made, "check").line.endswith("; accepted: the owner agreed)")
    assert made.share("A-01").total > 0


def test_an_acceptance_with_another_code_has_lapsed_and_one_without_words_is_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weaken(monkeypatch, "A-01")
    code = code_of("A-01")
    other = worked(order("deadbeef: the owner agreed", ""))
    assert other.build.held_pieces == {"A-01"}
    assert lack(other, "lapsed").grave
    assert lack(other, "lapsed").line == (
        f"1 acceptance of a held crate has lapsed: A-01 (piece, check or design changed since; K1 has code {code} now)"
    )
    silent = worked(order(f"{code}:", ""))
    assert silent.build.held_pieces == {"A-01"}
    assert lack(silent, "lapsed").reasons == ("A-01 (no reason is written after its code)",)
    assert "check" not in {each.kind for each in other.lacks}, "a held crate fails no check of what is cut"


def test_an_acceptance_that_nobody_needs_is_told_and_is_not_grave(monkeypatch: pytest.MonkeyPatch) -> None:
    weaken(monkeypatch, "A-02")
    made = worked(order("deadbeef: the owner agreed", ""))
    assert lack(made, "unneeded").line == "1 acceptance is not needed: A-01 (K1 passes)"
    assert not lack(made, "unneeded").grave
    assert "lapsed" not in {each.kind for each in made.lacks}
