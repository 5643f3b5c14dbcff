"""The shop file by itself: every sentence in full, every bound at its end, and each line that is written."""

import tomllib
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, MM
from nesting.shop.shop import Shop
from nesting.shop.shop_file import (
    default_goods,
    default_shop,
    read_shop,
    rule_groups,
    shop_from,
    shop_text,
)

GROUPS = [name for name, _ in rule_groups()]


def shop(text: str) -> Shop:
    """Read a shop file."""
    return shop_from(tomllib.loads(text), "s.toml")


def said(text: str) -> list[str]:
    """Return every sentence of what is refused, without the file's name."""
    with pytest.raises(FaultsFound) as caught:
        shop(text)
    return [fault.message.removeprefix("s.toml, ") for fault in caught.value.faults]


def of_kind(kind: str) -> str:
    """Return the built-in goods of a kind as they are told."""
    made = default_shop()
    names = [
        good.good
        for good in made.goods
        if (good.form if good.form != "each" else made.material(good.material).serves or good.material) == kind
    ]
    return f"a {kind}: {', '.join(names)}"


@pytest.mark.parametrize(
    ("text", "where", "found", "accepted"),
    [
        ("a = 1", "a", "[a]", f"one of studio, {', '.join(GROUPS)}, material, good"),
        ("saw = 3", "saw", "3", "a table [saw]"),
        ("[saw]\nblade = 1", "saw.blade", "the unknown rule 'blade'",
         ("one of kerf, stick_kerf, trim_left, trim_right, trim_bottom, trim_top, offcut_length, offcut_width, "
         "panel_sq_ft, least_goods")),
        ("[studio]\nname = 3", "studio.name", "3", "text in quotes"),
        ('[studio]\nsizes = "x"', "studio.sizes", "x", "inch or metric"),
        ('[studio]\ntime_zone = "Moon/Base"', "studio.time_zone", "Moon/Base",
         "a name in the IANA time zone database, such as Europe/London"),
        ('[saw]\nkerf = "wide"', "saw.kerf", "wide", "a length such as 30 1/2, 2' 6\", 775 mm"),
        ('[saw]\nkerf = "9 in"', "saw.kerf", "9 in",
         "a value in (0 in to 1/4 in; full kerf 1/8 in, several trade pages agree)"),
        ("[frame]\nlid = 4", "frame.lid", "4", 'a value like "ply-3/8" (word; common practice, no source)'),
        ('[cure]\npack_hours = "72"', "cure.pack_hours", "72 as text",
         "a value like 72.0 (hours; 0.0 to 2000.0; common practice, no source)"),
        ("[cure]\npack_hours = 2000.1", "cure.pack_hours", "2000.1",
         "a value in (hours; 0.0 to 2000.0; common practice, no source)"),
        ('[saw]\nleast_goods = "yes"', "saw.least_goods", "yes as text",
         "a value like false (true or false; shop rule)"),
        ("[saw]\nleast_goods = 1", "saw.least_goods", "1", "a value like false (true or false; shop rule)"),
        ("good = 3", "good", "3", "an array of tables [[good]]"),
        ("material = 3", "material", "3", "an array of tables [[material]]"),
        ('[joinery]\ncorner_screw = "ply-3/8"', "joinery.corner_screw", "ply-3/8, a sheet", of_kind("screw")),
        ('[frame]\nlid = "nonesuch"', "frame.lid", "no good named nonesuch", of_kind("sheet")),
        ('[cleats]\nscrews = ["ply-3/8"]', "cleats.screws", "ply-3/8, a sheet", of_kind("screw")),
        ('[battens]\ngood = "2x3"', "battens.good", "2x3, a stick", of_kind("sheet")),
        ('[battens]\ngood = "x"', "battens.good", "no good named x", of_kind("sheet")),
    ],
)  # fmt: skip
def test_what_a_shop_file_does_not_take(text: str, where: str, found: str, accepted: str) -> None:
    assert said(text) == [f'{where}: found "{found}"; accepted: {accepted}']


def test_an_unknown_key_of_the_studio_is_a_key() -> None:
    (line,) = said("[studio]\nblade = 1")
    assert line.startswith("studio.blade: found \"the unknown key 'blade'\"; accepted: one of name, address, ")
    (line,) = said('[battens]\nstaple = "ply-3/8"')
    assert line.startswith('battens.staple: found "ply-3/8, a sheet"; accepted: a hardware: ')


def test_every_fault_of_a_shop_file_is_told_in_one() -> None:
    lines = said('a = 1\n[saw]\nkerf = "wide"\n[frame]\nlid = "nonesuch"\n[studio]\nname = 3\n')
    assert [line.partition(":")[0] for line in lines] == ["a", "saw.kerf", "studio.name", "frame.lid"]


def test_a_rule_that_the_file_says_nothing_of_may_name_what_it_takes_away() -> None:
    text = '[[good]]\ngood = "ply-3/8"\nstocked = false\n'
    assert "ply-3/8" not in shop(text).by_name
    (line,) = said(f'{text}[frame]\nlid = "ply-3/8"\n')
    assert line.startswith('frame.lid: found "no good named ply-3/8"; accepted: a sheet: ply-23/32, ')
    assert ", ply-3/8" not in line


def sheet(length: str, width: str, stock: str = "thin 4x8") -> str:
    """Return a good of one stock size."""
    return (
        '[[good]]\ngood = "thin"\ntitle = "Thin"\nform = "sheet"\nmaterial = "plywood"\nthickness = "1/4 in"\n'
        f'sizes = [{{ stock = "{stock}", length = "{length}", width = "{width}" }}]\n'
    )


def test_a_sheet_of_which_the_trim_leaves_nothing() -> None:
    trims = '[saw]\ntrim_left = "1 in"\ntrim_right = "1/2 in"\ntrim_bottom = "2 in"\ntrim_top = "1/4 in"\n'
    nothing = ['good thin, sizes: found "thin 4x8"; accepted: a sheet of which the saw\'s trim leaves some']
    assert said(trims + sheet("1 1/2 in", "48 in")) == nothing
    assert said(trims + sheet("96 in", "2 1/4 in")) == nothing
    made = shop(trims + sheet("1 9/16 in", "2 5/16 in"))
    assert made.by_name["thin"].sizes[0].length == 25 * INCH // 16


def test_a_stock_size_of_another_good() -> None:
    assert said(sheet("96 in", "48 in", "ply-3/8 4x8")) == [
        'good thin, sizes: found "ply-3/8 4x8 twice"; accepted: a name for each stock size'
    ]


def test_goods_stay_in_their_order_and_new_ones_come_last() -> None:
    text = sheet("96 in", "48 in").replace("thin", "ply-1/4") + sheet("96 in", "48 in", "new 4x8")
    names = [good.good for good in default_shop().goods]
    assert [good.good for good in shop(text).goods] == [
        *(name for name in names if name != "ply-1/4"),
        "ply-1/4",
        "thin",
    ]
    other = sheet("96 in", "48 in", "ply-3/8 4x8").replace('"thin"', '"ply-3/8"')
    assert [good.good for good in shop(other).goods] == names
    assert shop(other).by_name["ply-3/8"].title == "Thin"
    gone = '[[good]]\ngood = "kraft"\nstocked = false\n'
    assert [good.good for good in shop(gone).goods] == [name for name in names if name != "kraft"]


def test_a_shop_by_millimetres() -> None:
    made = shop('[studio]\nsizes = "metric"\n')
    assert made == default_shop("metric")
    assert (made.studio.country, made.studio.time_zone) == ("DE", "Europe/Berlin")
    assert made.goods == default_goods("metric")
    assert shop('[studio]\nsizes = "metric"\n[saw]\nkerf = 3\n').saw.kerf == 3 * MM
    assert shop('[saw]\nkerf = "3 mm"\n').saw.kerf == 3 * MM
    assert shop('[studio]\nname = "x"\n').units == "inch"
    over = shop_from({"saw": {"kerf": "1/4 in"}}, "over", default_shop("metric"))
    assert over.saw.kerf == INCH // 4
    assert over.units == "metric"
    assert over.frame == default_shop("metric").frame


def test_frames_of_files_of_before_are_as_they_were() -> None:
    before = shop('[frame]\nlarger_by = "3 in"\n')
    assert before.frame.smaller_by == 0
    assert shop_from({"frame": {"larger_by": "3 in"}}, "over", default_shop()).frame.smaller_by == (
        default_shop().frame.smaller_by
    ), "what is laid over another is no file of before"
    assert shop('[studio]\nsizes = "metric"\n[frame]\nlarger_by = 80\n').frame.smaller_by == (
        default_shop("metric").frame.smaller_by
    )
    assert shop('[cushion]\nthickness = "2 in"\n').case.cushion == "fixed"


def test_the_file_as_it_is_written(tmp_path: Path) -> None:
    inch, metric = shop_text().splitlines(), shop_text(default_shop("metric")).splitlines()
    first = "# The shop's facts. Delete what you do not want to change: what is missing stays as built in."
    assert inch[:4] == [first, '# Lengths are text with a unit: "1/8 in", "2 1/4 in", "18 mm".', "", "[studio]"]
    lengths = '# Lengths are text with a unit: "150 mm", "1.5 m"; a number without one is millimetres.'
    assert metric[:4] == [first, lengths, "", "[studio]"]
    kerf = "# Width of wood that the blade eats. (0 in to 1/4 in; full kerf 1/8 in, several trade pages agree)"
    assert inch[inch.index(kerf) + 1] == 'kerf = "1/8 in"'
    heads = [line[1:-1] for line in inch if line.startswith("[") and not line.startswith("[[")]
    assert heads == ["studio", *GROUPS]
    for line, before in zip(inch[1:], inch, strict=False):
        if line[:1] == "[" and line[:2] != "[[":
            assert before == ""
    path = tmp_path / "shop.toml"
    path.write_text("\n".join(metric), encoding="utf-8")
    assert read_shop(path) == default_shop("metric")
    more = shop(sheet("96 in", "48 in"))
    assert shop(shop_text(more)) == more
    assert shop_text(more).endswith("\n")
    assert 'good = "thin"' in shop_text(more)
    assert 'good = "thin"' not in shop_text()
