"""Faults planted in a real build: what the verifier of places, screws and weights says of each, and what it cannot."""

import copy
import json
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from nesting.base.search import Search
from pricing.output.handover import build_document
from pricing.quoting.work import work
from pricing.studio.office import read_office
from tests.build_verifier import verify_build
from tests.generated_orders import ON, consignment
from tests.planted_joints import JOINED, JOINED_UNTOLD

IN = 203_200
Document = dict[str, Any]
Plant = Callable[[Document], object]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Document:
    """Return a build with a battened crate, a closed one, travel frames in their case, and a carton: plain values."""
    from nesting.intake import read_order

    folder = tmp_path_factory.mktemp("order")
    order = read_order(consignment(6).write(folder))
    quote = work(order, read_office(None, folder), on=ON, search=Search(effort="quick"))
    document: Document = json.loads(json.dumps(build_document(quote.build, quote.currency)))
    return document


def _crate(build: Document, method: str) -> dict[str, Any]:
    return next(each for each in build["crates"] if each["method"] == method and each["standing"] == "good")


def _of(crate: dict[str, Any], *roles: str) -> dict[str, Any]:
    return next(each for each in crate["placed"] if each["role"] in roles)


def _wanted(build: Document, name: str) -> dict[str, Any]:
    goods = (*build["sheet_goods"], *build["stick_goods"])
    return next(part for good in goods for part in good["wanted"] if part["part"] == name)


def _shift(placed: dict[str, Any], axis: str, by: int) -> None:
    placed["box"][axis] += by


def _without(build: Document, name: str) -> None:
    """Take a part out of the list and off its sheets and sticks, as if nobody had asked for it."""

    def cleared(node: dict[str, Any]) -> dict[str, Any]:
        if "cut" in node:
            return {**node, "first": cleared(node["first"]), "rest": cleared(node["rest"])}
        return {"offcut": True, "keep": False} if node.get("part") == name else node

    for good in build["sheet_goods"]:
        good["wanted"] = [part for part in good["wanted"] if part["part"] != name]
        for sheet in good["sheets"]:
            sheet["cuts"] = cleared(sheet["cuts"])
    for good in build["stick_goods"]:
        good["wanted"] = [part for part in good["wanted"] if part["part"] != name]
        for stick in good["sticks"]:
            stick["parts"] = [part for part in stick["parts"] if part != name]


def _forget(build: Document, method: str, *roles: str) -> None:
    """Take a part out of every list of its crate too: only places and weights can tell."""
    crate = _crate(build, method)
    name = _of(crate, *roles)["part"]
    _without(build, name)
    crate["parts"] = [part for part in crate["parts"] if part["part"] != name]
    crate["placed"] = [each for each in crate["placed"] if each["part"] != name]


def _part(crate: dict[str, Any], *roles: str) -> dict[str, Any]:
    name = _of(crate, *roles)["part"]
    return next(part for part in crate["parts"] if part["part"] == name)


def _shorter(build: Document) -> None:
    """Make a stick an inch short, in the crate's list and in what is cut alike."""
    part = _part(_crate(build, "outer"), "case lumber")
    part["length"] -= IN
    _wanted(build, part["part"])["length"] -= IN


def _no_stick_good(build: Document) -> None:
    gone = build["stick_goods"].pop()
    for crate in build["crates"]:
        crate["parts"] = [part for part in crate["parts"] if part["good"] != gone["good"]]


def _ungrained(build: Document) -> None:
    good = next(g for g in build["sheet_goods"] for part in g["wanted"] if part["grain"] == "length")
    next(part for part in good["wanted"] if part["grain"] == "length")["grain"] = "any"


def _drill(build: Document) -> dict[str, Any]:
    point: dict[str, Any] = _crate(build, "closed")["drill"][0]
    return point


def _light(build: Document) -> None:
    crate = _crate(build, "closed")
    half = round(crate["tare_kg"] / 2, 1)
    crate.update(tare_kg=half, tare_g=round(1000 * half), gross_kg=round(crate["net_kg"] + half, 1))


def _exchange(build: Document) -> None:
    one, other = _crate(build, "closed"), _crate(build, "battened")
    one["pieces"], other["pieces"] = other["pieces"], one["pieces"]
    first, second = one["pieces_placed"][0], other["pieces_placed"][0]
    first["piece"], second["piece"] = second["piece"], first["piece"]


# What is planted, and words that the fault must say.
PLANTED: dict[str, tuple[Plant, str]] = {
    "a part gone from list and sheet": (
        lambda d: _without(d, _of(_crate(d, "closed"), "lid")["part"]),
        "and there are {}",
    ),
    "a back gone from everywhere": (lambda d: _forget(d, "battened", "back"), "nothing closes it behind"),
    "a rail gone from everywhere": (lambda d: _forget(d, "closed", "rail"), "g, and what it is made of weighs"),
    "foam gone from everywhere": (lambda d: _forget(d, "outer", "cushion"), "g, and what it is made of weighs"),
    "a stick good gone": (_no_stick_good, "is placed and not listed"),
    "a stick an inch short": (_shorter, "is cut ["),
    "tare halved": (_light, "g, and what it is made of weighs"),
    "net of another piece": (
        lambda d: d["artworks"][0].update(grams=d["artworks"][0]["grams"] + 1000),
        "g, and its artworks weigh",
    ),
    "a drill point moved along its cleat": (
        lambda d: _drill(d).update(x=_drill(d)["x"] + IN),
        "is not where it is said",
    ),
    "a drill point moved off its cleat": (lambda d: _drill(d).update(y=_drill(d)["y"] + 4 * IN), "misses"),
    "a drill point at the edge": (
        lambda d: _drill(d).update(y=_drill(d)["y"] - _drill(d)["on"]["y"], on={"x": _drill(d)["on"]["x"], "y": 0}),
        "is 0 from an edge",
    ),
    "a 6 in screw": (lambda d: _drill(d).update(screw="#10 x 6"), "its screw ends at"),
    "a screw that ends in the back": (lambda d: _drill(d).update(screw="#10 x 1/4"), "its screw ends at"),
    "a 6 in screw into the piece": (
        lambda d: _crate(d, "closed")["piece_screws"][0].update(screw="#10 x 6"),
        "and the piece's face is at",
    ),
    "no wood left before the face": (
        lambda d: _crate(d, "closed")["piece_screws"][0].update(margin=0),
        "and the piece's face is at",
    ),
    "a screw into another piece": (
        lambda d: _crate(d, "closed")["piece_screws"][0].update(into="nobody"),
        "goes through nothing into nothing",
    ),
    "grain dropped": (_ungrained, "crates list"),
    "a part of another good": (
        lambda d: _part(_crate(d, "closed"), "lid").update(good=_part(_crate(d, "outer"), "case face")["good"]),
        "crates list",
    ),
    "a part too many": (lambda d: _part(_crate(d, "closed"), "lid").update(count=2), "is listed 2 times and placed 1"),
    "a part listed twice": (
        lambda d: _crate(d, "closed")["parts"].append(_part(_crate(d, "closed"), "lid")),
        "is listed twice",
    ),
    "a lid moved aside": (lambda d: _shift(_of(_crate(d, "closed"), "lid"), "x", IN), "nothing closes it before"),
    "a rail moved into the piece": (
        lambda d: _of(_crate(d, "closed"), "rail")["box"].update(_inside(_crate(d, "closed"))),
        "lie in the same place",
    ),
    "a piece larger than it is": (
        lambda d: _crate(d, "closed")["pieces_placed"][0]["box"].update(dz=IN // 4),
        "has not the size of the artwork",
    ),
    "a piece without a place": (lambda d: _crate(d, "closed")["pieces_placed"].clear(), "have a place in it"),
    "a piece that is in no crate": (
        lambda d: d["artworks"].append({**d["artworks"][0], "piece": "X-99"}),
        "X-99 has a size and is in no crate",
    ),
    "a piece without a size": (lambda d: d["artworks"].pop(0), "has no size"),
    "a frame turned in its case": (
        lambda d: _crate(d, "outer")["rides"][0]["box"].update(dx=IN),
        "has not its size in the case",
    ),
    "a frame in another's place": (lambda d: _doubled(_crate(d, "outer")), "two frames lie in the same place"),
    "a good of which nothing is said": (lambda d: d["goods"].pop(), "nothing is said of"),
    "a good said twice": (lambda d: d["goods"].append(d["goods"][0]), "is listed twice"),
    "a heavier good": (
        lambda d: next(g for g in d["goods"] if g["form"] == "sheet").update(kg_m3=2000.0),
        "g, and what it is made of weighs",
    ),
    "screws bought by half": (
        lambda d: _fewer(_crate(d, "closed")),
        "join its parts, and",
    ),
    "outside an inch less": (
        lambda d: _crate(d, "battened")["outside"].update(depth=_crate(d, "battened")["outside"]["depth"] - IN),
        "and what is placed in it reaches over",
    ),
    "a cut before any bevel too narrow": (
        lambda d: next(e for c in d["crates"] for e in c["placed"] if e.get("profile"))["profile"][0].__setitem__(
            0, -IN
        ),
        "is bevelled beyond",
    ),
    "kilograms of another weight": (
        lambda d: _crate(d, "closed").update(net_kg=_crate(d, "closed")["net_kg"] + 1),
        "kg and",
    ),
    "a frame gone from its case": (
        lambda d: _crate(d, "outer")["rides"].pop(),
        "g, and what it is made of weighs",
    ),
    "a frame that has grown": (
        lambda d: _grown(_crate(d, "travel"), "height"),
        "has not its size in the case",
    ),
    "a frame an inch aside in its foam": (
        lambda d: _crate(d, "outer")["rides"][0]["box"].update(x=_crate(d, "outer")["rides"][0]["box"]["x"] + IN),
        "and frame K5 lie in the same place",
    ),
    "a lid lifted off": (
        lambda d: _shift(_of(_crate(d, "closed"), "lid"), "z", IN),
        "and what is placed in it reaches over",
    ),
    "a lid of another name in its place": (
        lambda d: _of(_crate(d, "closed"), "lid").update(part="K99.lid"),
        "K99.lid is placed and not listed",
    ),
    "a part wanted an inch wider": (lambda d: _wider(d, _part(_crate(d, "closed"), "lid")["part"]), "and its leaf"),
    "a stick of another section": (
        lambda d: next(g for g in d["goods"] if g["form"] == "stick").update(breadth=3 * IN),
        "is cut [",
    ),
    "a kerf of nothing": (lambda d: d["sheet_goods"][0].update(kerf=0), "and its leaf"),
    "more on a stick than it holds": (
        lambda d: d["stick_goods"][0]["sticks"][0]["parts"].append(d["stick_goods"][0]["sticks"][0]["parts"][0]),
        "parts and kerfs take",
    ),
    "a cost below what is bought": (lambda d: d["sheet_goods"][0].update(cost="1.00"), "cost is 1.00, and"),
    "a bound above what was found": (
        lambda d: d["sheet_goods"][0].update(bound="99999.00"),
        "is above objective",
    ),
    "a piece turned in its crate": (
        lambda d: _turned(_crate(d, "closed")["pieces_placed"][0]["box"]),
        "and piece W-13 lie in the same place",
    ),
    "two pieces in each other's crate": (_exchange, "has not the size of the artwork"),
}
"""With the two of ``UNTOLD`` they are 50."""


def _inside(crate: dict[str, Any]) -> dict[str, int]:
    """Return where a crate's piece lies."""
    box = crate["pieces_placed"][0]["box"]
    return {axis: box[axis] for axis in ("x", "y", "z")}


def _grown(crate: dict[str, Any], side: str) -> None:
    crate["outside"][side] += IN


def _wider(build: Document, name: str) -> None:
    _wanted(build, name)["width"] += IN


def _turned(box: dict[str, int]) -> None:
    box["dx"], box["dy"] = box["dy"], box["dx"]


def _doubled(case: dict[str, Any]) -> None:
    case["rides"].append(copy.deepcopy(case["rides"][0]))


def _fewer(crate: dict[str, Any]) -> None:
    good = crate["fixings"][0]["good"]
    next(each for each in crate["piecework"] if each["good"] == good)["count"] //= 2


def test_a_real_build_has_no_fault(sound: Document) -> None:
    assert verify_build(sound) == []
    assert {"battened", "carton", "closed", "outer", "travel"} <= {crate["method"] for crate in sound["crates"]}
    shipped = json.loads(files("nesting").joinpath("build.schema.json").read_text("utf-8"))
    jsonschema.validate(sound, shipped, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize(("plant", "words"), (PLANTED | JOINED).values(), ids=(PLANTED | JOINED).keys())
def test_each_planted_fault_is_told(sound: Document, plant: Plant, words: str) -> None:
    build = copy.deepcopy(sound)
    plant(build)
    faults = verify_build(build)
    assert any(words in fault for fault in faults), faults[:20]


def test_a_build_without_places_is_read_as_before(sound: Document) -> None:
    """Documents of earlier versions say nothing of places: what they say is proved, and no more is asked of them."""
    build = copy.deepcopy(sound)
    del build["artworks"], build["goods"]
    for crate in build["crates"]:
        for key in ("body", "parts", "placed", "pieces_placed", "rides", "piecework", "fixings", "piece_screws"):
            del crate[key]
    assert verify_build(build) == []


def _swapped(crate: dict[str, Any]) -> None:
    name = next(
        p["part"] for p in crate["parts"] if p["count"] > 1 and any(e["part"] == p["part"] for e in crate["placed"])
    )
    one, other = [each for each in crate["placed"] if each["part"] == name][:2]
    one["box"], other["box"] = other["box"], one["box"]


def _renamed(build: Document) -> None:
    crate = _crate(build, "closed")
    old = crate["pieces"][0]
    crate["pieces"] = ["X-99"]
    for each in (*crate["pieces_placed"], *build["artworks"]):
        each["piece"] = "X-99" if each["piece"] == old else each["piece"]
    for point in crate["piece_screws"]:
        point["into"] = "X-99"


UNTOLD: dict[str, Plant] = {
    # Every copy of a part is like every other, so two that change places are the same build.
    "alike parts in each other's place": lambda d: _swapped(_crate(d, "closed")),
    # What the whole document says consistently of another artwork is another order, and only the order can tell.
    "another artwork throughout": _renamed,
}


def test_there_are_fifty() -> None:
    assert len(PLANTED) + len(UNTOLD) == 50


@pytest.mark.parametrize("plant", (UNTOLD | JOINED_UNTOLD).values(), ids=(UNTOLD | JOINED_UNTOLD).keys())
def test_what_cannot_be_told_is_no_fault_of_the_build(sound: Document, plant: Plant) -> None:
    build = copy.deepcopy(sound)
    plant(build)
    assert build != sound
    assert verify_build(build) == []


@pytest.mark.parametrize("verifier", ["placed_verifier.py", "joined_verifier.py"])
def test_the_verifier_of_places_imports_nothing_of_the_product(verifier: str) -> None:
    source = (files("tests") / verifier).read_text("utf-8")
    imports = [line for line in source.splitlines() if line.startswith(("import ", "from "))]
    assert imports
    assert not [line for line in imports if "nesting" in line or "pricing" in line]
