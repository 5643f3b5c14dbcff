"""The shop's own facts as one value: who it is, the goods it stocks, its saw and its rules."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from nesting.advice.cushion import CushionRules
from nesting.advice.estimate import EstimateRules
from nesting.advice.forks import ForkRules
from nesting.advice.ispm import IspmRules
from nesting.advice.lifting import LiftingRules
from nesting.advice.mounting import MountingRules
from nesting.goods import Good
from nesting.house_rules import BattenRules, CleatRules, FrameRules, JoineryRules, MethodRules, PassageRules, SawRules
from nesting.packing_rules import CartonRules, CaseRules, CureRules, TravelRules, WrapRules


@dataclass(frozen=True, slots=True)
class Studio:
    """Who sends the quote; shown on papers that leave the house."""

    name: str = "Our Studio (invented)"
    address: str = ""
    phone: str = ""
    email: str = ""
    country: str = "US"
    time_zone: str = "America/New_York"


class MissingGoodError(KeyError):
    """A rule or a part names a good that the shop does not stock."""

    def __init__(self, name: str, stocked: Iterable[str]) -> None:
        self.name, self.stocked = name, tuple(stocked)
        super().__init__(f"no good named {name!r} in the shop; stocked: {', '.join(self.stocked)}")


@dataclass(frozen=True)
class Shop:
    """Everything that the shop floor knows about itself.

    Attributes
    ----------
    goods : tuple of Good
        In the order of the shop file.
    """

    goods: tuple[Good, ...]
    studio: Studio = field(default_factory=Studio)
    saw: SawRules = field(default_factory=SawRules)
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

    @cached_property
    def by_name(self) -> Mapping[str, Good]:
        """Goods by their short name."""
        return {good.good: good for good in self.goods}

    def good(self, name: str) -> Good:
        """Return the good of that name; :class:`MissingGoodError` names it and what is stocked."""
        try:
            return self.by_name[name]
        except KeyError:
            raise MissingGoodError(name, self.by_name) from None
