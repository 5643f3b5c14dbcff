"""The command with a good of which nobody said what it bears: refused with what to state and where, no traceback."""

from datetime import date
from pathlib import Path

import pytest

from nesting.base.search import QUICK
from nesting.intake import read_order
from nesting.shop.materials import property_facts
from pricing.quoting.work import work
from pricing.studio.office import office_texts, read_office
from tests.strategies import POPLAR
from tests.test_command import command, small

SLAT = """
[[good]]
good = "poplar-3/4"
title = "Poplar plywood 3/4 in (invented)"
form = "sheet"
material = "poplar plywood"
thickness = "3/4 in"
sizes = [{ stock = "poplar-3/4 4x8", length = "96 in", width = "48 in" }]
"""
ASKED = ("bending_along_psi", "gravity", "density", "wood", "cut_by")


def studio(folder: Path, stated: tuple[str, ...], slats: str = "poplar-3/4") -> Path:
    """Write a studio with a good of its own, by default its slats, these properties of its material stated."""
    folder.mkdir()
    for name, text in office_texts().items():
        (folder / name).write_text(text, encoding="utf-8")
    shop = (
        (folder / "shop.toml").read_text(encoding="utf-8").replace('slat_good = "ply-23/32"', f'slat_good = "{slats}"')
    )
    assert f'slat_good = "{slats}"' in shop
    if stated:
        shop += '\n[[material]]\nmaterial = "poplar plywood"\nsource = "the maker (invented)"\n'
        shop += "".join(f"{name} = {value!r}\n" for name, value in POPLAR.items() if name in stated)
    (folder / "shop.toml").write_text(shop + SLAT, encoding="utf-8")
    prices = folder / "prices.csv"
    rows = prices.read_text(encoding="utf-8").splitlines(keepends=True)
    like = next(row for row in rows if row.startswith("ply-23/32 4x8,"))
    prices.write_text("".join([*rows, like.replace("ply-23/32", "poplar-3/4")]), encoding="utf-8")
    return folder


@pytest.mark.parametrize("stated", [(), ASKED[:1], ASKED[1:]])
def test_what_nobody_stated_is_refused_with_where_to_state_it(stated: tuple[str, ...], tmp_path: Path) -> None:
    order = small(tmp_path, width="30", height="30", method="travel", destination="Harbour Gallery")
    done = command("quote", order, "--shop", studio(tmp_path / "studio", stated), "--out", tmp_path / "out")
    assert done.returncode == 2, done.stdout
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
    told = " ".join(done.stderr.split())
    for name in ASKED:
        sentence = f"poplar-3/4, of poplar plywood: nothing states {name}, {property_facts(name).told}"
        assert (sentence in told) == (name not in stated)
    assert 'in shop.toml, in the table [[material]] whose material is "poplar plywood"' in told


def test_what_is_stated_is_built(tmp_path: Path) -> None:
    order = small(tmp_path, width="30", height="30", method="travel", destination="Harbour Gallery")
    done = command(
        "quote", order, "--shop", studio(tmp_path / "studio", ASKED), "--out", tmp_path / "out", "--effort", "quick"
    )
    assert done.returncode == 0, done.stderr
    assert "poplar-3/4" in (tmp_path / "out" / "build.json").read_text(encoding="utf-8")


def test_what_no_crate_is_made_of_is_asked_nothing(tmp_path: Path) -> None:
    order = read_order(small(tmp_path, width="30", height="30", method="closed", destination="Harbour Gallery"))
    office = read_office(studio(tmp_path / "studio", (), slats="ply-23/32"), tmp_path)
    assert work(order, office, on=date(2026, 11, 30), search=QUICK).total > 0
