"""Goods: what a shop stocks, with real sizes and weights.

The built-in goods are ``nesting/shop/goods.toml``; a shop file may replace or add to them. Prices are not known here.
What a good is made of is a name here; its properties stand in :mod:`nesting.shop.materials`.
"""

from dataclasses import dataclass
from typing import Final, Literal, get_args

from nesting.base.measure import INCH, MM, UnitSystem
from nesting.shop.materials import Material
from nesting.shop.materials_built_in import built_in

Form = Literal["sheet", "stick", "roll", "each"]
UseUnit = Literal["each", "g", "mm"]

THINNEST_SCREW: Final = 0.060
THICKEST_SCREW: Final = 0.372
"""Shanks of wood screws no. 0 to no. 24, in inches: 0.060 in and 0.013 in more for each number."""


@dataclass(frozen=True, slots=True)
class StockSize:
    """One size in which a good is bought.

    Attributes
    ----------
    stock : str
        Name used in price book, layouts and lists, such as ``"ply-23/32 4x8"``.
    length, width : int
        Exact grid. A stick has no width (0); a thing bought each has neither.
    holds : int
        How many use units one bought unit holds: 1 for sheets and sticks, 100 for a box of 100 screws.
    """

    stock: str
    length: int = 0
    width: int = 0
    holds: int = 1


@dataclass(frozen=True, slots=True)
class Good:
    """A material as bought, in one thickness or section.

    Attributes
    ----------
    good : str
        Short name, such as ``"ply-23/32"``.
    title : str
        For people, such as ``"Plywood 23/32 in (sold as 3/4)"``.
    form : {"sheet", "stick", "roll", "each"}
        How it is bought and cut.
    material : str
        Name of a material, built in or of the shop file.
    sizes : tuple of StockSize
        What can be bought.
    thickness : int
        Measured thickness (sheets, rolls) or the thinner side of a stick's section; 0 where it has none.
    least, greatest : int
        Thickness that the standard allows at the least and at the most; 0 means as measured.
    breadth : int
        The wider side of a stick's section; a screw's length; 0 elsewhere.
    density : float
        kg/m3 of sheets, sticks and rolls; 0 where the material's counts.
    each_g : float
        Weight of one use unit, in grams, for things counted.
    diameter_in : float
        Shank diameter of a screw, in inches.
    use_unit : {"each", "g", "mm"}
        What use is counted in.
    grain : bool
        Whether the good has a grain direction along its length.
    raw_wood : bool
        Whether ISPM 15 counts it as raw wood.
    inside : tuple of int
        Inside length, width, depth of a carton; the least of one that telescopes.
    opens_to : tuple of int
        The greatest inside length, width, depth of a carton that telescopes; empty elsewhere.
    deck : tuple of int
        Length, width and height over the ground of what crates are strapped to, such as a pallet; empty elsewhere.
    rated_lb : float
        Load that its maker allows, of a handle, a strap or a pallet; 0 where nobody states one.
    weight_spread : float
        Relative uncertainty of the weight.
    under : int
        By how much the sides of a sheet may fall short of its size, where what is made of it is kept within every one.
    """

    good: str
    title: str
    form: Form
    material: str
    sizes: tuple[StockSize, ...]
    thickness: int = 0
    least: int = 0
    greatest: int = 0
    breadth: int = 0
    density: float = 0.0
    each_g: float = 0.0
    diameter_in: float = 0.0
    use_unit: UseUnit = "each"
    grain: bool = False
    raw_wood: bool = False
    inside: tuple[int, ...] = ()
    rated_lb: float = 0.0
    weight_spread: float = 0.2
    deck: tuple[int, ...] = ()
    under: int = 0
    opens_to: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        self._check_kinds()
        if not self.good or not self.sizes:
            raise ValueError(f"good {self.good!r}: needs a name and at least one stock size")
        if self.form in ("sheet", "stick") and (self.thickness <= 0 or any(s.length <= 0 for s in self.sizes)):
            raise ValueError(f"good {self.good}: a {self.form} needs a thickness and stock lengths")
        self._check_sheets()
        self._check_inside()
        if self.form == "stick" and self.breadth <= 0:
            raise ValueError(f"good {self.good}: a stick needs the breadth of its section")
        if self.form == "roll" and any(min(s.length, s.width) <= 0 for s in self.sizes):
            raise ValueError(f"good {self.good}: a roll needs stock lengths and widths")
        if self.under and (
            self.form != "sheet" or not 0 < self.under < min(min(s.length, s.width) for s in self.sizes)
        ):
            raise ValueError(f"good {self.good}: only sheets fall short of their size, and by less than a side")
        if (material := built_in(self.material)) and (lack := self.lacks(material)):
            raise ValueError(lack)
        if self.greatest and self.least > self.greatest:
            raise ValueError(f"good {self.good}: least must not be more than greatest")
        if self.deck and (len(self.deck) != 3 or min(self.deck) <= 0):
            raise ValueError(f"good {self.good}: a deck needs its length, width and height over the ground")
        if min(self.density, self.each_g, self.rated_lb) < 0:
            raise ValueError(f"good {self.good}: weights and rated_lb must not be negative")

    def _check_inside(self) -> None:
        """Refuse a carton that opens to less than it holds closed."""
        wrong = len(self.opens_to) != len(self.inside) or any(map(int.__lt__, self.opens_to, self.inside))
        if self.opens_to and wrong:
            raise ValueError(f"good {self.good}: opens_to is no less than inside, side by side")

    def _check_sheets(self) -> None:
        """Refuse sheets without a width, and sides that fall short of nothing or of all."""
        if self.form == "sheet" and any(s.width <= 0 for s in self.sizes):
            raise ValueError(f"good {self.good}: a sheet needs stock widths")
        least = min(min(s.length, s.width) for s in self.sizes) if self.form == "sheet" else 1
        if not 0 <= self.under < least:
            raise ValueError(f"good {self.good}: only sheets fall short of their size (under), by less than a side")

    def lacks(self, material: Material) -> str:
        """Return what the good does not say though goods of its material must; empty where it says all."""
        if material.is_screw and (self.breadth <= 0 or not THINNEST_SCREW <= self.diameter_in <= THICKEST_SCREW):
            told = f"a breadth, which is its length, and a diameter_in from {THINNEST_SCREW} to {THICKEST_SCREW}"
            return f"good {self.good}: a screw needs {told}"
        if material.is_carton and (len(self.inside) != 3 or min(self.inside) <= 0):
            return f"good {self.good}: a carton needs its inside length, width and depth"
        return ""

    def _check_kinds(self) -> None:
        """Refuse words and marks that are none."""
        for label, text in (("good", self.good), ("title", self.title), ("material", self.material)):
            if not isinstance(text, str):
                raise TypeError(f"good {self.good}: {label} must be text, not {text!r}")
        for label, word, words in (("form", self.form, get_args(Form)), ("use_unit", self.use_unit, get_args(UseUnit))):
            if word not in words:
                raise ValueError(f"good {self.good}: {label} must be one of {', '.join(words)}, not {word!r}")
        for label, mark in (("grain", self.grain), ("raw_wood", self.raw_wood)):
            if not isinstance(mark, bool):
                raise TypeError(f"good {self.good}: {label} must be true or false, not {mark!r}")

    @property
    def is_metric(self) -> bool:
        """Whether its length and its diameter are of a series by millimetres: whole ones, and halves across."""
        halves = self.diameter_in * INCH * 2 / MM
        return self.breadth % MM == 0 and self.diameter_in > 0 and abs(halves - round(halves)) < 1e-6

    @property
    def least_thickness(self) -> int:
        """Thinnest that the standard allows, or the measured thickness."""
        return self.least or self.thickness

    @property
    def greatest_thickness(self) -> int:
        """Thickest that the standard allows, or the measured thickness."""
        return self.greatest or self.thickness

    @property
    def sold_in(self) -> UnitSystem | None:
        """By which sizes it is sold: half millimetres or 64ths of an inch; None where its sizes are both, or neither.

        1,524 mm are 60 in too: the thickness decides then, as it does between a sheet of 18 mm and one of 3/4 in.
        """
        across = [side for size in self.sizes for side in (size.length, size.width) if side]
        for sides in (across, [*across, self.thickness, self.breadth]):
            by_half = all(side % (MM // 2) == 0 for side in sides)
            by_64th = all(side % (INCH // 64) == 0 for side in sides)
            if by_half != by_64th:
                return "metric" if by_half else "inch"
        return None
