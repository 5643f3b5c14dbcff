"""What each page of the desk is for: a few words on the page itself, and all of them together under /help."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final


@dataclass(frozen=True, slots=True)
class Told:
    """Help on one page.

    Attributes
    ----------
    title : str
        What the page is called.
    short : str
        What it is for, in a sentence or two; it stands on the page.
    more : tuple of str
        What people ask, one paragraph each; it stands under /help.
    """

    title: str
    short: str
    more: tuple[str, ...] = ()


def _texts() -> Mapping[str, Any]:
    return tomllib.loads((files("pricing.desk") / "help.toml").read_text(encoding="utf-8"))


HELP: Final[Mapping[str, Told]] = {
    key: Told(each["title"], each["short"], tuple(each.get("more", ()))) for key, each in _texts()["page"].items()
}
"""By the page's key, in the order of the help page."""

STEPS: Final = tuple((each["title"], each["text"]) for each in _texts()["step"])
"""From an empty desk to an offer: what each step is called, and what it says."""
