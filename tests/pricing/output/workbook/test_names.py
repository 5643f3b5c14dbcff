"""Names of cells: readable, valid in a spreadsheet, and never shared."""

import re
from io import BytesIO

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from pricing.output.workbook.names import Names, readable


def names() -> Names:
    return Names(xlsxwriter.Workbook(BytesIO(), {"in_memory": True}))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (("price", "ply-23/32 4x8"), "price_ply_23_32_4x8"),
        (("minutes", "glue_run"), "minutes_glue_run"),
        (("price", "screw 10x1-1/4 box 100"), "price_screw_10x1_1_4_box_100"),
        (("parts of", "日本"), "parts_of_x"),
    ],
)
def test_readable(words: tuple[str, ...], name: str) -> None:
    assert readable(*words) == name


def test_a_key_keeps_its_name_and_likes_are_numbered() -> None:
    made = names()
    assert made.of("price", "a b") == made.of("price", "a b") == "price_a_b"
    assert made.of("price", "a/b") == "price_a_b_2"
    assert made.of("price", "A.B") == "price_a_b_3"


def test_a_name_stands_for_one_cell() -> None:
    made = names()
    made.define(made.of("price", "a"), "'Prices'!$A$1")
    with pytest.raises(ValueError, match="price_a is defined twice"):
        made.define("price_a", "'Prices'!$A$2")
    made.of("price", "b")
    assert made.missing() == {"price_b"}


@given(st.lists(st.text(max_size=300), min_size=1, max_size=8, unique=True))
def test_unlike_keys_never_share_a_name_and_every_name_is_valid(texts: list[str]) -> None:
    made = names()
    found = [made.of("price", text) for text in texts]
    assert len(set(found)) == len(texts)
    for name in found:
        # No name may look like a cell's address or be longer than 255 (ECMA-376 part 1, 18.2.5).
        assert re.fullmatch(r"price_[a-z0-9_]+", name)
        assert len(name) <= 255
