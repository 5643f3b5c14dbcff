"""Certificates for a cluster's wire: three files in a folder, by fixed names."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final, Self

from nesting.base.faults import Fault, FaultsFound

NAMES: Final = ("ca.pem", "cert.pem", "key.pem")
"""Who signed the others', this machine's certificate, and its private key."""


@dataclass(frozen=True, slots=True)
class Certificates:
    """Where the three files are."""

    authority: Path
    certificate: Path
    key: Path

    @classmethod
    def of(cls, folder: Path) -> Self:
        """Return those of a folder; :class:`FaultsFound` where one is missing."""
        paths = [folder / name for name in NAMES]
        faults = [
            Fault(str(path), None, None, "", "a certificate in PEM; DEVELOPERS.md says how they are made")
            for path in paths
            if not path.is_file()
        ]
        if faults:
            raise FaultsFound(faults)
        return cls(*(path.resolve() for path in paths))
