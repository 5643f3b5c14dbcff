"""Former rates: what a rates file of before forms keeps, and how to tell of it."""

from pricing.studio.rates import FORM, Rates


def remarks(rates: Rates) -> tuple[str, ...]:
    """Return what to know of rates of a former form: at most one remark."""
    if rates.form >= FORM:
        return ()
    file = rates.source or "rates.toml"
    said = (
        f"{file} has no line form = {FORM}: so all that it leaves out stays as it was built in before there were "
        f"forms, and materials are charged as bought where it does not say charge; a rates.toml with form = {FORM} "
        "(casewright start writes one) takes today's rules"
    )
    return (said,)
