"""Rules of the tools: what they are in a common small shop, and how a shop states its own."""

import tomllib
from dataclasses import asdict

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.shop.house_rules import ToolRules
from nesting.shop.shop_file import default_shop, shop_from, shop_text


def test_defaults_are_those_of_a_common_small_shop() -> None:
    assert ToolRules().crosswise == 3
    inches = {name: value / INCH for name, value in asdict(ToolRules()).items() if name != "crosswise"}
    assert inches == {
        "rip": 30, "along_fence": 12, "narrowest": 2, "push_below": 6, "track": 110, "chop": 5.5, "chop_stack": 2,
        "hold": 8, "clamp": 6, "knife": 1, "band": 6, "band_kerf": 1 / 16,
    }  # fmt: skip


def test_a_shop_file_states_its_own_and_one_of_before_says_nothing_of_them() -> None:
    shop = shop_from({"tools": {"rip": "52 in", "chop": "12 in", "track": "3 m", "knife": 0}}, "shop.toml")
    assert (shop.tools.rip, shop.tools.chop, shop.tools.knife) == (52 * INCH, 12 * INCH, 0)
    assert shop.tools.along_fence == ToolRules().along_fence
    assert shop_from(tomllib.loads(shop_text(shop)), "shop.toml").tools == shop.tools
    assert shop_from({"saw": {"kerf": "3/32 in"}}, "shop.toml").tools == default_shop().tools


@pytest.mark.parametrize(
    ("stated", "told"),
    [
        ({"rip": "70 in"}, ("rip", "70 in")),
        ({"narrowest": "1/4 in"}, ("narrowest", "1/4 in")),
        ({"chop": "wide"}, ("chop", "wide")),
        ({"laser": "3 in"}, ("laser",)),
        ({"band_kerf": True}, ("band_kerf", "True")),
    ],
)
def test_a_bad_value_is_one_clear_fault(stated: dict[str, object], told: tuple[str, ...]) -> None:
    with pytest.raises(FaultsFound) as refused:
        shop_from({"tools": stated}, "shop.toml")
    (fault,) = refused.value.faults
    assert fault.file == "shop.toml"
    for each in told:
        assert each in str(fault)
