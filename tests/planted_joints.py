"""Faults to plant in a build's joints, gear and room: each changes the document in one place, and must be told.

With them stand those that nothing in the document can tell, each with the reason.
"""

from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any, Final

Document = dict[str, Any]
Plant = Callable[[Document], object]
_IN: Final = 203_200


def _with(build: Document, key: str) -> dict[str, Any]:
    return next(each for each in build["crates"] if each.get(key) and each["standing"] == "good")


def _of(build: Document, method: str) -> dict[str, Any]:
    return next(each for each in build["crates"] if each["method"] == method and each["standing"] == "good")


def _first(build: Document, key: str) -> dict[str, Any]:
    first: dict[str, Any] = _with(build, key)[key][0]
    return first


def _bored(build: Document) -> dict[str, Any]:
    return next(point for crate in build["crates"] for point in crate["drill"] if point["stop"])


def _handled(build: Document) -> tuple[dict[str, Any], dict[str, Any]]:
    return next((c, g) for c in build["crates"] for g in c["gear"] if g["role"] == "handle")


def _again(build: Document, key: str) -> None:
    crate = _with(build, key)
    crate[key].append(deepcopy(crate[key][0]))


def _other_gauge(point: dict[str, Any]) -> None:
    point["screw"] = f"#4 {point['screw'].partition(' ')[2]}"


def _upon_another(build: Document) -> None:
    one, other = _with(build, "drill")["drill"][:2]
    one.update(x=other["x"], y=other["y"], on=dict(other["on"]), into=other["into"])


def _slid(build: Document, method: str, key: str, **by: int) -> None:
    """Move something within its slack: nothing meets, and all that closes round it closes still."""
    box = _of(build, method)[key][0]["box"]
    for axis, far in by.items():
        box[axis] += far


def _seamless(build: Document) -> None:
    panels = [part for good in build["sheet_goods"] for part in good["wanted"] if part.get("panel_of")]
    assert panels
    for part in panels:
        del part["panel_of"], part["seam"]


def _askew(build: Document) -> None:
    crate = _of(build, "closed")
    layer = next(each for each in crate["placed"] if each["part"].endswith("-layer"))
    layer["box"]["x"] += _IN // 4


def _roles(build: Document) -> None:
    next(each for each in _of(build, "closed")["placed"] if each["role"] == "lid")["role"] = "back"


def _gone(build: Document, key: str, role: str) -> None:
    crate = next(c for c in build["crates"] if any(each["role"] == role for each in c[key]))
    crate[key].remove(next(each for each in crate[key] if each["role"] == role))


def _off_its_wall(build: Document) -> None:
    bolt = _first(build, "bolts")
    axis = next(axis for axis, way in zip("xyz", bolt["way"], strict=True) if way)
    bolt[axis] -= 3 * _IN * sum(bolt["way"])


# What is planted, and words that the fault must say.
JOINED: Final[Mapping[str, tuple[Plant, str]]] = {
    "a drill point gone": (lambda d: _with(d, "drill")["drill"].pop(), "of its drill have a place"),
    "all drill points gone": (lambda d: _with(d, "drill")["drill"].clear(), "0 of its drill have a place"),
    "a drill point twice": (lambda d: _again(d, "drill"), "are on top of each other"),
    "a drill point upon another": (_upon_another, "are on top of each other"),
    "a mounting screw of another gauge": (lambda d: _other_gauge(_first(d, "drill")), "and joints take []"),
    "a stop three inches deeper": (lambda d: _bored(d).update(stop=_bored(d)["stop"] + 3 * _IN), "its drill goes"),
    "a stop within the back": (lambda d: _bored(d).update(stop=_IN // 16), "its drill goes"),
    "a pilot as wide as the clearance": (lambda d: _bored(d).update(pilot=_bored(d)["clearance"] - 1), "bores of"),
    "a clearance as narrow as the pilot": (lambda d: _bored(d).update(clearance=_bored(d)["pilot"] + 1), "bores of"),
    "no clearance": (lambda d: _bored(d).update(clearance=0), "bores of [0"),
    "a screw into the piece gone": (
        lambda d: _with(d, "piece_screws")["piece_screws"].pop(), "of its piece_screws have a place",
    ),
    "all screws into the piece gone": (
        lambda d: _with(d, "piece_screws")["piece_screws"].clear(), "0 of its piece_screws have a place",
    ),
    "a screw into the piece twice": (lambda d: _again(d, "piece_screws"), "are on top of each other"),
    "a screw into the piece of another gauge": (
        lambda d: _other_gauge(_first(d, "piece_screws")), "and joints take []",
    ),
    "a screw into the piece aside": (
        lambda d: _first(d, "piece_screws").update(x=_first(d, "piece_screws")["x"] + _IN // 4),
        "is not where it is said to be on its piece",
    ),
    "a piece slid along its cleats": (
        lambda d: _slid(d, "closed", "pieces_placed", x=_IN // 4), "is not where it is said to be on its piece",
    ),
    "a piece slid up in its frame": (
        lambda d: _slid(d, "travel", "pieces_placed", y=_IN // 4), "is not where it is said to be on its piece",
    ),
    "all fixings gone": (lambda d: _of(d, "closed")["fixings"].clear(), "are used up, and 0 join something"),
    "a bolt gone": (lambda d: _with(d, "bolts")["bolts"].pop(), "bolts of"),
    "all bolts gone": (lambda d: _with(d, "bolts")["bolts"].clear(), "join something, and none has a place"),
    "a bolt moved along its wall": (
        lambda d: _first(d, "bolts").update(z=_first(d, "bolts")["z"] + 40 * _IN), "misses",
    ),
    "a bolt far off its wall": (_off_its_wall, "begins far from"),
    "a bolt that goes the other way": (
        lambda d: _first(d, "bolts").update(way=[-each for each in _first(d, "bolts")["way"]]), "begins far from",
    ),
    "a hole narrower than its bolt": (lambda d: _first(d, "bolts").update(hole=_IN // 16), "a hole of 12700 for"),
    "a hole far wider": (lambda d: _first(d, "bolts").update(hole=_IN), "a hole of 203200 for"),
    "a screw for a bolt": (lambda d: _first(d, "bolts").update(good="screw 10x1"), "bolts of screw 10x1 have a place"),
    "a bolt through nobody": (
        lambda d: _first(d, "bolts").update(through=[f"{_with(d, 'bolts')['crate']}.nobody"]), "misses",
    ),
    "a nut that nobody bought": (lambda d: _first(d, "bolts").update(nut="a nut"), "bolts take 1 of a nut, and 0"),
    "a handle gone": (lambda d: _gone(d, "gear", "handle"), "have a place, and"),
    "a handle three inches up": (
        lambda d: _handled(d)[1]["box"].update(y=_handled(d)[1]["box"]["y"] + 3 * _IN), "is not bolted",
    ),
    "a handle off its wall": (
        lambda d: _handled(d)[1]["box"].update(y=-900 * _IN), "lies against nothing",
    ),
    "less room than there is": (
        lambda d: _of(d, "closed")["inside"].update(depth=_of(d, "closed")["inside"]["depth"] - _IN // 8),
        "its room is",
    ),
    "more room than there is": (
        lambda d: _of(d, "battened")["inside"].update(width=_of(d, "battened")["inside"]["width"] + _IN // 4),
        "its room is",
    ),
    "a shallower body": (
        lambda d: _of(d, "closed")["body"].update(depth=_of(d, "closed")["body"]["depth"] - _IN), "its body is",
    ),
    "a larger carton": (
        lambda d: _of(d, "carton")["outside"].update(width=_of(d, "carton")["outside"]["width"] + _IN),
        "its walls are no walls of",
    ),
    "a carton of another room": (
        lambda d: _of(d, "carton")["inside"].update(width=_of(d, "carton")["inside"]["width"] + _IN // 8),
        "its room is",
    ),
    "no carton bought": (
        lambda d: _of(d, "carton").update(
            piecework=[each for each in _of(d, "carton")["piecework"] if "carton" not in each["good"]]
        ),
        "0 cartons are bought for it",
    ),
    "a piece through its carton": (
        lambda d: _slid(d, "carton", "pieces_placed", x=30 * _IN), "reaches into its wall",
    ),
    "a piece of two sizes": (lambda d: d["artworks"].insert(0, {**d["artworks"][0], "grams": 1}), "has two sizes"),
    "a piece packed and not": (
        lambda d: d.update(unpacked=[{"piece": d["artworks"][0]["piece"], "why": ["too long"], "accepted": ""}]),
        "is in a crate, and in none",
    ),
    "a carton of which no places are said": (lambda d: _of(d, "carton").pop("placed"), "others say their placed"),
    "a frame that rides in no case": (
        lambda d: _of(d, "travel").update(inside_of=None), "rides in it, and says that it rides in None",
    ),
    "a frame moved in its case, its piece not": (
        lambda d: _slid(d, "outer", "rides", z=_IN // 4), "does not lie in frame",
    ),
    "a piece moved in its case, its frame not": (
        lambda d: _slid(d, "outer", "pieces_placed", x=_IN), "does not lie in frame",
    ),
    "layers of a cleat askew": (_askew, "lie on each other askew"),
    "a lid that is called a back": (_roles, "is a back, and lies before a piece"),
    "panels that do not say their face": (_seamless, "not each says which face it is of"),
}  # fmt: skip


def _drilled_aside(build: Document) -> None:
    point = _first(build, "drill")
    point["x"] -= _IN // 8
    point["on"]["x"] += _IN // 8


def _ungrained(build: Document) -> None:
    part = next(part for part in _of(build, "closed")["parts"] if part.get("grain") == "length")
    goods = (*build["sheet_goods"], *build["stick_goods"])
    for each in (part, *(w for good in goods for w in good["wanted"] if w["part"] == part["part"])):
        each["grain"] = "any"


def _another_stand(build: Document) -> None:
    crate = next(each for each in build["crates"] if each["stands"])
    crate["stands"] = next(each for each in ("pallet", "A-frame") if each != crate["stands"])


JOINED_UNTOLD: Final[Mapping[str, Plant]] = {
    # A screw a little aside in the same wood, which its list and its place on the wood say alike, holds as well.
    "a screw drilled aside, and said so": _drilled_aside,
    # What is at least left before the face: of less, it is as true.
    "a smaller margin": lambda d: _first(d, "piece_screws").update(margin=1),
    # The grain of a part is a choice of the shop's; the crate's list and the cutting list agree on it.
    "grain dropped in every list": _ungrained,
    # Nothing drawn in the crate differs between what stands on a pallet and what leans on an A-frame.
    "another stand": _another_stand,
    # Wrapping has no place, so that a piece may lie anywhere within it.
    "a piece moved in its paper": lambda d: _slid(d, "carton", "pieces_placed", z=1),
}
"""What no reader of the document alone can tell, each with why."""
