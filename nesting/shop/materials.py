"""Materials: what plywood, foam or paper is, as properties, each figure with its source.

A good is a material in one thickness or section. Whatever depends on what a good is made of asks for a property here;
nothing outside this room and its table (:mod:`nesting.shop.materials_built_in`) knows a material by its name. A
property that nobody stated is no property: :mod:`nesting.shop.needs` refuses the good where it is needed.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields
from functools import lru_cache
from math import isfinite
from typing import Any, Final, Literal, get_args

Kind = Literal[
    "paper", "scuffing paper", "foam wrap", "bubble wrap", "plank", "rigid foam", "film", "tape", "wood", "other"
]
"""What a material is to a surface; :mod:`nesting.shop.surfaces` rules on each."""

Wood = Literal["raw", "processed", "none"]
Cut = Literal["saw", "knife", "knife or band"]
"""What cuts a sheet; ``"knife or band"``: a knife as far as it reaches, a bandsaw or hot wire where it is thicker."""

Serves = Literal["screw", "carton"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number and where it comes from.

    Attributes
    ----------
    value : float
        In the unit of its property.
    source : str
        Standard, data sheet, test; ``"from memory"`` where no text was at hand.
    """

    value: float
    source: str = ""


@dataclass(frozen=True, slots=True)
class PropertyFacts:
    """What is known of one property beside its value.

    Attributes
    ----------
    name : str
        The key in the shop file.
    told : str
        What it is, as the end of a sentence.
    unit : str
        Of a figure; empty for words.
    low, high : float
        Range of a figure.
    words : tuple of str
        What a word may be; empty where any text will do.
    strength : bool
        Whether somebody may get hurt if it is wrong: then its source must be stated.
    """

    name: str
    told: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    words: tuple[str, ...] = ()
    strength: bool = False

    def check(self, value: Any) -> None:
        """Raise :class:`ValueError` for a value that the property cannot have."""
        if self.words:
            if value not in self.words:
                raise ValueError(f"{self.name}: found {value}; accepted: one of {', '.join(self.words)}")
            return
        if not isfinite(value.value) or not self.low <= value.value <= self.high:
            accepted = f"{self.low:.10g} to {self.high:.10g} {self.unit}".strip()
            raise ValueError(f"{self.name}: found {value.value:g}; accepted: {accepted}")
        if self.strength and not value.source.strip():
            raise ValueError(f"{self.name}: found no source; accepted: where the figure comes from")


def _figure(told: str, unit: str, low: float, high: float, *, strength: bool = True) -> dict[str, Any]:
    """Return what is known of a figure."""
    return {"told": told, "unit": unit, "low": low, "high": high, "strength": strength}


def _word(told: str, kinds: Any) -> dict[str, Any]:
    """Return what is known of a word."""
    return {"told": told, "words": get_args(kinds)}


@dataclass(frozen=True, slots=True)
class Material:
    """What a good is made of; None for every property that nobody stated.

    Attributes
    ----------
    material : str
        Its name, as goods bear it.
    title : str
        For people, where it differs from the name.
    density : Figure or None
        kg/m3; a good that states its own goes before it.
    bending_along_psi, bending_across_psi : Figure or None
        Allowable bending stress along and across the face grain, on the full section.
    stiffness_along_psi, stiffness_across_psi : Figure or None
        Modulus of elasticity, the same way.
    gravity : Figure or None
        Specific gravity that the withdrawal and pull-through equations take; 0 where no wood screw holds in it.
    group : Figure or None
        Group 1 to 4 of the older rule for lateral load.
    density_k, k_mod : Figure or None
        Characteristic density in kg/m3 and k_mod of a short load, by which EN 1995 says what screws hold; both or
        neither, and without them that is not looked at.
    hard : bool
        Hardwood, which takes a wider pilot hole.
    cushion_low_psi, cushion_high_psi : Figure or None
        Static stress between which a foam cushions.
    curve_base_psi, curve_rise : Figure or None
        The two constants of its stress-energy curve (:mod:`nesting.advice.foam_curves`), stated both or neither.
    surface : str or None
        What it is to a face; see :data:`Kind`.
    wood : {"raw", "processed", "none"} or None
        What ISPM 15 counts it as.
    cut_by : {"saw", "knife", "knife or band"} or None
        Whether a cut through a sheet of it takes the saw's kerf, or nothing, or what goes by its thickness.
    serves : {"screw", "carton"} or None
        What a thing of it that is bought each is used as, where that asks for more facts.
    words : tuple of str
        How an artwork's support names it.
    stretched : bool
        A fabric: on a stretcher, and weighed by its area.
    back_as : str
        The material as which an artwork's back of it counts for screws; empty where its own figures count.
    """

    material: str
    title: str = ""
    density: Figure | None = field(
        default=None, metadata=_figure("its weight by volume", "kg/m3", 1.0, 25_000.0, strength=False)
    )
    bending_along_psi: Figure | None = field(
        default=None, metadata=_figure("what it bears in bending along its grain", "psi", 1.0, 100_000.0)
    )
    bending_across_psi: Figure | None = field(
        default=None, metadata=_figure("what it bears in bending across its grain", "psi", 1.0, 100_000.0)
    )
    stiffness_along_psi: Figure | None = field(
        default=None, metadata=_figure("its stiffness along its grain", "psi", 100.0, 1e8)
    )
    stiffness_across_psi: Figure | None = field(
        default=None, metadata=_figure("its stiffness across its grain", "psi", 100.0, 1e8)
    )
    gravity: Figure | None = field(
        default=None, metadata=_figure("what a screw holds in it, by specific gravity", "", 0.0, 1.2)
    )
    group: Figure | None = field(
        default=None, metadata=_figure("what a screw bears sideways in it, by group 1 to 4", "", 1.0, 4.0)
    )
    hard: bool = False
    cushion_low_psi: Figure | None = field(
        default=None, metadata=_figure("the least stress at which it cushions", "psi", 0.001, 1000.0)
    )
    cushion_high_psi: Figure | None = field(
        default=None, metadata=_figure("the greatest stress at which it cushions", "psi", 0.001, 1000.0)
    )
    curve_base_psi: Figure | None = field(
        default=None, metadata=_figure("what its stress-energy curve begins with", "psi", 0.001, 1000.0)
    )
    curve_rise: Figure | None = field(
        default=None, metadata=_figure("how its stress-energy curve rises", "in3/in-lb", 0.001, 10.0)
    )
    surface: Kind | None = field(default=None, metadata=_word("what it is to a face", Kind))
    wood: Wood | None = field(default=None, metadata=_word("whether it is raw wood to a border", Wood))
    cut_by: Cut | None = field(default=None, metadata=_word("what cuts it", Cut))
    serves: Serves | None = field(default=None, metadata=_word("what a thing of it is used as", Serves))
    words: tuple[str, ...] = ()
    stretched: bool = False
    back_as: str = ""
    density_k: Figure | None = field(
        default=None,
        metadata=_figure("its characteristic density, by which EN 1995 judges screws", "kg/m3", 100.0, 1500.0),
    )
    k_mod: Figure | None = field(
        default=None, metadata=_figure("k_mod of EN 1995 for a short load, as damp as crates get", "", 0.1, 1.1)
    )

    def __post_init__(self) -> None:
        if not self.material.strip():
            raise ValueError("material: found nothing; accepted: a name")
        for facts in properties():
            if (value := getattr(self, facts.name)) is not None:
                facts.check(value)
        if self.gravity and 0 < self.gravity.value < _LIGHTEST:
            told = f"{_LIGHTEST:g} to 1.2, or 0 where no screw holds"
            raise ValueError(f"gravity: found {self.gravity.value:g}; accepted: {told}")
        if self.group and self.group.value % 1:
            raise ValueError(f"group: found {self.group.value:g}; accepted: 1, 2, 3 or 4")
        for low, high, accepted in _PAIRS:
            less, more = getattr(self, low), getattr(self, high)
            if less and more and less.value > more.value:
                raise ValueError(f"{low}: found {less.value:g} over {more.value:g}; accepted: {accepted}")

    @property
    def called(self) -> str:
        """As people say it."""
        return self.title or self.material

    @property
    def is_screw(self) -> bool:
        """Whether its goods are screws."""
        return self.serves == "screw"

    @property
    def is_carton(self) -> bool:
        """Whether its goods are cartons."""
        return self.serves == "carton"

    @property
    def is_wood(self) -> bool:
        """Whether a border counts it as wood of any kind."""
        return self.wood in ("raw", "processed")

    @property
    def is_raw(self) -> bool:
        """Whether a border counts it as raw wood."""
        return self.wood == "raw"

    @property
    def takes_no_screw(self) -> bool:
        """Whether it is known that no wood screw holds in it, nor in an artwork's back of it alone."""
        return self.stretched or (self.gravity is not None and self.gravity.value == 0)


_LIGHTEST: Final = 0.2
_PAIRS: Final = (
    ("bending_across_psi", "bending_along_psi", "no more across the grain than along it"),
    ("stiffness_across_psi", "stiffness_along_psi", "no more across the grain than along it"),
    ("cushion_low_psi", "cushion_high_psi", "less than cushion_high_psi"),
)


def properties() -> Iterator[PropertyFacts]:
    """Yield the facts of every property that can be needed: figures and words of a fixed choice."""
    for each in fields(Material):
        if "told" in each.metadata:
            yield PropertyFacts(each.name, **each.metadata)


def property_facts(name: str) -> PropertyFacts:
    """Return the facts of one property."""
    return next(facts for facts in properties() if facts.name == name)


def named_in(support: str, materials: Sequence[Material]) -> Material | None:
    """Return the first material that a support's text names by one of its words, or None."""
    return next((material for material in materials if _says(support, material.words)), None)


@lru_cache(maxsize=1 << 12)
def _says(support: str, words: tuple[str, ...]) -> bool:
    """Whether a text says one of some words; every crate asks it of the same few texts."""
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", support, re.IGNORECASE) for word in words)
