"""Troubles: what speaks against a quote whatever it costs."""

from pricing.quoting.quote import Quote


def troubles(priced: Quote) -> tuple[str, ...]:
    """Return what speaks against a quote whatever it costs; a refused carrier's price of nothing is no bargain."""
    failed = [
        f"{crate.crate}: {check.sentence()}"
        for crate in priced.build.crates
        for check in crate.checks
        if check.verdict == "fails"
    ]
    misfits = [f"{each.crate}: {each.text}" for each in priced.unsuited]
    refused = [f"{each.destination}: {reason}" for each in priced.shipments for reason in each.chosen.refused]
    return (*failed, *misfits, *refused)
