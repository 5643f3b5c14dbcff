"""The text of an e-mail that an offer goes out with."""

from pricing.money import show
from pricing.output.offer.content import READY, Offer


def letter(offer: Offer) -> str:
    """Return to whom it goes, a subject, a blank line and the text: what is offered at what price, how it is accepted.

    One that must not go out as it is says so in its subject.
    """
    name = f" {offer.number}" if offer.number else ""
    deposit = next((f"{label}: {text}" for label, text in offer.payment if label.startswith("Deposit")), "")
    ready = next((text for label, text in offer.facts if label == READY), "")
    draft = "Draft: " if offer.warning else ""
    lines = [
        *([f"To: {offer.email}"] if offer.email else []),
        f"Subject: {draft}{offer.title}{f', {offer.number}' if offer.number else ''}",
        "",
        f"Dear {offer.dear}," if offer.dear else "Good day,",
        "",
        f"with this comes our offer{name} of {offer.day} for {_works(offer)}.",
        f"It comes to {show(offer.total, offer.currency)} and holds until {offer.until}.",
        *([f"That is {offer.other}."] if offer.other else []),
        *([f"{deposit}."] if deposit else []),
        *([f"{READY}: {ready}."] if ready else []),
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
