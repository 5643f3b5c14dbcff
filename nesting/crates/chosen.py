"""What was chosen for a crate by looking at its whole order: values that a search hands to whoever makes the crate.

Each value's default is what the shop's rules give by themselves, so a crate of which nothing was chosen is made as
ever. They hold sizes, places and words only: no money, and nothing of how they were found.
"""

from dataclasses import dataclass
from typing import Final, Literal


@dataclass(frozen=True, slots=True, order=True)
class CaseDesign:
    """How one outer case is made; the order of its frames is that of its load.

    Attributes
    ----------
    foam : (int, int, int)
        Thickness of the foam at the two ends, at base and top, at back and front; 0: as thick as the rules ask.
    clear : int
        Room behind the foam at either end and at base and top, at the least; its pads are shimmed by as much, and in
        any case by what the lumber along the edges needs beyond the foam.
    turned : tuple of bool
        Which frames stand on their side; empty: as the rules of attitude say.
    opens : {"", "end", "front"}
        Which face opens; empty: as the shop's rule says.
    post : str
        Good of the lumber along the edges; empty: that of the shop's rule.
    on_edge : bool
        Whether the lumber stands on edge against front and back: it reaches in further there and less at the sides.
    patterns : tuple of (str, int)
        Which of the patterns of a seamed face is taken, by face, where it is not the first.
    seams : tuple of (str, str, int)
        Faces divided in two although a sheet takes them whole: which, whether the seam runs along ``"x"`` or ``"y"`` in
        the plane of the face, and where across from its left or lower edge. What the panel beside the seam is cut from
        then takes other parts too.
    """

    foam: tuple[int, int, int] = (0, 0, 0)
    clear: int = 0
    turned: tuple[bool, ...] = ()
    opens: Literal["", "end", "front"] = ""
    post: str = ""
    on_edge: bool = False
    patterns: tuple[tuple[str, int], ...] = ()
    seams: tuple[tuple[str, Literal["x", "y"], int], ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class CartonDesign:
    """How one carton is filled.

    Attributes
    ----------
    foam : str
        Good of the cushion; empty: plank round a parcel of boards, as the rules ask, and nothing else here counts.
    thickness : int
        Of the cushion on all six sides; sheets are stacked to it.
    good : str
        The carton; empty: the one with the least room that takes the contents.
    beside : int
        How many pieces lie side by side in each layer.
    turned : bool
        Whether pieces lie with their long sides in a row, not their short ones.
    trays : bool
        Whether each piece lies in a tray of its own, air before its face.
    backs : bool
        Whether two layers lie back to back, no board between.
    """

    foam: str = ""
    thickness: int = 0
    good: str = ""
    beside: int = 1
    turned: bool = False
    trays: bool = False
    backs: bool = False

    def __post_init__(self) -> None:
        if self.foam and (self.thickness <= 0 or self.beside < 1 or (self.trays and self.backs)):
            raise ValueError(f"a filled carton has foam, a piece in each layer, and trays or backs together: {self}")


@dataclass(frozen=True, slots=True, order=True)
class ShellDesign:
    """How a closed or battened crate is made.

    Attributes
    ----------
    patterns : tuple of (str, int)
        Which of the patterns of a seamed face is taken, by face (``"back"``, ``"lid"``), where it is not the first.
    design : str
        Key of the design of its short list that it is built to, as :attr:`nesting.crates.model.Designed.key` has it;
        empty: the one that the judge puts first.
    larger_by : int
        How much longer and wider its frame is than its pieces, where that is less than the shop's rule, so that its
        faces come out of fewer sheets; 0: as the rule says.
    """

    patterns: tuple[tuple[str, int], ...] = ()
    design: str = ""
    larger_by: int = 0


CASE_AS_RULED: Final = CaseDesign()
CARTON_AS_RULED: Final = CartonDesign()
SHELL_AS_RULED: Final = ShellDesign()
"""What the shop's rules give by themselves."""
