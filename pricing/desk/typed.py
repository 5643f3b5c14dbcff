"""What people type into a field, read as they mean it: amounts with the sign of their currency, parts as per cent."""

from decimal import Decimal

from nesting.base.ratio import parse_ratio
from pricing.money import CENT, DEAREST, half_up, parse_amount, typed_amount


def in_cents(text: str, currency: str) -> Decimal:
    """Read an amount of whole hundredths; ValueError where it is none."""
    amount = typed_amount(text, currency)
    if amount > DEAREST:
        raise ValueError(f"write {DEAREST:,} {currency} at the most")
    if amount % CENT:
        raise ValueError(f"write two decimals at the most, such as {half_up(amount)}")
    return amount.quantize(CENT)


def typed_part(text: str) -> Decimal:
    """Read a part that is shown as per cent: ``12 %``, ``12`` or ``0.12``.

    Raises
    ------
    ValueError
        For anything else, and for ``1``, which may be meant either way.
    """
    plain = text.strip()
    sign = plain.endswith("%")
    figure = plain.rstrip("% ").replace(",", ".")
    try:
        if sign:
            return Decimal(parse_amount(figure)) / 100
        number = parse_amount(figure)
    except ValueError:
        raise ValueError("write per cent, such as 12 %") from None
    if number == 1 and not sign:
        raise ValueError("1 may be 1 % or 100 %: write it with its sign")
    return parse_ratio(figure) if number < 1 else number / 100
