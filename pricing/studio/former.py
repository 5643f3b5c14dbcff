"""Former rates: what a rates file of before forms keeps, and how to tell of it."""

from typing import Final

from pricing.studio.rates import FORM, Rates

BUILT_IN_THEN: Final = "these are the rates that the studio was begun with"
"""Source of the former built-in rates where no file stands on them."""


def remarks(rates: Rates) -> tuple[str, ...]:
    """Return what to know of rates of a former form: at most one remark."""
    if rates.form >= FORM:
        return ()
    begun = rates.source == BUILT_IN_THEN
    what = BUILT_IN_THEN if begun else f"{rates.source or 'rates.toml'} has no line form = {FORM}"
    stays = "all" if begun else "all that it leaves out"
    said = (
        f"{what}: so {stays} stays as it was built in before there were forms, and materials are charged "
        f"{'as bought' if rates.price.charge == 'bought' else 'without waste'} unless it says otherwise; a rates.toml "
        f"with form = {FORM} (casewright start writes one) takes today's rules"
    )
    return (said,)
