"""The text of an e-mail that an offer goes out with."""

from pricing.money import show
from pricing.output.offer.content import Offer


def letter(offer: Offer) -> str:
    """Return a subject, a blank line and the text: what is offered at what price, until when, how it is accepted."""
    name = f" {offer.number}" if offer.number else ""
    deposit = next((f"{label}: {text}" for label, text in offer.payment if label.startswith("Deposit")), "")
    ready = next((text for label, text in offer.facts if label == "Ready to leave"), "")
    lines = [
        f"Subject: {offer.title}{name}",
        "",
        f"Dear {offer.dear}," if offer.dear else "Good day,",
        "",
        f"with this comes our offer{name} of {offer.day} for {_works(offer)}.",
        f"It comes to {show(offer.total, offer.currency)} and holds until {offer.until}.",
        *([f"{deposit}."] if deposit else []),
        *([f"Ready to leave: {ready}."] if ready else []),
        "",
        "To accept, sign the line at its end and send it back, or answer this message.",
        "",
        "With kind regards",
        *offer.studio,
    ]
    return "\n".join(lines) + "\n"


def _works(offer: Offer) -> str:
    count = sum(item.count for item in offer.items)
    what = "1 work" if count == 1 else f"{count} works"
    return what if offer.kind == "sale" else f"packing and shipping of {what}"
