"""Held and accepted crates in words: one line for all, a row for each reason, and how each is accepted."""

from dataclasses import replace

from nesting.crates.held import (
    accept_by,
    accepted_line,
    each_reason,
    held_for,
    held_line,
    held_rows,
    held_short,
    reasons,
    roots,
    without,
)
from nesting.crates.model import HeldFor
from tests.pricing.builds import holding, small_build

CLOSED = holding(small_build(), "A-01").held
RIDING = holding(small_build(), "A-02#1").held
ALL = (*CLOSED, *RIDING)
TOLD = "back, bending 1920 psi of 815 psi; would pass: two cleats more"


def test_nothing_is_said_where_nothing_is_held() -> None:
    assert (held_line(()), without(()), held_short((), "there"), held_for(()), held_rows(())) == ("", "", "", "", ())
    good = small_build().crates[0]
    assert (accept_by(good), accepted_line(good), reasons(good)) == ("", "", "")


def test_the_line_names_crates_pieces_reasons_and_what_would_pass() -> None:
    assert held_line(CLOSED) == f"Held, not cut and in no total: K1 (A-01): {TOLD}."
    assert held_line(RIDING) == f"Held, not cut and in no total: K2 (A-02#1): {TOLD}; with them K3, K4."
    assert held_short(ALL, "page 9").endswith(
        "K1, K2, K3, K4 with A-01, A-02#1, A-02#2. Why, and what would pass: page 9."
    )


def test_what_is_held_for_anothers_sake_is_no_root_and_has_nothing_to_accept() -> None:
    assert [crate.crate for crate in roots(ALL)] == ["K1", "K2"]
    assert [accept_by(crate) for crate in RIDING] == ['column accept_held of A-02#1: "c0de0000: the reason"', "", ""]
    assert [(row.crate, row.found, row.code) for row in held_rows(RIDING)] == [
        ("K2", "1920 psi", "c0de0000"), ("K3", "", ""), ("K4", "", ""),
    ]  # fmt: skip
    assert held_rows(RIDING)[2].check == "K2, which rides in it, is held"


def test_more_than_a_line_holds_are_counted() -> None:
    many = tuple(replace(CLOSED[0], crate=f"K{n}", pieces=(f"A-{n}",)) for n in range(1, 7))
    assert without(many) == "without K1, K2, K3, K4 and 2 more, held"
    assert without(many[:4]) == "without K1, K2, K3, K4, held"
    assert "K4 (A-4)" in held_line(many)
    assert "K5" not in held_line(many)
    assert "; and 2 more." in held_line(many)
    assert held_for(many) == TOLD


def test_an_accepted_crate_says_what_it_fails_and_why_it_is_built() -> None:
    why = HeldFor("back, bending", "1920 psi", "815 psi", "")
    crate = replace(small_build().crates[0], standing="accepted", held_for=(why, why), accepted="agreed", code="c0de")
    line = "K1 fails and is built all the same (back, bending 1920 psi of 815 psi; back, bending 1920 psi of 815 psi)"
    assert accepted_line(crate) == f"{line}. Accepted: agreed"
    assert [row.how for row in held_rows([crate])] == ["accepted: agreed"] * 2
    assert accepted_line(replace(crate, standing="held")) == "", "one that is held for another's sake is not built"


def test_what_would_pass_is_said_once_for_all_that_it_would_let_pass() -> None:
    one, two = HeldFor("back, bending", "9 lbf", "4 lbf", "a lid"), HeldFor("joint, glue", "9 psi", "8 psi", "a lid")
    other, case = HeldFor("lid, bending", "5 lb", "4 lb", "thicker"), HeldFor("K1 rides in it, held", "", "", "")
    assert each_reason((one, two, other, case)) == (
        "back, bending 9 lbf of 4 lbf",
        "joint, glue 9 psi of 8 psi; would pass: a lid",
        "lid, bending 5 lb of 4 lb; would pass: thicker",
        "K1 rides in it, held",
    )
