"""Estimate: what an artwork weighs where the order does not say, as a sum of its layers."""

import re
from dataclasses import dataclass
from typing import Final

from nesting.advice.weights import cuboid_kg
from nesting.base.measure import INCH, MM, MeasureError, UnitSystem, format_weight, parse_length
from nesting.base.rules import check_rules, rule
from nesting.order import Artwork, Back

_LENGTH = re.compile(r"(\d+[ -]\d+/\d+|\d+/\d+|\d*\.?\d+)\s*(mm|cm|inch(?:es)?|in\b|\"|″|”)", re.IGNORECASE)

HOLLOW_WORDS: Final = ("honeycomb", "hollow core", "hollow", "cradled", "cradle", "braced", "box")
"""Words of a support that say that a piece is not wood all through: whole words, capitals and hyphens aside."""

_HOLLOW: Final = tuple((word, re.compile(rf"(?<!\bno )(?<!\bnot )(?<!\bnon )\b{word}\b")) for word in HOLLOW_WORDS)

_BARS_TOLD: Final = re.compile(r"strainer|brac(?:es|ing)|cradling", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class EstimateRules:
    """What is assumed of a piece where the order does not say."""

    spread: float = rule(
        0.2,
        unit="ratio",
        low=0.0,
        high=0.9,
        doc="Uncertainty of an estimated weight where the support is known.",
        source="panel density differs by up to 20 % between makers",
    )
    spread_guessed: float = rule(
        0.4, unit="ratio", low=0.0, high=0.9, doc="The same where the support is not known either."
    )
    face: int = rule(INCH // 4, unit="length", low=INCH // 16, high=2 * INCH, doc="Face of a hollow or cradled panel.")
    hollow_from: int = rule(
        INCH,
        unit="length",
        low=INCH // 4,
        high=6 * INCH,
        doc="A panel deeper than this, resin aside, is taken as hollow unless it is called solid.",
    )
    bar_width: int = rule(
        3 * INCH // 4, unit="length", low=INCH // 4, high=6 * INCH, doc="Bars of a cradle or stretcher."
    )
    bar_spacing: int = rule(
        24 * INCH, unit="length", low=6 * INCH, high=96 * INCH, doc="A cradle has a crossbar for each such length."
    )
    resin: int = rule(
        INCH // 8, unit="length", low=0, high=2 * INCH, doc="Resin where the depth of the pour is unknown."
    )
    glazing: int = rule(3 * MM, unit="length", low=0, high=12 * MM, doc="Thickness of glass or acrylic in front.")
    canvas_g_m2: float = rule(
        475.0,
        unit="g/m2",
        low=100.0,
        high=2000.0,
        doc="Primed canvas.",
        source="350 to 600 g/m2, from memory",
    )

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a layer of an artwork is made of.

    Attributes
    ----------
    name : str
        As people say it.
    kg_m3 : float
        What it weighs; without meaning for a fabric.
    stretched : bool
        A fabric on a stretcher, which is weighed by its area.
    """

    name: str
    kg_m3: float
    stretched: bool = False


@dataclass(frozen=True, slots=True)
class Makeup:
    """What an artwork is taken to be made of.

    Attributes
    ----------
    support, bars, coat, pane : Stuff
        The support, the bars behind it, a coat of resin and what lies in front of a glazed piece.
    back : Back
        What stands behind the face, as the order says or as the shop's rule reads the words of its support.
    guessed : bool
        Whether the support was guessed.
    """

    support: Stuff
    bars: Stuff
    coat: Stuff
    pane: Stuff
    back: Back
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimated weight.

    Attributes
    ----------
    kg, low_kg, high_kg : float
        The estimate, and the least and most that it stands for.
    layers : tuple of (str, float)
        What it is the sum of, each in kg.
    spread : float
        Doubt on either side, as a part of the estimate.
    guessed : bool
        Whether the support itself was guessed.
    """

    kg: float
    low_kg: float
    high_kg: float
    layers: tuple[tuple[str, float], ...]
    spread: float
    guessed: bool

    def note(self, units: UnitSystem) -> str:
        """Return the weight and how it was estimated, for people."""
        total = format_weight(self.kg, units, mark=True)
        made_of = " + ".join(f"{name} {format_weight(kg, units, mark=True)}" for name, kg in self.layers)
        doubt = "; support not known, weigh the piece" if self.guessed else ""
        return f"weight {total} estimated, within {self.spread * 100:.0f} %: {made_of}{doubt}"


def support_thickness(support: str) -> int | None:
    """Return the first length with a unit in a support's text (``"1/2 in birch"``), exact grid, or None."""
    found = _LENGTH.search(support)
    if found is None:
        return None
    try:
        return parse_length(found.group(0)) or None
    except MeasureError:
        return None


def hollow_words(support: str) -> tuple[str, ...]:
    """Return which of the :data:`HOLLOW_WORDS` a support's text says; ``not hollow`` says none."""
    text = " ".join(re.split(r"[\s_\-\u2010-\u2015]+", support.lower()))
    return tuple(word for word, said in _HOLLOW if said.search(text))


def _bars_kg(artwork: Artwork, back: Back, depth: int, rules: EstimateRules, bars: Stuff) -> float:
    """Weigh bars round the back, and between them the middle bars stated, else crossbars at the rule's spacing."""
    width = back.bar_width or rules.bar_width
    along, across = max(artwork.width, artwork.height), min(artwork.width, artwork.height)
    inner = back.middle_bars * max(0, artwork.height - 2 * width)
    if not back.middle_bars:
        inner = max(0, -(-along // rules.bar_spacing) - 1) * max(0, across - 2 * width)
    run = 2 * along + 2 * max(0, across - 2 * width) + inner
    return cuboid_kg(bars.kg_m3, run, width, depth)


def _support_layers(artwork: Artwork, body: int, rules: EstimateRules, makeup: Makeup) -> list[tuple[str, float]]:
    """Weigh the support and its bars or cleats."""
    of, back = makeup.support, makeup.back
    stated = support_thickness(artwork.support)
    if of.stretched:
        area_kg = rules.canvas_g_m2 / 1000 * (artwork.width * 0.001 / MM) * (artwork.height * 0.001 / MM)
        bars_kg = _bars_kg(artwork, back, back.bar_depth or body, rules, makeup.bars)
        return [(of.name, area_kg), ("stretcher", bars_kg)]
    cleats: list[tuple[str, float]] = []
    if back.says_where:
        thick = min(back.cleat_thickness, body)
        cleats = [("cleats", 2 * cuboid_kg(makeup.bars.kg_m3, artwork.width, back.cleat_width, thick))]
        body -= thick
    hollow = back.has_bars or bool(hollow_words(artwork.support) or _BARS_TOLD.search(artwork.support))
    solid = bool(re.search(r"\b(solid|slab)\b", artwork.support.lower()))
    if not hollow and (solid or body <= rules.hollow_from or (stated is not None and stated >= body)):
        thickness = min(stated, body) if stated is not None else body
        return [(of.name, cuboid_kg(of.kg_m3, artwork.width, artwork.height, thickness)), *cleats]
    face = min(back.face or (stated if stated is not None and stated < body else rules.face), body)
    depth = min(back.bar_depth, body) if back.has_bars else body - face
    return [
        (of.name, cuboid_kg(of.kg_m3, artwork.width, artwork.height, face)),
        ("bars", _bars_kg(artwork, back, depth, rules, makeup.bars)),
        *cleats,
    ]


def estimate_weight(artwork: Artwork, rules: EstimateRules, makeup: Makeup) -> Estimate:
    """Estimate the weight of one copy of an artwork from its support, size, back and resin.

    The layers are support, bars, resin coat and glazing. A frame around the piece is not counted.

    Parameters
    ----------
    artwork : Artwork
        Sizes, and thicknesses that its support names.
    rules : EstimateRules
        What is assumed where the order does not say.
    makeup : Makeup
        What each layer is made of.

    Returns
    -------
    Estimate
        With 20 % of doubt where the support is known, more where it is guessed (see :class:`EstimateRules`).
    """
    resin = 0
    if artwork.surface == "resin" or artwork.pour_depth:
        resin = min(artwork.pour_depth or rules.resin, artwork.depth)
    glazing = min(rules.glazing, artwork.depth - resin) if artwork.surface == "glazed" else 0
    layers = _support_layers(artwork, artwork.depth - resin - glazing, rules, makeup)
    for thickness, of in ((resin, makeup.coat), (glazing, makeup.pane)):
        if thickness:
            layers.append((of.name, cuboid_kg(of.kg_m3, artwork.width, artwork.height, thickness)))
    kg = sum(weight for _, weight in layers)
    spread = rules.spread_guessed if makeup.guessed else rules.spread
    return Estimate(kg, kg * (1 - spread), kg * (1 + spread), tuple(layers), spread, makeup.guessed)
