"""Held crates on the desk: which they are, why and what would pass; and what accepts one of them in the order.

Pieces that nothing packs are told with them, at their rows of the table too: they are in no total either.

An acceptance is a cell of the order, the crate's code and the reason: ``3f9a2c10: the owner knows``. Whatever changes
the code makes it lapse. The cell keeps its words then, so that a person can accept anew with the same reason.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from nesting.build import Build
from nesting.crates.held import COLUMN, each_reason
from nesting.crates.model import Crate
from nesting.crates.unpacked import UNPACKED, unpacked_rows
from nesting.order import Artwork
from pricing.desk.content import Content
from pricing.desk.table import HEADING_ROWS, CellFault, columns, here, with_cell
from pricing.store import StoreError

MOST_REASON: Final = 300
"""Characters of a reason: with its code it fits into the cell."""
MOST_WORD: Final = 200
"""Characters of the word with which a job is pinned without what is held."""


class OtherCrateError(Exception):
    """A crate is not as the page showed it, so that nothing about it was accepted."""


class WordWantedError(StoreError):
    """A job would be pinned without crates that are held, and nobody said why."""


@dataclass(frozen=True, slots=True)
class HeldLine:
    """What is held for one reason.

    Attributes
    ----------
    crates : tuple of str
        Those that fail; several where copies are alike.
    company : tuple of str
        What is held with them: the case that they ride in, and the other frames in it.
    reasons : tuple of str
        Failing checks, each with what would pass.
    lapsed : bool
        Whether an acceptance of it has lapsed.
    """

    crates: tuple[str, ...]
    company: tuple[str, ...]
    reasons: tuple[str, ...]
    lapsed: bool

    @property
    def text(self) -> str:
        """All of it in a line."""
        are = "is" if len(self.crates) == 1 else "are"
        parts = [f"{listed(self.crates)} {are} held: {'; '.join(self.reasons)}."]
        if self.company:
            parts.append(f"{listed(self.company)} {'is' if len(self.company) == 1 else 'are'} held with it.")
        if self.lapsed:
            parts.append("What accepted it has lapsed.")
        return " ".join(parts)


@dataclass(frozen=True, slots=True)
class Old:
    """An acceptance that fits no crate of its piece, or none any more."""

    piece: str
    reason: str


def listed(names: Sequence[str]) -> str:
    """Write names as people do: K1, K2 and K3."""
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def held_lines(build: Build) -> tuple[HeldLine, ...]:
    """Return what is held, a line for each reason; crates that are held for another's sake stand in its line."""
    found: dict[str, list[Crate]] = {}
    for crate in build.held:
        if _own(crate):
            found.setdefault(crate.code, []).append(crate)
    lines = []
    for alike in found.values():
        packages = {_package(crate) for crate in alike}
        company = tuple(c.crate for c in build.held if not _own(c) and _package(c) in packages)
        reasons = each_reason(each for each in alike[0].held_for if each.found)
        lapsed = any(old for crate in alike for old in lapses(build, crate))
        lines.append(HeldLine(tuple(c.crate for c in alike), company, reasons, lapsed))
    return tuple(lines)


def _package(crate: Crate) -> str:
    return crate.inside_of or crate.crate


def _own(crate: Crate) -> bool:
    """Whether a held crate fails something itself that nobody accepted."""
    return bool(crate.code) and not crate.accepted


def facts(build: Build, job: int, ask: str = "") -> dict[str, Any]:
    """Return what stands with a total: each line of what is not in it, where it is shown, and what it is without."""
    path = f"/jobs/{job}/crates" + (f"?{ask}" if ask else "")
    lines = [{"text": each.text, "address": f"{path}#{each.crates[0]}"} for each in held_lines(build)]
    lines += [{"text": text, "address": f"/jobs/{job}/artworks"} for text in unpacked_lines(build)]
    return {"held": lines, "without": build.without}


def unpacked_lines(build: Build) -> tuple[str, ...]:
    """Return a line for each reason for which nothing packs a piece, with what would mend it."""
    return tuple(
        f"{each.pieces}: {UNPACKED}; {each.why}. To pack it: {here(each.accepted)}."
        for each in unpacked_rows(build.unpacked)
    )


def unpacked_faults(content: Content, build: Build) -> tuple[CellFault, ...]:
    """Return the same at the cells of the table where it is mended, once for each line of the order."""
    places, found = columns(content.headings), list[CellFault]()
    for each in build.unpacked:
        column = next((places[r.column] for r in each.reasons if r.column and r.column in places), places.get("method"))
        row = None if each.row is None else each.row - HEADING_ROWS
        text = f"{UNPACKED}, and in no total: {'; '.join(each.why)}. To pack it: {here(each.accepted)}."
        found.append(CellFault(row, None if row is None else column, text[0].upper() + text[1:]))
    return tuple(dict.fromkeys(found))


def held_pieces(build: Build) -> tuple[str, ...]:
    """Return the pieces whose crate is held; totals compare only where these are the same."""
    return tuple(sorted(build.held_pieces))


def noted(build: Build) -> str:
    """Return what the list of jobs says of what is held."""
    return " ".join((*(each.text for each in held_lines(build)), *unpacked_lines(build)))


def _lines_of(crate: Crate) -> tuple[str, ...]:
    """Return the lines of the order that a crate carries."""
    return tuple(dict.fromkeys(piece.partition("#")[0] for piece in crate.pieces))


def _given(artwork: Artwork) -> tuple[str, str]:
    """Return code and reason that an order states for a piece."""
    code, _, words = artwork.accept_held.partition(":")
    return code.strip().lower(), " ".join(words.split())


def lapses(build: Build, crate: Crate) -> tuple[Old, ...]:
    """Return what a crate's pieces state that fits neither it nor another crate that carries them."""
    codes = {
        (line, each.code) for each in build.every if each.code for line in _lines_of(each)
    }  # fmt: skip
    mine = set(_lines_of(crate))
    found = []
    for artwork in build.order.artworks:
        code, words = _given(artwork)
        if artwork.piece in mine and code and (artwork.piece, code) not in codes:
            found.append(Old(artwork.piece, words))
    return tuple(found)


def instead(build: Build, crate: Crate) -> tuple[str, ...]:
    """Return the crates for whose sake a crate is held that fails nothing itself; none where it does."""
    if crate.standing != "held" or _own(crate):
        return ()
    return tuple(each.crate for each in build.held if _own(each) and _package(each) == _package(crate))


# -- accepting ---------------------------------------------------------------------------------------------------------


def accepted(content: Content, build: Build, name: str, code: str, why: str) -> Content:
    """Return a job in which a held crate is accepted with a reason, in the cells of its pieces.

    A cell that another crate's acceptance rests on, as a frame's in a case, is left alone.

    Raises
    ------
    OtherCrateError
        When the crate is not held under that code.
    StoreError
        When every cell is taken by another acceptance.
    """
    crate = _found(build, name, code, "held")
    cells = list(_free(build, crate))
    if not cells:
        raise StoreError(
            f"{name} was not accepted: the only cell of {listed(_lines_of(crate))} accepts another crate that it rides "
            "in or with; pack it another way"
        )
    for piece in cells:
        content = with_cell(content, piece, COLUMN, f"{code}: {why}")
    return content


def held_again(content: Content, build: Build, name: str, code: str) -> Content:
    """Return a job in which an accepted crate is held again: the cells that bear its code are blank.

    Raises
    ------
    OtherCrateError
        When the crate is not accepted under that code.
    """
    _found(build, name, code, "accepted")
    for artwork in build.order.artworks:
        if _given(artwork)[0] == code:
            content = with_cell(content, artwork.piece, COLUMN, "")
    return content


def without_old(content: Content, build: Build, name: str) -> Content:
    """Return a job without the lapsed acceptances of a crate's pieces."""
    crate = next((each for each in build.every if each.crate == name), None)
    for old in lapses(build, crate) if crate else ():
        content = with_cell(content, old.piece, COLUMN, "")
    return content


def _found(build: Build, name: str, code: str, standing: str) -> Crate:
    """Return a crate as a page showed it."""
    for crate in build.every:
        if crate.crate == name and crate.code == code and crate.standing == standing and code:
            return crate
    raise OtherCrateError(
        f"{name} is not as the page showed it: its pieces, its failing checks or its design changed meanwhile. Nothing "
        "was changed; look at it again."
    )


def _free(build: Build, crate: Crate) -> Iterator[str]:
    """Yield the pieces of a crate whose cell no other acceptance rests on alone."""
    others = {each.code for each in build.every if each.code} - {crate.code}
    mine = _lines_of(crate)
    stated = {artwork.piece: _given(artwork)[0] for artwork in build.order.artworks}
    for piece in mine:
        code = stated[piece]
        if code not in others or any(each == code and other not in mine for other, each in stated.items()):
            yield piece


# -- pinning without it ------------------------------------------------------------------------------------------------


def worded(why: str, build: Build, word: str) -> str:
    """Return why a job is pinned, with what it is pinned without and the word on that.

    Raises
    ------
    WordWantedError
        When something is held, or packed by nothing, and there is no word, or a word that is too long.
    """
    if not build.is_lacking:
        return why
    word = " ".join(word.split())
    if not word:
        raise WordWantedError("Nothing was pinned yet: write why it goes on without what is held.")
    if len(word) > MOST_WORD:
        raise WordWantedError(f"Nothing was pinned yet: {len(word)} characters found, at most {MOST_WORD} accepted.")
    return f"{why}, {build.without} ({word})"
