"""The verifier itself: a build made up by hand is right, and each fault planted in it is told.

Sizes and prices are invented.
"""

import copy
import json
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from tests.build_verifier import verify_build

IN = 203_200
KERF = IN // 8
Document = dict[str, Any]


def _size(width: int, height: int, depth: int) -> dict[str, int]:
    return {"width": width, "height": height, "depth": depth}


def _part(name: str) -> dict[str, Any]:
    return {"part": name, "turned": False}


def _crates() -> list[dict[str, Any]]:
    return [
        {
            "crate": "K1",
            "method": "closed",
            "pieces": ["A-01"],
            "inside_of": None,
            "outside": _size(36 * IN, 36 * IN, 5 * IN),
            "inside": _size(34 * IN, 34 * IN, 4 * IN),
            "net_kg": 11.3,
            "tare_kg": 14.2,
            "gross_kg": 25.5,
            "drill": [{"x": 5 * IN, "y": 6 * IN, "into": "K1.cleat-low", "screw": "#10 x 1-1/4"}],
        },
        *(
            {
                "crate": crate,
                "method": "travel",
                "pieces": [piece],
                "inside_of": "K4",
                "outside": _size(60 * IN, 50 * IN, 6 * IN),
                "inside": _size(58 * IN, 48 * IN, 5 * IN),
                "net_kg": 20.0,
                "tare_kg": 9.5,
                "gross_kg": 29.5,
                "drill": [],
            }
            for crate, piece in (("K2", "A-02"), ("K3", "A-03#1"))
        ),
        {
            "crate": "K4",
            "method": "outer",
            "pieces": ["A-02", "A-03#1"],
            "inside_of": None,
            "outside": _size(70 * IN, 60 * IN, 22 * IN),
            "inside": _size(61 * IN, 51 * IN, 13 * IN),
            "net_kg": 40.0,
            "tare_kg": 55.1,
            "gross_kg": 95.1,
            "drill": [],
        },
    ]


def _sheet_good() -> dict[str, Any]:
    """Return one 4 x 8 sheet and one offcut: a back in two panels 30 in and 18 in wide, two cleats, a strip."""
    panels = {
        "cut": "cross",
        "at": 30 * IN,
        "first": {"cut": "rip", "at": 36 * IN, "first": _part("K1.back-1"), "rest": {"offcut": True}},
        "rest": {
            "cut": "cross",
            "at": 18 * IN,
            "first": {
                "cut": "rip",
                "at": 36 * IN,
                "first": _part("K1.back-2"),
                # 48 - 36 - 1/8 in remain; a cut 1/8 in short of that leaves no more than the kerf.
                "rest": {
                    "cut": "rip",
                    "at": 12 * IN - 2 * KERF,
                    "first": {"offcut": True},
                    "rest": {"waste": True},
                },
            },
            "rest": {
                "cut": "rip",
                "at": 3 * IN,
                "first": {"cut": "cross", "at": 30 * IN, "first": _part("K1.cleat-low"), "rest": {"offcut": True}},
                "rest": {"offcut": True},
            },
        },
    }
    strip = {
        "cut": "cross",
        "at": 20 * IN,
        "first": {"cut": "rip", "at": 3 * IN, "first": {"part": "K1.liner", "turned": True}, "rest": {"waste": True}},
        "rest": {"waste": True},
    }
    return {
        "good": "ply-23/32",
        "kerf": KERF,
        "stock": [
            {
                "stock": "ply-23/32 4x8",
                "source": "buy",
                "length": 96 * IN,
                "width": 48 * IN,
                "trim": {"left": 0, "right": 0, "bottom": 0, "top": 0},
                "available": None,
                "prices": [{"from": 1, "each": "58.00"}, {"from": 10, "each": "54.00"}],
            },
            {
                "stock": "rack 12",
                "source": "rack",
                "length": 20 * IN + IN // 2,
                "width": 3 * IN + IN // 4,
                "trim": {"left": IN // 4, "right": IN // 8, "bottom": IN // 8, "top": 0},
                "available": 2,
                "prices": [{"from": 1, "each": "1.50"}],
            },
        ],
        "wanted": [
            {
                "part": f"K1.back-{number}",
                "length": width * IN,
                "width": 36 * IN,
                "count": 1,
                "grain": "any",
                "panel_of": "K1.back",
                "seam": end * IN,
            }
            for number, width, end in ((1, 30, 30), (2, 18, 48))
        ]
        + [
            {"part": "K1.cleat-low", "length": 30 * IN, "width": 3 * IN, "count": 1, "grain": "length"},
            {"part": "K1.liner", "length": 3 * IN, "width": 20 * IN, "count": 1, "grain": "any"},
        ],
        "sheets": [
            {"stock": "ply-23/32 4x8", "repeat": 1, "cuts": panels},
            {"stock": "rack 12", "repeat": 1, "cuts": strip},
        ],
        "cost": "58.00",
        "objective": "59.50",
        "bound": "59.50",
        "proven": True,
    }


def _stick_good() -> dict[str, Any]:
    """Return six sticks of which four are cut in two, where the break at six saves money."""
    return {
        "good": "2x3",
        "kerf": KERF,
        "stock": [
            {
                "stock": "2x3 8ft",
                "source": "buy",
                "length": 96 * IN,
                "available": None,
                "prices": [{"from": 1, "each": "4.10"}, {"from": 6, "each": "2.50"}],
            }
        ],
        "wanted": [{"part": "K4.edge", "length": 48 * IN - KERF, "count": 8}],
        "sticks": [
            {"stock": "2x3 8ft", "repeat": 4, "parts": ["K4.edge", "K4.edge"]},
            {"stock": "2x3 8ft", "repeat": 2, "parts": []},
        ],
        "cost": "15.00",
        "objective": "15.00",
        "bound": "14.00",
        "proven": False,
    }


def document() -> Document:
    """Return the worked example of the format, filled in by hand so that every figure agrees."""
    return {
        "format": "casewright-build/1",
        "made_by": "casewright 0.1.0",
        "seed": 0,
        "effort": "normal",
        "units_per_inch": IN,
        "currency": "USD",
        "crates": _crates(),
        "sheet_goods": [_sheet_good()],
        "stick_goods": [_stick_good()],
    }


def schema() -> dict[str, Any]:
    """Return the schema of the first format as it is shipped; what came with the second stands in a file of its own."""
    parsed: dict[str, Any] = json.loads(files("nesting").joinpath("build.schema.1.json").read_text("utf-8"))
    return parsed


def _printed_example() -> Document:
    """Return the example exactly as the format's description prints it: a fragment, whose K3 is left out."""
    back = {
        "cut": "cross",
        "at": 7315200,
        "first": {"cut": "rip", "at": 7315200, "first": _part("K1.back"), "rest": {"offcut": True}},
        "rest": {"offcut": True},
    }
    sheet = copy.deepcopy(_sheet_good())
    sheet |= {
        "stock": sheet["stock"][:1],
        "wanted": [{"part": "K1.back", "length": 7315200, "width": 7315200, "count": 1, "grain": "any"}],
        "sheets": [{"stock": "ply-23/32 4x8", "repeat": 1, "cuts": back}],
        "objective": "58.00",
        "bound": "58.00",
    }
    prices = [{"from": 1, "each": "4.10"}]
    stick = {
        "good": "2x3",
        "kerf": 25400,
        "stock": [{"stock": "2x3 8ft", "source": "buy", "length": 19507200, "available": None, "prices": prices}],
        "wanted": [{"part": "K3.frame", "length": 8128000, "count": 4}],
        "sticks": [{"stock": "2x3 8ft", "repeat": 2, "parts": ["K3.frame", "K3.frame"]}],
        "cost": "8.20",
        "objective": "8.20",
        "bound": "8.20",
        "proven": True,
    }
    crate = _crates()[0] | {
        "outside": _size(7315200, 7315200, 1117600),
        "inside": _size(7023100, 7023100, 914400),
        "drill": [{"x": 1016000, "y": 1320800, "into": "K1.cleat-low", "screw": "#10 x 1-1/4"}],
    }
    return document() | {"crates": [crate], "sheet_goods": [sheet], "stick_goods": [stick]}


def test_a_right_build_has_no_fault() -> None:
    assert verify_build(document()) == []
    jsonschema.validate(document(), schema(), cls=jsonschema.Draft202012Validator)


def test_the_printed_example_lacks_only_the_part_that_it_leaves_out() -> None:
    example = _printed_example()
    jsonschema.validate(example, schema(), cls=jsonschema.Draft202012Validator)
    assert verify_build(example) == ["crate K1: drill point 1016000, 1320800 goes into K1.cleat-low, which is no part"]


def test_parts_that_exist_are_wanted_beside_those_that_are_cut() -> None:
    build = document()
    _given(build)
    jsonschema.validate(build, schema(), cls=jsonschema.Draft202012Validator)
    assert verify_build(build) == []


def test_fields_may_be_added() -> None:
    build = document() | {"studio": "ours"}
    build["sheet_goods"][0]["wanted"][0]["edge"] = "front"
    assert verify_build(build) == []
    jsonschema.validate(build, schema(), cls=jsonschema.Draft202012Validator)


def test_scrap_is_waste_only_where_it_is_allowed() -> None:
    build = document()
    build["sheet_goods"][0]["sheets"][0]["cuts"]["first"]["rest"] = {"waste": True}
    assert verify_build(build, scrap=True) == []
    assert len(verify_build(build)) == 1


def test_money_written_with_other_decimals_is_the_same_money() -> None:
    build = document()
    build["sheet_goods"][0]["cost"] = "58"
    build["sheet_goods"][0]["bound"] = "59.5"
    assert verify_build(build) == []


def _face(*panels: tuple[int, int, int | None]) -> list[str]:
    """Return the faults of a build whose back is made of such panels."""
    build = document()
    good = build["sheet_goods"][0]
    names = [f"K1.back-{number}" for number in range(len(panels))]
    good["wanted"] = [
        {"part": n, "length": a, "width": b, "count": 1, "grain": "any", "panel_of": "K1.back", "seam": seam}
        for n, (a, b, seam) in zip(names, panels, strict=True)
    ]
    return [fault for fault in verify_build(build) if "face" in fault]


@pytest.mark.parametrize(
    "panels",
    [
        [(30, 36, 30), (18, 36, None)],
        [(30, 36, 30), (18, 36, 48)],
        [(30, 36, 30), (36, 18, 30)],
        [(36, 10, 10), (36, 10, 20), (36, 9, 20)],
        # Two rows of 40, each divided at 60 of 100.
        [(60, 40, 60), (40, 40, 60), (60, 40, 60), (40, 40, 60)],
        # A row of 30 in one panel below a row of 40 in two.
        [(100, 30, 30), (70, 40, 70), (30, 40, 70)],
    ],
)
def test_panels_that_make_up_a_face(panels: list[tuple[int, int, int | None]]) -> None:
    assert _face(*panels) == []


def test_equal_panels_may_be_one_part_with_a_count() -> None:
    build = document()
    good = build["sheet_goods"][0]
    good["wanted"] = [good["wanted"][0] | {"count": 2}]
    assert not [fault for fault in verify_build(build) if "face" in fault]


@pytest.mark.parametrize(
    "panels",
    [
        [(30, 36, 30), (18, 35, None)],
        [(30, 36, 18), (18, 36, 30)],
        [(36, 10, None), (36, 9, None)],
        [(60, 40, 60), (40, 40, 60), (60, 40, 60), (39, 40, 60)],
        [(100, 30, 31), (70, 40, 70), (30, 40, 70)],
        [(100, 30, 30), (70, 40, 50), (30, 40, 50)],
    ],
)
def test_panels_that_make_up_no_face(panels: list[tuple[int, int, int | None]]) -> None:
    assert _face(*panels) == ["good ply-23/32: face K1.back: its panels do not make up a face with these seams"]


Plant = Callable[[Document], object]


def _sheet(build: Document) -> dict[str, Any]:
    good: dict[str, Any] = build["sheet_goods"][0]
    return good


def _stick(build: Document) -> dict[str, Any]:
    good: dict[str, Any] = build["stick_goods"][0]
    return good


def _cuts(build: Document) -> dict[str, Any]:
    cuts: dict[str, Any] = _sheet(build)["sheets"][0]["cuts"]
    return cuts


def _rack_cuts(build: Document) -> dict[str, Any]:
    cuts: dict[str, Any] = _sheet(build)["sheets"][1]["cuts"]
    return cuts


def _given(build: Document) -> dict[str, Any]:
    """Give a build one more liner that exists, and a part that nobody wants; that alone is right."""
    liner = {**next(part for part in _sheet(build)["wanted"] if part["part"] == "K1.liner"), "good": "ply-23/32"}
    given: dict[str, Any] = {"used": [{**liner, "label": "K9.liner"}], "left_over": [{**liner, "part": "K9.strip"}]}
    build["given"] = given
    return given


# What is planted, and words that the fault must say.
PLANTED: dict[str, tuple[Plant, str]] = {
    "open stock with a price": (lambda d: _sheet(d)["stock"][1].update(source="open"), "one price, nothing"),
    "rack stock without a count": (lambda d: _sheet(d)["stock"][1].update(available=None), "rack stock has a count"),
    "nothing given": (lambda d: d.update(given={"used": [], "left_over": []}), "given names no part"),
    "used under another size": (
        lambda d: _given(d)["used"][0].update(length=7),
        "K1.liner is used as another than is cut under its name",
    ),
    "used of another good": (
        lambda d: _given(d)["used"][0].update(good="osb-7/16"),
        "K1.liner is used as another than is cut under its name",
    ),
    "used without a label": (lambda d: _given(d)["used"][0].update(label=""), "K1.liner is used and has no label"),
    "given without a grain": (lambda d: _given(d)["left_over"][0].pop("grain"), "grain and width do not go together"),
    "given none of": (lambda d: _given(d)["used"][0].update(count=0), "count must be a whole number from 1"),
    "a panel of a face too many": (
        lambda d: _given(d)["used"].append({**_sheet(d)["wanted"][0], "good": "ply-23/32", "label": "x"}),
        "do not make up a face",
    ),
    "another format": (lambda d: d.update(format="casewright-build/3"), "format is"),
    "another unit": (lambda d: d.update(units_per_inch=64), "units_per_inch"),
    "seed is text": (lambda d: d.update(seed="0"), "seed is"),
    "crates are no list": (lambda d: d.update(crates=None), "crates is not a list"),
    "good listed twice": (lambda d: d["stick_goods"].append(d["stick_goods"][0]), "good 2x3 appears twice"),
    "part named twice in a good": (
        lambda d: _stick(d)["wanted"].append(_stick(d)["wanted"][0]),
        "K4.edge is wanted under one name twice",
    ),
    "part named twice over goods": (
        lambda d: _stick(d)["wanted"][0].update(part="K1.liner"),
        "K1.liner is wanted under one name twice",
    ),
    "stock listed twice": (lambda d: _sheet(d)["stock"].append(_sheet(d)["stock"][0]), "is listed twice"),
    "stock not listed": (lambda d: _stick(d)["sticks"][0].update(stock="2x3 9ft"), "cut but not listed"),
    "unknown source": (lambda d: _stick(d)["stock"][0].update(source="found"), "source is 'found'"),
    "negative kerf": (lambda d: _stick(d).update(kerf=-1), "kerf must be a whole number"),
    "length in floats": (lambda d: _stick(d)["wanted"][0].update(length=1.5), "length must be a whole number"),
    "no repeat": (lambda d: _stick(d)["sticks"][0].update(repeat=0), "repeat must be a whole number from 1"),
    "a part too few": (lambda d: _stick(d)["wanted"][0].update(count=9), "wanted 9 times and cut 8 times"),
    "a part too many": (lambda d: _sheet(d)["sheets"][1].update(repeat=2), "K1.liner is wanted 1 times and cut 2"),
    "part not wanted": (lambda d: _rack_cuts(d)["first"]["first"].update(part="X"), "part X is cut but not wanted"),
    "part a hair larger than its leaf": (
        lambda d: _sheet(d)["wanted"][2].update(width=3 * IN + 1),
        "K1.cleat-low is 6096000 by 609601, and its leaf",
    ),
    "part a hair smaller than its leaf": (
        lambda d: _sheet(d)["wanted"][2].update(length=30 * IN - 1),
        "K1.cleat-low is 6095999 by 609600, and its leaf",
    ),
    "not turned": (lambda d: _rack_cuts(d)["first"]["first"].update(turned=False), "K1.liner is 609600 by 4064000"),
    "turned against the grain": (lambda d: _sheet(d)["wanted"][3].update(grain="length"), "against its grain"),
    "unknown grain": (lambda d: _sheet(d)["wanted"][3].update(grain="across"), "grain is 'across'"),
    "trim forgotten": (lambda d: _sheet(d)["stock"][1]["trim"].update(left=0), "waste of 50800 by"),
    "outside the sheet": (lambda d: _sheet(d)["stock"][1]["trim"].update(bottom=IN // 2), "where there is 558800"),
    "trim leaves nothing": (lambda d: _sheet(d)["stock"][1]["trim"].update(right=21 * IN), "trim leaves nothing"),
    "kerf forgotten": (lambda d: _sheet(d).update(kerf=0), "waste of"),
    "a wider kerf": (lambda d: _sheet(d).update(kerf=12 * IN), "an offcut has no area"),
    "a cut where a kerf remains": (
        lambda d: _rack_cuts(d).update(rest={"cut": "rip", "at": 1, "first": {"waste": True}, "rest": {"waste": True}}),
        "a cut where nothing remains",
    ),
    "cut of nothing": (lambda d: _cuts(d).update(at=0), "at must be a whole number from 1"),
    "cut past the edge": (lambda d: _cuts(d).update(at=97 * IN), "a cross at 19710400, where there is 19507200"),
    "unknown cut": (lambda d: _cuts(d).update(cut="slant"), "cut is 'slant'"),
    "an offcut where a kerf remains": (
        lambda d: _cuts(d)["rest"]["first"]["rest"].update(rest={"offcut": True}),
        "an offcut has no area",
    ),
    "a part where a kerf remains": (lambda d: _rack_cuts(d).update(rest=_part("K1.liner")), "and its leaf 0 by 0"),
    "waste where an offcut remains": (lambda d: _cuts(d)["first"].update(rest={"waste": True}), "more than a kerf"),
    "a leaf of two kinds": (
        lambda d: _cuts(d)["first"].update(rest={"waste": True, "offcut": True}),
        "a node is one of",
    ),
    "turned is text": (lambda d: _cuts(d)["first"]["first"].update(turned="no"), "turned is 'no'"),
    "stick too short by one": (lambda d: _stick(d)["stock"][0].update(length=96 * IN - KERF - 1), "parts and kerfs"),
    "stick without kerf": (lambda d: _stick(d)["wanted"][0].update(length=48 * IN), "parts and kerfs take"),
    "stick trimmed": (lambda d: _stick(d)["stock"][0].update(trim=KERF + 1), "parts and kerfs take"),
    "more than there are": (lambda d: _stick(d)["stock"][0].update(available=5), "6 are cut and 5 are there"),
    "prices out of order": (lambda d: _stick(d)["stock"][0]["prices"].reverse(), "prices must begin at 1"),
    "no price": (lambda d: _stick(d)["stock"][0].update(prices=[]), "prices must begin at 1"),
    "rack with a break": (
        lambda d: _sheet(d)["stock"][1]["prices"].append({"from": 2, "each": "1.00"}),
        "rack stock has one price",
    ),
    "price as a number": (lambda d: _stick(d)["stock"][0]["prices"][0].update(each=4.1), "each must be a decimal"),
    "price below the break": (lambda d: _stick(d)["sticks"].pop(), "what is bought costs 16.40"),
    "cost off by a cent": (lambda d: _sheet(d).update(cost="58.01"), "cost is 58.01, and what is bought costs 58.00"),
    "book value forgotten": (lambda d: _sheet(d).update(objective="58.00", bound="58.00"), "with book value is 59.50"),
    "bound above objective": (lambda d: _stick(d).update(bound="15.01"), "bound 15.01 is above objective"),
    "proven without bound": (lambda d: _stick(d).update(proven=True), "proven is True"),
    "bound without proven": (lambda d: _sheet(d).update(proven=False), "proven is False"),
    "crate named twice": (lambda d: d["crates"][2].update(crate="K2"), "crate K2 appears twice"),
    "rides in nothing": (lambda d: d["crates"][1].update(inside_of="K9"), "K9 is not an outer case"),
    "rides in a crate": (lambda d: d["crates"][1].update(inside_of="K1"), "K1 is not an outer case"),
    "a closed crate rides": (lambda d: d["crates"][1].update(method="closed"), "only a travel frame rides"),
    "weights do not add up": (lambda d: d["crates"][0].update(gross_kg=25.6), "net 11.3 and tare 14.2 are not"),
    "weights too fine": (lambda d: d["crates"][0].update(net_kg=11.35), "net_kg must be given to 0.1 kg"),
    "negative weight": (lambda d: d["crates"][0].update(net_kg=-1.0), "net_kg must be a weight"),
    "case net without its artworks": (
        lambda d: d["crates"][3].update(net_kg=20.0, gross_kg=75.1),
        "the artworks in it weigh 40.0",
    ),
    "case tare without its frames": (
        lambda d: d["crates"][3].update(tare_kg=18.0, gross_kg=58.0),
        "its frames alone weigh 19.0",
    ),
    "case carries other pieces": (lambda d: d["crates"][3].update(pieces=["A-02"]), "case K4: carries"),
    "frame longer than the case": (lambda d: d["crates"][1]["outside"].update(width=62 * IN), "does not go into"),
    "frames thicker than the case": (
        lambda d: [d["crates"][n]["outside"].update(depth=7 * IN) for n in (1, 2)],
        "take more room than there is",
    ),
    "inside larger than outside": (lambda d: d["crates"][0]["inside"].update(depth=6 * IN), "inside [6908800"),
    "piece packed twice": (lambda d: d["crates"][1].update(pieces=["A-01"]), "piece A-01 is packed twice"),
    "drill beside the back": (lambda d: d["crates"][0]["drill"][0].update(x=36 * IN), "is not on the back"),
    "drill below the back": (lambda d: d["crates"][0]["drill"][0].update(y=0), "is not on the back"),
    "drill into nothing": (lambda d: d["crates"][0]["drill"][0].update(into="K1.gone"), "which is no part"),
    "drill without a screw": (lambda d: d["crates"][0]["drill"][0].update(screw=""), "names no screw"),
    "one panel": (lambda d: _sheet(d)["wanted"][1].update(panel_of=None), "face K1.back has one panel"),
    "panels overlap": (lambda d: _sheet(d)["wanted"][1].update(seam=47 * IN), "do not make up a face"),
    "panels leave a gap": (lambda d: _sheet(d)["wanted"][0].update(seam=31 * IN), "do not make up a face"),
    "panels of unequal height": (lambda d: _sheet(d)["wanted"][0].update(width=35 * IN), "do not make up a face"),
    "a panel too many": (lambda d: _sheet(d)["wanted"][0].update(count=2), "do not make up a face"),
    "field missing": (lambda d: _sheet(d).pop("stock"), "KeyError: 'stock'"),
}


@pytest.mark.parametrize(("plant", "words"), PLANTED.values(), ids=PLANTED.keys())
def test_each_planted_fault_is_told(plant: Plant, words: str) -> None:
    build = document()
    plant(build)
    faults = verify_build(build)
    assert any(words in fault for fault in faults), faults


WRONG: list[object] = [None, 0.5, "", [None], {"a": 1}]


@pytest.mark.parametrize("value", WRONG, ids=["none", "fraction", "empty text", "list of none", "table"])
@pytest.mark.parametrize("key", list(document()))
def test_a_document_of_the_wrong_shape_is_a_fault_and_no_traceback(key: str, value: object) -> None:
    assert verify_build(document() | {key: value})


# The schema refuses shapes; sums and sizes are the verifier's.
MISSHAPEN: dict[str, Plant] = {
    "another format": lambda d: d.update(format="casewright-build/3"),
    "money as a number": lambda d: _sheet(d).update(cost=58.0),
    "negative money": lambda d: _sheet(d).update(cost="-58.00"),
    "length as a float": lambda d: _stick(d)["wanted"][0].update(length=1.5),
    "length of nothing": lambda d: _stick(d)["wanted"][0].update(length=0),
    "unknown grain": lambda d: _sheet(d)["wanted"][0].update(grain="across"),
    "unknown source": lambda d: _stick(d)["stock"][0].update(source="found"),
    "rack with a break": lambda d: _sheet(d)["stock"][1]["prices"].append({"from": 2, "each": "1.00"}),
    "sheet stock without trim": lambda d: _sheet(d)["stock"][0].pop("trim"),
    "available missing": lambda d: _stick(d)["stock"][0].pop("available"),
    "repeat of nothing": lambda d: _stick(d)["sticks"][0].update(repeat=0),
    "a leaf of two kinds": lambda d: _cuts(d)["first"].update(rest={"waste": True, "offcut": True}),
    "a leaf of no kind": lambda d: _cuts(d)["first"].update(rest={}),
    "a cut without a rest": lambda d: _cuts(d)["first"].pop("rest"),
    "a crate without drill points": lambda d: d["crates"][0].pop("drill"),
    "a size without depth": lambda d: d["crates"][0]["outside"].pop("depth"),
    "proven as text": lambda d: _sheet(d).update(proven="yes"),
}


@pytest.mark.parametrize("plant", MISSHAPEN.values(), ids=MISSHAPEN.keys())
def test_the_schema_refuses_what_is_misshapen(plant: Plant) -> None:
    build = document()
    plant(build)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(build, schema(), cls=jsonschema.Draft202012Validator)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


def test_the_verifier_imports_nothing_of_the_product() -> None:
    source = (files("tests") / "build_verifier.py").read_text("utf-8")
    imports = [line for line in source.splitlines() if line.startswith(("import ", "from "))]
    assert imports
    assert not [line for line in imports if "nesting" in line or "pricing" in line]
