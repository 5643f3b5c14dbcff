"""The built-in materials, and the roles that some of them play where an order does not say.

Strength of panels: capacities per foot of width of APA's *Panel Design Specification*, divided by the section modulus
of the full thickness and rounded down. What is a figure "from memory" is to be checked before it is leaned on.
Border: ISPM 15 counts lumber as raw wood, and what is made of veneers, strands or fibres with glue, heat or pressure
as processed. To a face: common practice, see :mod:`nesting.shop.surfaces`. Cuts: wood by saws, foam and corrugated
board by a knife or, where they are thicker than it reaches, by a bandsaw or hot wire (common practice, no source).
"""

from collections.abc import Sequence
from typing import Any, Final

from nesting.advice.foam_curves import PLANK
from nesting.advice.weights import KG_M3_PER_LB_FT3, lumber_density
from nesting.base.writing import form
from nesting.shop.materials import Figure, Material

_PANEL: Final = "per inch of thickness, which reproduces the APA's approximate weights; makers differ by 20 %"
_APA: Final = "APA, Panel Design Specification, capacities per foot of width (from memory, rounded down)"
_NDS: Final = "NDS Tables 12.3.3A and B (oven-dry, from memory)"
_GROUPS: Final = (
    "civil-engineering formula handbook, Table 6.2, for the species it lists; the others beside those of like gravity"
)
_HANDBOOKS: Final = "cushion handbooks, from memory: a warning range only"
_NO_SCREW: Final = Figure(0.0, "no wood: a wood screw finds no hold in it")


def _lb_ft3(pounds: float, source: str) -> Figure:
    """Return a density given in pounds per cubic foot."""
    return Figure(pounds * KG_M3_PER_LB_FT3, source)


def _holds(gravity: float, group: int) -> dict[str, Any]:
    """Return what a screw holds in a wood: its gravity by the NDS, and its group of the older lateral rule."""
    return {"gravity": Figure(gravity, _NDS), "group": Figure(float(group), _GROUPS)}


def _bends(along: float, across: float, along_e: float, across_e: float) -> dict[str, Any]:
    """Return the bending of a panel in psi: allowable stress and stiffness, along and across its face grain."""
    return {
        "bending_along_psi": Figure(along, _APA),
        "bending_across_psi": Figure(across, _APA),
        "stiffness_along_psi": Figure(along_e, _APA),
        "stiffness_across_psi": Figure(across_e, _APA),
    }


def _wood(name: str, gravity: float, group: int, *, hard: bool = False) -> Material:
    """Return a species of lumber."""
    return Material(name, surface="wood", wood="raw", cut_by="saw", hard=hard, **_holds(gravity, group))


_BOARD: Final[dict[str, Any]] = {"surface": "wood", "wood": "processed", "cut_by": "saw"}
_SOFT: Final[dict[str, Any]] = {"wood": "none", "cut_by": "knife or band"}
_PLASTIC: Final[dict[str, Any]] = {"wood": "none", "cut_by": "knife"}
_SMALL: Final[dict[str, Any]] = {"surface": "other", "wood": "none"}

BUILT_IN: Final[tuple[Material, ...]] = (
    # What supports are made of, in the order in which their words are looked for.
    Material("canvas", words=("canvas", "linen"), stretched=True, wood="none"),
    Material(
        "aluminium composite",
        density=Figure(1500.0, "3 mm sheet of about 4.5 kg/m2, from memory, within 20 %"),
        gravity=_NO_SCREW,
        wood="none",
        words=("aluminium composite", "aluminum composite", "composite panel"),
    ),
    Material(
        "aluminium",
        density=Figure(2700.0, "handbook value, from memory"),
        gravity=_NO_SCREW,
        wood="none",
        words=("aluminium", "aluminum"),
    ),
    Material(
        "mdf",
        density=_lb_ft3(48.0, "ANSI A208.2 typical 48 lb/ft3, within 680 to 830 kg/m3"),
        words=("mdf", "fibreboard", "fibre board", "fiberboard", "fiber board"),
        back_as="plywood",
        **_BOARD,
    ),
    Material(
        "hardboard",
        density=Figure(960.0, "trade value, from memory, within 10 %"),
        words=("hardboard", "hard board"),
        back_as="plywood",
        **_BOARD,
    ),
    Material(
        "birch plywood",
        density=Figure(670.0, "640 to 700 kg/m3, from memory"),
        words=("birch",),
        back_as="plywood",
        **_BOARD,
    ),
    Material(
        "osb",
        density=_lb_ft3(39.6, f"3.3 lb/ft2 {_PANEL}"),
        words=("osb", "strandboard", "strand board"),
        back_as="plywood",
        **_BOARD,
        **_bends(980.0, 300.0, 930_000.0, 190_000.0),
        **_holds(0.50, 2),
    ),
    Material(
        "plywood",
        density=_lb_ft3(36.0, f"3.0 lb/ft2 {_PANEL}"),
        words=("plywood", "ply"),
        **_BOARD,
        **_bends(815.0, 165.0, 1_180_000.0, 62_000.0),
        **_holds(0.42, 4),
    ),
    Material(
        "acrylic",
        density=_lb_ft3(74.0, "1.18 to 1.19 g/cm3, two trade pages"),
        gravity=_NO_SCREW,
        wood="none",
        words=("acrylic sheet", "acrylic glass", "acrylic panel"),
    ),
    Material(
        "hardwood",
        density=Figure(
            lumber_density(0.63), "red oak, SG 0.63 at 12 % (Wood Handbook Table 5-3, from memory), within 15 %"
        ),
        hard=True,
        surface="wood",
        wood="raw",
        cut_by="saw",
        words=("oak", "walnut", "maple", "ash", "cherry", "hardwood", "hard wood"),
        back_as="plywood",
    ),
    Material(
        "lumber",
        density=Figure(lumber_density(0.42), "spruce-pine-fir, SG 0.42 at 12 % (from memory), within 15 %"),
        surface="wood",
        wood="raw",
        cut_by="saw",
        words=("pine", "spruce", "fir", "cedar", "lumber", "timber", "wood", "wooden"),
        back_as="plywood",
        # Of unknown species: as spruce-pine-fir, the weaker of the common ones.
        **_holds(0.42, 4),
    ),
    # What lies on a face.
    Material("glass", density=Figure(2500.0, "float glass, EN 572 (from memory): 2.5 kg/m2 for each millimetre")),
    Material("resin", density=Figure(1107.0, "mixed unfilled epoxy, 9.23 lb/gal on a supplier's page")),
    # Species and grades of which the NDS says what a screw holds.
    Material("structural plywood", **_BOARD, **_holds(0.50, 2)),
    _wood("douglas fir", 0.50, 2),
    _wood("southern pine", 0.55, 2),
    _wood("hem-fir", 0.43, 3),
    _wood("spruce-pine-fir", 0.42, 4),
    _wood("spruce-pine-fir south", 0.36, 4),
    _wood("red oak", 0.67, 1, hard=True),
    # Foams, papers and films.
    Material("rigid foam", surface="rigid foam", **_SOFT),
    Material(
        "cushion foam",
        title="polyethylene plank",
        surface="plank",
        **_SOFT,
        cushion_low_psi=Figure(0.5, _HANDBOOKS),
        cushion_high_psi=Figure(1.5, _HANDBOOKS),
        curve_base_psi=Figure(PLANK.base_psi, form(PLANK.source, "inch")),
        curve_rise=Figure(PLANK.rise, form(PLANK.source, "inch")),
    ),
    Material(
        "ester urethane",
        title="soft urethane foam",
        surface="plank",
        **_SOFT,
        cushion_low_psi=Figure(0.2, _HANDBOOKS),
        cushion_high_psi=Figure(0.6, _HANDBOOKS),
    ),
    Material("corrugated", title="corrugated board", surface="wood", **_SOFT),
    Material("foam wrap", surface="foam wrap", **_PLASTIC),
    Material("bubble wrap", surface="bubble wrap", **_PLASTIC),
    Material("film", surface="film", **_PLASTIC),
    Material("paper", surface="paper", wood="none", cut_by="knife"),
    # Things bought each.
    Material("carton", surface="wood", wood="none", serves="carton"),
    Material("tape", surface="tape", wood="none"),
    Material("screw", serves="screw", **_SMALL),
    Material("hardware", **_SMALL),
    Material("glue", **_SMALL),
    Material("gasket", **_SMALL),
)

GUESSED_SUPPORT: Final = "birch plywood"
"""What an artwork is taken to be of where its support names nothing."""

BARS: Final = "lumber"
"""What the bars of cradles and stretchers are taken to be of."""

COAT: Final = "resin"
PANE: Final = "glass"
PLAIN_PANE: Final = "acrylic"
"""What lies in front of a glazed piece where the order does not say glass."""

ANY_BACK: Final = "plywood"
"""As weak as this the wood behind an artwork is taken to be where nothing else is known of it: a house rule."""


def built_in(name: str) -> Material | None:
    """Return the built-in material of that name, or None."""
    return next((material for material in BUILT_IN if material.material == name), None)


def overlaid(own: Sequence[Material]) -> tuple[Material, ...]:
    """Return all materials of a shop: its own new ones, then the built-in ones or what it has in their place."""
    by_name = {material.material: material for material in own}
    known = tuple(by_name.pop(material.material, material) for material in BUILT_IN)
    return (*by_name.values(), *known)
