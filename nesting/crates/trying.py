"""Trying: pieces whose packing is left to the shop, by every method that may take them, before they are given up.

First those that the shop's rules go on to (``otherwise``); a crate that fails its checks is held where no later one of
them is better. Where the pieces themselves let none of them be made, what a method takes beyond the shop's rule of
choice (``spare``).
"""

from dataclasses import dataclass, field, replace

from nesting.advice.shock import weak
from nesting.crates.choose import Choice, Way, ways
from nesting.crates.model import Crate
from nesting.crates.traits import Packing, Reason, Refused, RulesClash
from nesting.crates.unpacked import Unpacked, why_not
from nesting.shop.needs import UnfitMaterialError
from nesting.shop.shop import MissingGoodError


class NothingPacks(Exception):  # noqa: N818 - reads as what it says, like Refused
    """No method packs some pieces; holds each with what speaks against every method."""

    def __init__(self, *unpacked: Unpacked) -> None:
        self.unpacked = unpacked
        super().__init__("; ".join(f"{each.piece}: {'; '.join(each.why)}" for each in unpacked))


def by_any_method(packing: Packing, choice: Choice, *, cased: bool = True) -> Crate:
    """Make a crate by the first method that serves.

    Parameters
    ----------
    packing : Packing
        What is asked; its reason is written anew.
    choice : Choice
        What the shop chose, and why.
    cased : bool
        Whether a case can be had for what rides in one.

    Raises
    ------
    NothingPacks
        Where none does.
    MissingGoodError, UnfitMaterialError
        What the shop's own files lack is told, and hidden by no other method.
    """
    trial = _Trial(packing, choice)
    for way in ways(choice.method):
        if (way.method.rides and not cased) or (way.spared and trial.rules_decide):
            continue
        crate = trial.made(way)
        if crate is not None:
            return crate
    if trial.failing is not None:
        return trial.failing
    why = why_not(trial.tried)
    raise NothingPacks(*(Unpacked(piece.piece, piece.row, why, trial.told) for piece in packing.pieces))


@dataclass(slots=True)
class _Trial:
    """What was tried so far, and what came of it."""

    packing: Packing
    choice: Choice
    why: str = ""
    tried: list[tuple[str, str]] = field(default_factory=list)
    told: tuple[Reason, ...] = ()
    failing: Crate | None = None
    clashing: bool = False

    @property
    def rules_decide(self) -> bool:
        """Whether no spare method is tried: a crate can be made that fails, or rules clash that others would hide."""
        return self.failing is not None or self.clashing

    def made(self, way: Way) -> Crate | None:
        """Return a crate that serves, or note why there is none."""
        asked = replace(self.packing, reason=self.why or self.choice.reason)
        try:
            if way.spared:
                spare = way.takes(asked)
                if not spare:
                    return None
                asked = replace(asked, reason=f"{asked.reason}; {spare}")
            crate = way.make(asked)
        except Refused as refused:
            self._refused(way, refused)
        except (MissingGoodError, UnfitMaterialError):
            if not way.spared:
                raise
        except RulesClash as clash:
            self.clashing = True
            self.told = self.told or (Reason("", None, None, clash.found, clash.accepted),)
            self._note(way, clash.found)
        else:
            # No other crate that is screwed shut mends a shock: then it is held as it stands.
            failed = ", ".join(check.name for check in crate.checks if weak(check))
            if not failed:
                return crate
            self.failing = crate
            self.why = f"{self.choice.reason}; {way.method.name} fails {failed}"
        return None

    def _refused(self, way: Way, refused: Refused) -> None:
        """Note a refusal; what the order says of a piece's back stands against all that is screwed to it."""
        if not (way.spared or any(reason.column == "back" for reason in self.told)):
            self.told = refused.reasons
        self._note(way, refused.reasons[0].found)

    def _note(self, way: Way, found: str) -> None:
        self.tried.append((way.method.one, found))
        self.why = f"{self.choice.reason}; no {way.method.name}: {found}"
