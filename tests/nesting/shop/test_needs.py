"""What a use asks of a material: where it is stated its own figure counts, else the good is refused, never guessed."""

from dataclasses import dataclass, replace
from decimal import Decimal

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG
from nesting.base.search import QUICK
from nesting.build import build
from nesting.crates.expand import expand
from nesting.crates.model import Crate
from nesting.order import Artwork, Back, Order
from nesting.shop.goods import Good
from nesting.shop.materials import Figure, Material
from nesting.shop.materials_built_in import overlaid
from nesting.shop.needs import UnfitMaterialError, density_of, is_wood, kerf_of, refuse_unfit, thread_in
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from nesting.shop.supports import refuse_unweighable, wood_behind
from tests.nesting.drawings.builds import supply_of
from tests.strategies import POPLAR, invented_properties

SHOP = default_shop()
WEIGHT, BORDER, CUT = {"density"}, {"wood"}, {"cut_by"}
PART = WEIGHT | BORDER | CUT
PANEL = {f"{what}_{way}_psi" for what in ("bending", "stiffness") for way in ("along", "across")}
THREAD = {"gravity", "group"}
CUSHION = {"cushion_low_psi", "cushion_high_psi"}


@dataclass(frozen=True)
class Use:
    """A rule that names a good, the good it names when built in, and what that use asks of a material."""

    group: str
    rule: str
    method: str
    asks: frozenset[str]

    @property
    def usual(self) -> Good:
        return SHOP.good(getattr(getattr(SHOP, self.group), self.rule) or "ply-3/8")


def use(group: str, rule: str, method: str, *asks: set[str]) -> Use:
    return Use(group, rule, method, frozenset().union(*asks))


USES = (
    use("travel", "slat_good", "travel", {"bending_along_psi", "gravity"}, PART),
    use("cleats", "good", "travel", THREAD, PART),
    use("cleats", "good", "closed", THREAD, PANEL, PART),
    use("cleats", "second", "closed", PART),
    use("frame", "back_light", "closed", PANEL, {"gravity"}, PART),
    use("frame", "back_light", "battened", PANEL, PART),
    use("battens", "good", "battened", PANEL, {"gravity"}, PART),
    use("frame", "lid", "closed", PART),
    use("frame", "frame_good", "battened", PART),
    use("frame", "liner_good", "closed", PART),
    use("joinery", "block_good", "travel", PART),
    use("wrap", "film_good", "travel", WEIGHT),
    use("wrap", "foam_good", "carton", {"surface"}, WEIGHT),
    use("carton", "board_good", "carton", {"surface"}, PART),
    use("carton", "cushion_good", "carton", {"surface"}, CUSHION, PART),
    use("case", "cushion_good", "travel", CUSHION, PART),
    use("case", "face_good", "travel", PART),
    use("case", "spacer_good", "carton"),
    use("case", "lumber_good", "travel", {"gravity"}, WEIGHT, BORDER),
)


def order(method: str, **fixed: object) -> Order:
    side = (10 if method == "carton" else 30) * INCH
    piece = Artwork("A-01", side, side, 3 * INCH // 2, weight_kg=Decimal(6) * LB_KG, method=method)
    return Order("o", (replace(piece, **fixed),))  # type: ignore[arg-type]  # a test names fields freely


def shop_with(used: Use, poplar: Material | None) -> Shop:
    """Return the shop with a good of poplar where a rule names one; None leaves the material unknown."""
    good = replace(used.usual, good="pop", material="poplar", density=0.0, raw_wood=False)
    rules = replace(getattr(SHOP, used.group), **{used.rule: "pop"})
    materials = overlaid([poplar] if poplar else [])
    return replace(SHOP, goods=(*SHOP.goods, good), materials=materials, **{used.group: rules})


def missing(caught: FaultsFound) -> set[str]:
    """Return the properties that faults ask for; each names good, material and place."""
    found = []
    for fault in caught.faults:
        assert fault.file == "shop"
        assert fault.found.startswith("pop, of poplar: nothing states ")
        assert 'in shop.toml, in the table [[material]] whose material is "poplar"' in fault.accepted
        name = fault.found.removeprefix("pop, of poplar: nothing states ").split(",")[0]
        assert fault.accepted.startswith(name)
        # Where a wrong figure hurts, its source is asked for with it.
        assert ("with its source" in fault.accepted) == (name not in WEIGHT | BORDER | CUT | {"surface"})
        found.append(name)
    assert len(found) == len(set(found))
    return set(found)


@pytest.mark.parametrize("used", USES, ids=lambda used: f"{used.group}.{used.rule} in {used.method}")
def test_an_unknown_material_is_refused_with_everything_that_its_use_asks(used: Use) -> None:
    if not used.asks:
        assert expand(order(used.method), shop_with(used, None))
        return
    with pytest.raises(FaultsFound) as caught:
        expand(order(used.method), shop_with(used, None))
    assert missing(caught.value) == used.asks


@given(st.sampled_from(USES), st.sets(st.sampled_from(sorted(POPLAR))))
def test_either_refused_naming_exactly_what_is_missing_or_built(used: Use, stated: set[str]) -> None:
    poplar = Material("poplar", **invented_properties(stated))
    lacks = used.asks - stated
    event("refused" if lacks else "built")
    if lacks:
        with pytest.raises(FaultsFound) as caught:
            expand(order(used.method), shop_with(used, poplar))
        assert missing(caught.value) == lacks
    else:
        crates = expand(order(used.method), shop_with(used, poplar))
        assert {piece for crate in crates for piece in crate.pieces} == {"A-01"}


def whole(**other: object) -> Material:
    return Material("poplar", **{**invented_properties(POPLAR), **other})


def check(crates: tuple[Crate, ...], name: str) -> float:
    """Return the capacity of a check by the beginning of its name."""
    (found,) = [each for crate in crates for each in crate.checks if each.name.startswith(name)]
    assert found.capacity is not None
    return found.capacity


def test_slats_get_their_own_strength_and_not_plywoods() -> None:
    own = expand(order("travel"), shop_with(USES[0], whole()))
    assert check(own, "back slat, bending") == 700.0
    assert check(expand(order("travel"), SHOP), "back slat, bending") == 815.0
    (told,) = [each for crate in own for each in crate.checks if each.name == "back slat, bending"]
    assert told.source == "invented"


def test_slats_of_a_weak_material_get_wider() -> None:
    heavy = {"weight_kg": Decimal(40) * LB_KG}
    widths = []
    for strength in (700.0, 300.0):
        shop = shop_with(USES[0], whole(bending_along_psi=Figure(strength, "x"), bending_across_psi=None))
        crates = expand(order("travel", **heavy), shop)
        widths.append(max(part.width for part in crates[0].parts if ".slat-back" in part.name))
    assert widths[0] < widths[1]


def test_a_back_bends_at_its_own_figures_and_is_called_by_its_name() -> None:
    used = use("frame", "back_light", "closed")
    strong = expand(order("closed"), shop_with(used, whole()))
    weak = expand(order("closed"), shop_with(used, whole(bending_along_psi=Figure(400.0, "x"))))
    assert check(strong, "back, bending") > check(weak, "back, bending")
    assert any("poplar, grain" in each.note for crate in strong for each in crate.checks)
    plain = expand(order("closed"), SHOP)
    assert check(strong, "back, bending") == pytest.approx(700 / 815 * check(plain, "back, bending"))


def test_screws_hold_as_much_as_the_cleats_own_gravity() -> None:
    """NDS Eq. 12.2-2: withdrawal goes with the square of the gravity."""
    used = use("cleats", "good", "closed")
    own, plain = expand(order("closed"), shop_with(used, whole())), expand(order("closed"), SHOP)
    ratio = check(own, "mounting screws, withdrawal") / check(plain, "mounting screws, withdrawal")
    assert ratio == pytest.approx((0.38 / 0.42) ** 2)


def test_a_soft_back_lets_heads_through_sooner() -> None:
    """NDS 2018, 12.2.5: pull-through goes with the square of the gravity of what is held."""
    used = use("frame", "back_light", "closed")
    own, plain = expand(order("closed"), shop_with(used, whole())), expand(order("closed"), SHOP)
    ratio = check(own, "mounting screws, pull-through") / check(plain, "mounting screws, pull-through")
    assert ratio == pytest.approx((0.38 / 0.42) ** 2)


def test_a_case_is_screwed_into_its_own_lumber() -> None:
    used = use("case", "lumber_good", "travel")
    own, plain = expand(order("travel"), shop_with(used, whole())), expand(order("travel"), SHOP)
    ratio = check(own, "screws of the opening face") / check(plain, "screws of the opening face")
    assert ratio == pytest.approx((0.38 / 0.42) ** 2)


def test_a_hard_cleat_takes_a_wider_pilot() -> None:
    """90 % of the root against 70 % (NDS Commentary 11.1.2.1): No. 10 at 9/64 in against 7/64 in."""
    used = use("cleats", "good", "closed")
    for hard, drill in ((True, "9/64 in"), (False, "7/64 in")):
        (crate,) = expand(order("closed"), shop_with(used, whole(hard=hard)))
        assert {point.pilot for point in crate.drill} == {drill}


def test_a_cleat_in_which_no_screw_holds_is_refused() -> None:
    shop = shop_with(USES[1], whole(gravity=Figure(0.0, "a metal (invented)"), group=None))
    with pytest.raises(FaultsFound, match="pop, of poplar: no wood screw holds in it"):
        expand(order("travel"), shop)
    with pytest.raises(UnfitMaterialError, match="no wood screw holds"):
        thread_in(shop, shop.good("pop"))


def test_all_goods_of_an_order_are_told_at_once_and_each_once() -> None:
    goods = [replace(SHOP.good("ply-23/32"), good=name, material=name, density=0.0) for name in ("slat", "cleat")]
    shop = replace(
        SHOP,
        goods=(*SHOP.goods, *goods),
        travel=replace(SHOP.travel, slat_good="slat"),
        cleats=replace(SHOP.cleats, good="cleat"),
    )
    two = Order("o", tuple(replace(order("travel").artworks[0], piece=name) for name in ("A", "B")))
    with pytest.raises(FaultsFound) as caught:
        expand(two, shop)
    told = [fault.found.split(":")[0] for fault in caught.value.faults]
    assert sorted(set(told)) == ["cleat, of cleat", "slat, of slat"]
    assert (told.count("slat, of slat"), told.count("cleat, of cleat")) == (5, 5)


def test_where_the_shop_chose_the_method_no_other_hides_what_is_missing() -> None:
    shop = shop_with(use("frame", "back_light", "closed"), None)
    with pytest.raises(FaultsFound, match="nothing states bending_along_psi"):
        expand(order("auto"), shop)


def test_what_is_not_used_is_not_asked() -> None:
    shop = shop_with(use("travel", "slat_good", "travel"), None)
    assert expand(order("closed"), shop)
    assert expand(order("carton"), shop)


# The artwork itself.


def test_a_support_of_the_shops_own_material_is_weighed_by_it() -> None:
    unweighed = order("closed", weight_kg=None, support="solid poplar panel", surface="bare")
    with pytest.raises(FaultsFound) as caught:
        expand(unweighed, replace(SHOP, materials=overlaid([Material("poplar", words=("poplar",))])))
    (fault,) = caught.value.faults
    assert fault.found == "A-01, of poplar: nothing states density, its weight by volume"
    assert fault.accepted.endswith("or the weight of the piece in the order")
    (crate,) = expand(unweighed, replace(SHOP, materials=overlaid([whole(words=("poplar",))])))
    assert crate.net_kg == pytest.approx(430 * 0.762**2 * 0.0381)


def test_pieces_of_one_support_are_told_together() -> None:
    shop = replace(SHOP, materials=overlaid([Material(name, words=(name,)) for name in ("poplar", "alder")]))
    pieces = [Artwork(f"P{n}", INCH, INCH, INCH, support="alder" if n == 5 else "poplar") for n in range(6)]
    with pytest.raises(UnfitMaterialError) as caught:
        refuse_unweighable(pieces, shop)
    told = [fault.found for fault in caught.value.faults]
    assert [each.split(": ")[0] for each in told] == ["P0, P1, P2 and 2 more, of poplar", "P5, of alder"]


def test_what_a_screw_holds_in_an_artworks_back() -> None:
    """A house rule: as weak as plywood, unless the support names a material with a figure of its own."""
    materials = overlaid([whole(words=("poplar",))])
    shop = replace(SHOP, materials=materials)
    piece = order("closed").artworks[0]
    for support, back, name, gravity in (
        ("", Back(), "plywood", 0.42),
        ("MDF", Back(), "plywood", 0.42),
        ("solid oak", Back(), "plywood", 0.42),
        ("poplar panel", Back(), "poplar", 0.38),
        ("poplar panel", Back("strainer", INCH, INCH), "plywood", 0.42),
    ):
        found = wood_behind(replace(piece, support=support, back=back), shop)
        assert (found.name, found.gravity) == (name, gravity)
    poplar = order("closed", support="poplar panel")
    (own,), (plain,) = expand(poplar, shop), expand(poplar, SHOP)
    name = "screws into the piece, withdrawal"
    assert check((own,), name) / check((plain,), name) == pytest.approx((0.38 / 0.42) ** 2)
    (told,) = [each for each in own.checks if each.name == name]
    assert told.note.endswith("the piece's wood is taken to be as weak as poplar")


@pytest.mark.parametrize("method", ["closed", "battened", "travel"])
def test_a_back_of_which_nobody_said_what_a_screw_holds_is_refused(method: str) -> None:
    shop = replace(SHOP, materials=overlaid([Material("poplar", words=("poplar",))]))
    with pytest.raises(FaultsFound) as caught:
        expand(order(method, support="poplar"), shop)
    assert [fault.found.partition(", what")[0] for fault in caught.value.faults] == [
        "the back of A-01, of poplar: nothing states gravity",
        "the back of A-01, of poplar: nothing states group",
    ]
    # In a carton no screw goes into it, and a strainer's bars are of another wood.
    assert expand(order("carton", support="poplar"), shop)
    assert expand(order(method, support="poplar", back=Back("strainer", 3 * INCH, 3 * INCH // 2)), shop)


def test_a_back_in_which_no_screw_holds_is_refused_as_the_orders() -> None:
    stone = Material("slate", words=("slate",), gravity=Figure(0.0, "stone (invented)"))
    with pytest.raises(
        FaultsFound, match='found "A-01: no screw holds in its back: solid, of slate"; accepted: wood at least'
    ):
        expand(order("closed", support="slate"), replace(SHOP, materials=overlaid([stone])))


# What a good says itself goes before what its material says.


def test_a_good_weighs_what_it_says_itself() -> None:
    used = use("frame", "lid", "closed")
    shop = shop_with(used, whole())
    assert density_of(shop, shop.good("pop")) == 430.0
    assert density_of(shop, replace(shop.good("pop"), density=500.0)) == 500.0


def test_a_good_that_says_it_is_raw_wood_needs_no_material_to_say_so() -> None:
    shop = shop_with(use("frame", "lid", "closed"), None)
    raw = replace(shop.good("pop"), raw_wood=True)
    assert is_wood(shop, raw)
    refuse_unfit(replace(shop, goods=(raw,)), [("pop", BORDER)])
    with pytest.raises(UnfitMaterialError, match="nothing states wood, whether it is raw wood to a border"):
        is_wood(shop, shop.good("pop"))


def test_raw_wood_in_a_crate_is_told_of_a_material_that_is_raw() -> None:
    used = use("frame", "lid", "closed")
    for wood, raw in (("processed", False), ("none", False)):
        (crate,) = expand(order("closed"), shop_with(used, whole(wood=wood)))
        assert crate.raw_wood == raw
    shop = shop_with(used, whole(wood="raw"))
    shop = replace(shop, goods=(*SHOP.goods, replace(shop.good("pop"), raw_wood=True)))
    (crate,) = expand(order("closed"), shop)
    assert crate.raw_wood


def test_a_knife_takes_no_kerf() -> None:
    used = use("carton", "cushion_good", "carton")
    layouts = {}
    for cut_by in ("knife", "saw"):
        shop = shop_with(used, whole(cut_by=cut_by))
        # Soft foam comes first, and this piece needs no plank where it is stocked.
        shop = replace(shop, goods=tuple(good for good in shop.goods if good.material != "ester urethane"))
        made = build(order("carton"), shop, supply_of(shop), search=QUICK)
        layouts[cut_by] = {layout.good: layout.kerf for layout in made.layouts}
    assert layouts["knife"]["pop"] == 0
    assert layouts["saw"]["pop"] == layouts["knife"]["ply-3/8"] == SHOP.saw.kerf
    with pytest.raises(UnfitMaterialError, match="nothing states cut_by"):
        kerf_of(shop_with(used, None), shop_with(used, None).good("pop"))
