"""Under which licences the program and all that it stands on may be used, as each says of itself."""

import re
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from typing import Final

_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
NOT_STATED: Final = "not stated"


def licence_lines(of: str = "casewright") -> list[str]:
    """Return a line for each package that is needed at run time and is here: name, version, licence."""
    found = sorted(needed(of), key=lambda each: each.metadata["Name"].casefold())
    rows = [(each.metadata["Name"], each.version, licence(each)) for each in found]
    wide = [max((len(row[place]) for row in rows), default=0) for place in (0, 1)]
    return [f"{name:<{wide[0]}}  {version:<{wide[1]}}  {stated}" for name, version, stated in rows]


def needed(of: str) -> Iterator[Distribution]:
    """Yield what a package needs, and what that needs in turn, each once; what is not installed is not needed here."""
    seen = {_plain(of)}
    waiting = [of]
    while waiting:
        for wanted in distribution(waiting.pop()).requires or ():
            head, _, marker = wanted.partition(";")
            name = _NAME.match(head.strip())
            if name is None or "extra ==" in marker or _plain(name[0]) in seen:
                continue
            seen.add(_plain(name[0]))
            try:
                found = distribution(name[0])
            except PackageNotFoundError:  # of another system, or of another Python
                continue
            yield found
            waiting.append(name[0])


def licence(of: Distribution) -> str:
    """Return what a package says of its licence.

    The expression of PEP 639 where there is one, else its classifiers, else the first line of the old field.
    """
    facts = of.metadata
    if stated := facts.get_all("License-Expression", []):
        return str(stated[0])
    named = [each.rpartition(" :: ")[2] for each in facts.get_all("Classifier", []) if each.startswith("License ::")]
    if named := [each for each in named if each != "OSI Approved"]:
        return ", ".join(named)
    return next(
        (line.strip() for line in "\n".join(facts.get_all("License", [])).splitlines() if line.strip()), NOT_STATED
    )


def _plain(name: str) -> str:
    """Return a package's name as names are compared (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()
