from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.crates.model import Box, Crate, Size
from pricing.quoting.shares import Short, apportion, piece_weights, to_pieces
from tests.pricing.builds import PIECES, crates_of

amounts = st.integers(-5_000_000, 5_000_000).map(lambda c: Decimal(c).scaleb(-2))
weights = st.dictionaries(st.text(min_size=1, max_size=4), st.fractions(0, 1000), min_size=1, max_size=8)


@given(amounts, weights)
def test_parts_sum_to_the_amount_and_stay_within_a_cent_of_their_quota(
    amount: Decimal, weights: dict[str, Fraction]
) -> None:
    parts = apportion(amount, weights)
    assert sum(parts.values()) == amount
    assert list(parts) == list(weights)
    whole = sum(weights.values())
    for key, part in parts.items():
        quota = Fraction(amount) * (weights[key] / whole if whole else Fraction(1, len(weights)))
        assert abs(Fraction(part) - quota) < Fraction(1, 100)


def test_largest_remainders_get_the_cents_left_over() -> None:
    """Worked by hand: 1.00 by 1:1:1 is 33, 33, 33 and one cent; 0.10 by 5:3:1 has quotas 5.56, 3.33, 1.11 cents."""
    third = {"a": Fraction(1), "b": Fraction(1), "c": Fraction(1)}
    assert [str(part) for part in apportion(Decimal("1.00"), third).values()] == ["0.34", "0.33", "0.33"]
    uneven = {"a": Fraction(5), "b": Fraction(3), "c": Fraction(1)}
    assert [str(part) for part in apportion(Decimal("0.10"), uneven).values()] == ["0.06", "0.03", "0.01"]
    assert [str(part) for part in apportion(Decimal("-1.00"), third).values()] == ["-0.34", "-0.33", "-0.33"]


@given(st.lists(amounts, max_size=30), st.integers(2, 6))
def test_equal_pieces_stay_within_a_cent_over_many_amounts(many: list[Decimal], count: int) -> None:
    pieces = {f"p{n}": Fraction(1) for n in range(count)}
    short = Short()
    sums = dict.fromkeys(pieces, Decimal(0))
    for amount in many:
        for piece, part in apportion(amount, pieces, short).items():
            sums[piece] += part
    assert max(sums.values()) - min(sums.values()) <= Decimal("0.01")


def test_what_cannot_be_divided() -> None:
    with pytest.raises(ValueError, match="nobody"):
        apportion(Decimal(1), {})
    with pytest.raises(ValueError, match="negative"):
        apportion(Decimal(1), {"a": Fraction(-1)})


def test_a_case_is_borne_by_its_frames_volumes() -> None:
    crates = crates_of((("A", 10, 10), ("B", 30, 20), ("C", 20, 20)), 2)
    own = piece_weights(crates)
    assert own["K1"] == {"A": 1}
    assert own["K2"] == {"B": 1}
    first, second = (36 * 26 * 5, 26 * 26 * 5)
    assert own["K4"] == {"B": Fraction(first, first + second), "C": Fraction(second, first + second)}


def set_crate(*placed: tuple[str, Box]) -> Crate:
    """Make a crate for a set of two."""
    size = Size(40 * INCH, 40 * INCH, 8 * INCH)
    return Crate("K1", "closed", "a set", ("A", "B"), size, size, 5.0, 9.0, pieces_placed=placed)


def test_a_set_is_borne_by_the_volumes_of_its_pieces() -> None:
    large, small = Box(0, 0, 0, 3, 3, 1), Box(3, 0, 0, 1, 3, 1)
    assert piece_weights([set_crate(("A", large), ("B", small))])["K1"] == {"A": Fraction(3, 4), "B": Fraction(1, 4)}
    assert piece_weights([set_crate()])["K1"] == {"A": Fraction(1, 2), "B": Fraction(1, 2)}


def test_crates_parts_become_pieces_parts() -> None:
    crates = crates_of(PIECES, 2)
    everyone = [piece for piece, *_ in PIECES]
    parts = to_pieces({"K1": Fraction(1, 4), "K4": Fraction(3, 4)}, piece_weights(crates), everyone)
    assert parts == {"A-01": Fraction(1, 4), "A-02#1": Fraction(3, 8), "A-02#2": Fraction(3, 8)}


def _by_fractions(
    amount: Decimal, weights: dict[str, Fraction], short: dict[str, Fraction]
) -> dict[str, Decimal]:  # the definition, in fractions throughout
    whole = sum(weights.values())
    if not whole:
        weights, whole = dict.fromkeys(weights, Fraction(1)), Fraction(len(weights))
    count, sign = abs(int(amount * 100)), (-1 if amount < 0 else 1)
    quotas = {key: count * weight / whole for key, weight in weights.items()}
    parts = {key: quota.numerator // quota.denominator for key, quota in quotas.items()}
    order = sorted(weights, key=lambda key: (parts[key] - quotas[key], -sign * short.get(key, Fraction(0))))
    for key in order[: count - sum(parts.values())]:
        parts[key] += 1
    for key, quota in quotas.items():
        short[key] = short.get(key, Fraction(0)) + sign * (quota - parts[key])
    return {key: Decimal(sign * part).scaleb(-2) for key, part in parts.items()}


@given(
    st.lists(
        st.tuples(
            amounts,
            st.lists(st.sampled_from([Fraction(n, d) for n in range(4) for d in (1, 2, 3, 7)]), min_size=4, max_size=4),
        ),
        max_size=12,
    )
)
def test_parts_in_whole_numbers_are_those_in_fractions_however_many_were_rounded_before(
    many: list[tuple[Decimal, list[Fraction]]],
) -> None:
    short, slow = Short(), dict[str, Fraction]()
    for amount, weights in many:
        borne = dict(zip("abcd", weights, strict=True))
        assert apportion(amount, borne, short) == _by_fractions(amount, borne, slow)
        assert {key: short.of(key) for key in "abcd"} == slow
