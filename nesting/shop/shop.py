"""The shop's own facts as one value: who it is, the goods it stocks, its saw and its rules."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final, get_args
from zoneinfo import ZoneInfo

from nesting.advice.cushion import CushionRules
from nesting.advice.estimate import EstimateRules
from nesting.advice.forks import ForkRules
from nesting.advice.ispm import IspmRules
from nesting.advice.lifting import LiftingRules
from nesting.advice.mounting import MountingRules
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.base.own_length import OwnLength, grain_of, near, whole, whole_up
from nesting.base.rules import rule
from nesting.base.writing import PLAIN, Writing, writing_in
from nesting.order import is_below
from nesting.shop.goods import Good
from nesting.shop.house_rules import (
    BattenRules,
    CleatRules,
    FrameRules,
    GearRules,
    JoineryRules,
    MethodRules,
    PassageRules,
    SawRules,
    ToolRules,
)
from nesting.shop.house_rules.packing import CartonRules, CaseRules, CureRules, TravelRules, WrapRules
from nesting.shop.house_rules.printing import LabelRules
from nesting.shop.materials import Material
from nesting.shop.materials_built_in import BUILT_IN

TERMS: Final = ("", "consigned", "sold")
"""On which terms a work travels; empty where nobody said."""
KINDS_OF_WORK: Final = ("", "original", "replica", "reproduction", "copy")
"""What customs ask of a work of art, beside its artist's name (19 CFR 10.48); empty where nobody said."""


def _fact(default: str, doc: str) -> str:
    """Make a rule for a text about the studio."""
    return rule(default, unit="text", doc=doc, source="")


@dataclass(frozen=True, slots=True)
class Studio:
    """Who sends the quote; shown on papers that leave the house.

    The fields ``origin``, ``tariff``, ``terms``, ``reason`` and ``kind_of_work`` stand on papers for a border where an
    order's own columns of these names say nothing. What is empty in both is left on the paper as a line to write on.
    """

    name: str = _fact("Our Studio (invented)", "As it stands on quotes and papers.")
    address: str = _fact("", "Street and town, on one line.")
    phone: str = _fact("", "For whoever opens a crate and has a question.")
    email: str = _fact("", "The same in writing.")
    country: str = _fact("US", "Two capital letters (ISO 3166-1); a destination elsewhere lies across a border.")
    time_zone: str = _fact("America/New_York", "Of pours and dates, by its name in the IANA time zone database.")
    origin: str = _fact("", "Country in which your works are made, for customs.")
    tariff: str = _fact("", "Tariff heading of your works, as your customs broker gave it to you.")
    terms: str = _fact("", "consigned or sold, or empty: on which terms works travel.")
    reason: str = _fact("", "Why works go abroad, such as exhibition or sale.")
    tax_number: str = _fact("", "Number for value added or sales tax, for invoices.")
    eori: str = _fact("", "Number for customs in the European Union or the United Kingdom.")
    responsible: str = _fact("", "Person of yours who answers for what invoices and lists say; customs ask for a name.")
    kind_of_work: str = _fact("", "original, replica, reproduction, copy or empty: what your works are, for customs.")
    logo: str = _fact("", "Picture at the head of offers, beside this file, such as logo.png (.jpg, .jpeg or .png).")

    sizes: str = _fact("inch", "inch or metric: which goods and rules are built in, and what bare numbers are.")

    def __post_init__(self) -> None:
        if self.sizes not in get_args(UnitSystem):
            raise ValueError(f"sizes: found {self.sizes}; accepted: inch or metric")
        if self.terms not in TERMS:
            raise ValueError(f"terms: found {self.terms}; accepted: consigned, sold, or nothing")
        if self.kind_of_work not in KINDS_OF_WORK:
            accepted = f"{', '.join(filter(None, KINDS_OF_WORK))}, or nothing"
            raise ValueError(f"kind_of_work: found {self.kind_of_work}; accepted: {accepted}")
        if self.country and not (len(self.country) == 2 and self.country.isascii() and self.country.isupper()):
            raise ValueError(f"country: found {self.country}; accepted: two capital letters such as US, GB, JP")
        if self.logo and not is_below(self.logo):
            raise ValueError(f"logo: found {self.logo}; accepted: a picture below the folder of the shop file")
        try:
            ZoneInfo(self.time_zone)
        except (OSError, ValueError, KeyError) as error:
            accepted = "a name in the IANA time zone database, such as Europe/London"
            raise ValueError(f"time_zone: found {self.time_zone}; accepted: {accepted}") from error


class MissingGoodError(FaultsFound, KeyError):
    """A rule or a part names a good that the shop does not stock: a fault of the shop's file, wherever it shows."""

    def __init__(self, name: str, stocked: Iterable[str]) -> None:
        self.name, self.stocked = name, tuple(stocked)
        super().__init__([Fault("shop", None, None, f"no good named {name}", f"one of {', '.join(self.stocked)}")])


@dataclass(frozen=True)
class Shop:
    """Everything that the shop floor knows about itself.

    Attributes
    ----------
    goods : tuple of Good
        In the order of the shop file.
    materials : tuple of Material
        What goods and artworks are made of, in the order in which a support's words are looked for.
    """

    goods: tuple[Good, ...]
    studio: Studio = field(default_factory=Studio)
    saw: SawRules = field(default_factory=SawRules)
    tools: ToolRules = field(default_factory=ToolRules)
    method: MethodRules = field(default_factory=MethodRules)
    frame: FrameRules = field(default_factory=FrameRules)
    joinery: JoineryRules = field(default_factory=JoineryRules)
    battens: BattenRules = field(default_factory=BattenRules)
    cleats: CleatRules = field(default_factory=CleatRules)
    mounting: MountingRules = field(default_factory=MountingRules)
    estimate: EstimateRules = field(default_factory=EstimateRules)
    cushion: CushionRules = field(default_factory=CushionRules)
    forks: ForkRules = field(default_factory=ForkRules)
    lifting: LiftingRules = field(default_factory=LiftingRules)
    ispm: IspmRules = field(default_factory=IspmRules)
    passage: PassageRules = field(default_factory=PassageRules)
    cure: CureRules = field(default_factory=CureRules)
    wrap: WrapRules = field(default_factory=WrapRules)
    carton: CartonRules = field(default_factory=CartonRules)
    travel: TravelRules = field(default_factory=TravelRules)
    case: CaseRules = field(default_factory=CaseRules)
    gear: GearRules = field(default_factory=GearRules)
    labels: LabelRules = field(default_factory=LabelRules)
    materials: tuple[Material, ...] = BUILT_IN

    @property
    def units(self) -> UnitSystem:
        """By which sizes the shop goes."""
        return "metric" if self.studio.sizes == "metric" else "inch"

    @property
    def grain(self) -> int:
        """Finest step of positions and parts that are reckoned: whole millimetres where the shop goes by them."""
        return grain_of(self.units)

    def own(self, length: OwnLength) -> int:
        """Return a length of the carpentry's own choosing, by the sizes that the shop goes by."""
        return length.of(self.units)

    def whole(self, value: int) -> int:
        """Round down to the grain."""
        return whole(value, self.grain)

    def whole_up(self, value: int) -> int:
        """Round up to the grain."""
        return whole_up(value, self.grain)

    def near(self, value: int) -> int:
        """Round to the nearest of the grain."""
        return near(value, self.grain)

    @cached_property
    def is_mixed(self) -> bool:
        """Whether some sheets or lumber are sold by the other sizes than the shop goes by."""
        return any(good.sold_in not in (None, self.units) for good in self.goods if good.form in ("sheet", "stick"))

    def measured_in(self, good: str, otherwise: UnitSystem) -> UnitSystem:
        """Return in which units what is cut from a good is measured: in a mixed shop those that it is sold in.

        Parameters
        ----------
        good : str
            By its short name.
        otherwise : {"inch", "metric"}
            What all else of the job is in.
        """
        return (self.good(good).sold_in or otherwise) if self.is_mixed else otherwise

    @cached_property
    def writing(self) -> Writing:
        """How people read figures and days: as the studio's country writes them, where it goes by millimetres."""
        return writing_in(self.studio.country) if self.units == "metric" else PLAIN

    def works_in(self, units: UnitSystem) -> UnitSystem:
        """Return in which units the shop builds what is ordered in these.

        A shop by millimetres sets every stop and rule in them, whoever orders in inches; one by inches goes by its
        order, as it ever did.
        """
        return "metric" if self.units == "metric" else units

    @cached_property
    def by_name(self) -> Mapping[str, Good]:
        """Goods by their short name."""
        return {good.good: good for good in self.goods}

    @cached_property
    def lengths(self) -> Mapping[str, tuple[Good, ...]]:
        """Goods with a length and a diameter, such as bolts, by their name up to the length, shortest first."""
        found: dict[str, list[Good]] = {}
        for good in self.goods:
            if good.breadth and good.diameter_in:
                found.setdefault(good.good.rsplit("x", 1)[0], []).append(good)
        return {stem: tuple(sorted(goods, key=lambda good: good.breadth)) for stem, goods in found.items()}

    @cached_property
    def fit(self) -> set[tuple[str, ...]]:
        """What was found to state all that a use asks of it: goods, each before the properties asked of it."""
        return set()

    @cached_property
    def _materials(self) -> Mapping[str, Material]:
        """Materials by name."""
        return {material.material: material for material in self.materials}

    def in_units(self, units: UnitSystem) -> "Shop":
        """Return the shop with the steps that its positions and strips are set to in an order's units."""
        if self.works_in(units) == "inch":
            return self
        return replace(
            self,
            joinery=replace(self.joinery, snap=self.joinery.snap_metric),
            frame=replace(self.frame, strip_step=self.frame.strip_step_metric),
            cleats=replace(self.cleats, step=self.cleats.step_metric),
        )

    def abroad(self, country: str) -> bool:
        """Whether a country, by its two letters, lies across a border; one that nobody stated does not."""
        return country.upper() not in ("", self.studio.country.upper())

    def laminates(self, country: str) -> bool:
        """Whether lumber and skids of what goes to a country are laminated from plywood."""
        return self.case.laminate_abroad and self.abroad(country)

    def material(self, name: str) -> Material:
        """Return the material of that name; one that nobody described has no property at all."""
        return self._materials.get(name) or Material(name)

    def good(self, name: str) -> Good:
        """Return the good of that name; :class:`MissingGoodError` names it and what is stocked."""
        try:
            return self.by_name[name]
        except KeyError:
            raise MissingGoodError(name, self.by_name) from None
