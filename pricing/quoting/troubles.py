"""Troubles: what speaks against a quote whatever it costs."""

from nesting.crates.held import reasons, roots
from pricing.quoting.quote import Quote


def troubles(priced: Quote) -> tuple[str, ...]:
    """Return what speaks against a quote whatever it costs; a refused carrier's price of nothing is no bargain."""
    failed = [
        f"{crate.crate}: {check.sentence()}"
        for crate in priced.build.crates
        for check in crate.checks
        if check.verdict == "fails"
    ]
    held = [f"{crate.crate}: held, {reasons(crate)}" for crate in roots(priced.build.held)]
    unpacked = [f"{each.piece}: {'; '.join(each.why)}" for each in priced.build.unpacked]
    misfits = [f"{each.crate}: {each.text}" for each in priced.unsuited]
    refused = [f"{each.destination}: {reason}" for each in priced.shipments for reason in each.chosen.refused]
    return (*held, *unpacked, *failed, *misfits, *refused)


def plain(trouble: str) -> str:
    """Return a trouble without the name of its crate, which may change with the way that pieces are packed."""
    return trouble.partition(": ")[2]
