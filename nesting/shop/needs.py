"""Needs: the properties that a use asks of a material, and the refusal where nobody stated them.

Nothing stands in for a property that is missing: the good is refused where the property is needed, with the property
and where to state it, and everything that a crate lacks is told at once.
"""

from collections.abc import Iterable, Sequence
from typing import Final, Literal

from nesting.advice.cushion import Foam
from nesting.advice.fasteners import Wood
from nesting.advice.foam_curves import PLANK, FoamCurve
from nesting.advice.panels import Panel
from nesting.base.faults import Fault, FaultsFound
from nesting.shop.goods import Good
from nesting.shop.materials import Figure, Kind, Material, property_facts
from nesting.shop.shop import Shop

WEIGHT: Final = ("density",)
BORDER: Final = ("wood",)
CUT: Final = ("cut_by",)
FACE: Final = ("surface",)
SLAT: Final = ("bending_along_psi",)
PANEL: Final = ("bending_along_psi", "bending_across_psi", "stiffness_along_psi", "stiffness_across_psi")
HOLD: Final = ("gravity",)
"""What a screw's head bears on, or its thread is pulled out of."""

THREAD: Final = ("gravity", "group")
"""What a screw's thread bites into, pulled and pushed sideways."""

CUSHION: Final = ("cushion_low_psi", "cushion_high_psi")
CURVE: Final = ("curve_base_psi", "curve_rise")
PART: Final = (*WEIGHT, *BORDER, *CUT)
"""What every part cut from a sheet asks."""

Blade = Literal["saw", "knife", "band", "none"]
"""What cuts a sheet; which of the saws is told by the order of cuts."""

Wants = Iterable[tuple[str, Iterable[str]]]
"""Goods by name, each with the properties that are asked of it."""


class UnfitMaterialError(FaultsFound):
    """Goods whose material lacks what their use asks: faults of the shop's file, all at once."""


def refuse_unfit(shop: Shop, wants: Wants, more: Iterable[Fault] = ()) -> None:
    """Refuse goods of which a property that is asked is stated nowhere, or of which it says that they will not do.

    Parameters
    ----------
    wants : iterable of (str, iterable of str)
        Goods, each with the properties that are asked of it.
    more : iterable of Fault
        What else was found, to be told with it.

    Raises
    ------
    UnfitMaterialError
        With every good and property, each once.
    """
    faults = []
    for name, asked in wants:
        want = (name, *asked)
        if want in shop.fit:
            continue
        good = shop.good(name)
        left = [each for each in want[1:] if not _says_itself(good, each)]
        if found := unfit(name, shop.material(good.material), left):
            faults += found
        else:
            shop.fit.add(want)
    if faults := list(dict.fromkeys((*faults, *more))):
        raise UnfitMaterialError(faults)


def _says_itself(good: Good, name: str) -> bool:
    """Whether a good states a property itself, so that its material need not."""
    own = {"density": good.density > 0, "wood": good.raw_wood, "surface": _bubbles(good)}
    return own.get(name, False)


def unfit(whose: str, material: Material, asked: Sequence[str]) -> list[Fault]:
    """Return a fault for everything that is asked of a material and that it lacks.

    Parameters
    ----------
    whose : str
        What is made of it: a good, or an artwork's back.
    asked : sequence of str
        Names of properties.
    """
    if "gravity" in asked and material.takes_no_screw:
        found = f"{whose}, of {material.material}: no wood screw holds in it"
        held = Fault("shop", None, None, found, "a good of wood or board where screws go")
        return [held, *unfit(whose, material, [name for name in asked if name not in THREAD])]
    return [unstated(whose, material, name) for name in asked if getattr(material, name) is None]


def unstated(whose: str, material: Material, name: str, instead: str = "") -> Fault:
    """Return the fault of a property that nobody stated, and where to state it."""
    facts = property_facts(name)
    how = f", {' or '.join(facts.words)}," if facts.words else " with its source" if facts.strength else ""
    where = f'{name}{how} in shop.toml, in the table [[material]] whose material is "{material.material}"'
    found = f"{whose}, of {material.material}: nothing states {name}, {facts.told}"
    return Fault("shop", None, None, found, where + instead)


def _stated(shop: Shop, good: Good, asked: Sequence[str]) -> Material:
    """Return a good's material, of which all these properties are stated."""
    refuse_unfit(shop, [(good.good, asked)])
    return shop.material(good.material)


def _figures(shop: Shop, good: Good, asked: Sequence[str]) -> list[Figure]:
    """Return figures of a good's material, all of them stated."""
    material = _stated(shop, good, asked)
    return [getattr(material, name) for name in asked]


def _sources(figures: Iterable[Figure]) -> str:
    """Return where figures come from, each source once."""
    return "; ".join(dict.fromkeys(figure.source for figure in figures))


def panel_of(shop: Shop, good: Good) -> Panel:
    """Return what a good bears in bending as a panel."""
    figures = _figures(shop, good, PANEL)
    along, across, stiff, stiff_across = (figure.value for figure in figures)
    return Panel(shop.material(good.material).called, along, across, stiff, stiff_across, _sources(figures))


def slat_of(shop: Shop, good: Good) -> Figure:
    """Return what a good bears in bending along its grain, in psi."""
    return _figures(shop, good, SLAT)[0]


def foam_of(shop: Shop, good: Good) -> Foam:
    """Return a good as a cushion."""
    figures = _figures(shop, good, CUSHION)
    low, high = (figure.value for figure in figures)
    material = shop.material(good.material)
    return Foam(material.called, low, high, _sources(figures), _curve_of(shop, good, material))


def _curve_of(shop: Shop, good: Good, material: Material) -> FoamCurve | None:
    """Return a foam's stress-energy curve; None where nobody stated one, and a fault where one half of it is."""
    if material.curve_base_psi is None and material.curve_rise is None:
        return None
    base, rise = _figures(shop, good, CURVE)
    if (base.value, rise.value) == (PLANK.base_psi, PLANK.rise):
        return PLANK
    return FoamCurve(base.value, rise.value, source=_sources((base, rise)))


def gravity_of(shop: Shop, good: Good) -> float:
    """Return the specific gravity of a good, by which screws hold in it and their heads bear on it."""
    return _figures(shop, good, HOLD)[0].value


def en_values(material: Material) -> tuple[float, float]:
    """Return characteristic density and k_mod of a material, by which EN 1995 judges screws; 0 where not stated."""
    dense, lasts = (figure.value if figure else 0.0 for figure in (material.density_k, material.k_mod))
    return dense, lasts


def thread_in(shop: Shop, good: Good) -> Wood:
    """Return a good as what a screw's thread bites into."""
    return bitten(good.good, shop.material(good.material))


def bitten(whose: str, material: Material) -> Wood:
    """Return a material as what a screw's thread bites into.

    Raises
    ------
    UnfitMaterialError
        Where nobody said what a screw holds in it, or no screw does.
    """
    if faults := unfit(whose, material, THREAD):
        raise UnfitMaterialError(faults)
    gravity, group = (getattr(material, name).value for name in THREAD)
    return Wood(material.called, gravity, int(group), material.hard, *en_values(material))


def density_of(shop: Shop, good: Good) -> float:
    """Return what a good weighs in kg/m3: as it says itself, else as its material does."""
    return good.density if good.density > 0 else _figures(shop, good, WEIGHT)[0].value


def is_wood(shop: Shop, good: Good) -> bool:
    """Whether a border counts a good as wood, raw or processed."""
    return good.raw_wood or _stated(shop, good, BORDER).is_wood


def blade_of(shop: Shop, good: Good) -> Blade:
    """Return what cuts a sheet of a good; none where it is thicker than all that could.

    A material that is stated to be cut by a knife is, however thick; where a bandsaw may follow, the tools decide.
    """
    said = _stated(shop, good, CUT).cut_by
    if said != "knife or band":
        return "knife" if said == "knife" else "saw"
    if good.thickness <= shop.tools.knife:
        return "knife"
    return "band" if good.thickness <= shop.tools.band else "none"


def kerf_of(shop: Shop, good: Good) -> int:
    """Return what a cut through a sheet of a good takes: the largest among its tools, and nothing of a knife.

    Strips of board are cut to length at the chop saw, where there is one: so its kerf counts too.
    """
    blade = blade_of(shop, good)
    if blade == "knife":
        return 0
    if blade == "saw":
        return max(shop.saw.kerf, shop.saw.stick_kerf) if shop.tools.chop else shop.saw.kerf
    return shop.tools.band_kerf


def surface_of(shop: Shop, good: Good) -> Kind:
    """Return what a good is to a face; bubbles count whatever they are made of."""
    if _bubbles(good):
        return "bubble wrap"
    kind: Kind = getattr(_stated(shop, good, FACE), FACE[0])
    return kind


def _bubbles(good: Good) -> bool:
    return "bubble" in f"{good.good} {good.title} {good.material}".lower()
