"""What a ``build.json`` says of joints, gear and room, proved by itself, sharing no code with the product.

:func:`joined_faults` takes the parsed document. What is screwed or bolted is as many as are used up, with the bores
that its screws need; bolts go through the wood that they name; handles lie against wood and are bolted to it; the room
that a crate states is there between its parts; a frame's piece lies in its case as it lies in its frame; and nobody is
listed twice. Whole numbers of 1/8 micrometre.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from typing import Any, Final

Node = Mapping[str, Any]
Box = Mapping[str, int]

_INCH: Final = 203_200
_AXES: Final = ("x", "y", "z")
_SIDES: Final = {"x": "width", "y": "height", "z": "depth"}
_APART: Final = 4
"""Least distance of screws in the same wood, in their diameters: NDS, table 12.5.1B, spacing in a row of 4D."""
_LYING: Final = ("placed", "pieces_placed", "rides", "parts", "piecework", "fixings", "piece_screws", "body")
_ABOUT: Final = Fraction(1, 32) * _INCH
_GAUGE: Final = Fraction(13, 2000) * _INCH
"""A screw of millimetres is written as the next one of inches: by sixteenths, and by gauges of 0.013 in."""
_WHOLE: Final = ("handle", "gel")
"""Gear of which each has its place; straps may lie round a crate without one."""
_NEAR: Final = _INCH // 2
"""Farthest that a bolt's head is from the wood: a washer, or a handle's foot; common practice, no source."""
_DEEP: Final = Fraction(1, 8) * _INCH
"""Least that a drill goes into the wood that is to hold; common practice, no source."""


def joined_faults(document: Node) -> list[str]:
    """Return every fault; nothing for a document whose crates do not say what lies where, as those of before."""
    crates = [crate for crate in document["crates"] if "placed" in crate]
    if not crates:
        return []
    faults = []
    for crate in document["crates"]:
        lost = [key for key in _LYING if key not in crate]
        faults += [f"crate {crate['crate']}: others say their {key}, and it does not" for key in lost]
    works = [work["piece"] for work in document.get("artworks", ())]
    faults += [f"piece {piece} has two sizes" for piece, count in Counter(works).items() if count > 1]
    packed = {piece for crate in crates for piece in crate["pieces"]}
    faults += [
        f"piece {each['piece']} is in a crate, and in none"
        for each in document.get("unpacked", ())
        if each["piece"] in packed
    ]
    if faults:
        return faults
    goods = {good["good"]: good for good in document.get("goods", ())}
    named = {crate["crate"]: crate for crate in crates}
    seamed = {
        part["part"] for good in document["sheet_goods"] for part in good["wanted"] if part.get("panel_of") is not None
    } | {part["part"] for part in document.get("given", {}).get("used", ()) if part.get("panel_of") is not None}
    for crate in crates:
        faults += [f"crate {crate['crate']}: {fault}" for fault in _Joined(crate, goods, named, seamed).faults()]
    return faults


def _span(box: Box, axis: str) -> tuple[int, int]:
    return box[axis], box[axis] + box[f"d{axis}"]


def _over(one: Box, other: Box, axes: Iterable[str]) -> bool:
    """Whether two boxes lie over each other, looked at so that these axes are seen."""
    return all(_span(one, a)[0] < _span(other, a)[1] and _span(other, a)[0] < _span(one, a)[1] for a in axes)


def _others(axis: str) -> list[str]:
    return [each for each in _AXES if each != axis]


def _at(box: Box, point: Mapping[str, int], axes: Iterable[str]) -> bool:
    return all(_span(box, a)[0] <= point[a] <= _span(box, a)[1] for a in axes)


def _screw(text: str) -> tuple[Fraction, Fraction]:
    """Read ``#10 x 1-1/4``: diameter (ASME B18.6.1: 0.060 + 0.013 n in) and length."""
    number, _, length = text.removeprefix("#").partition(" x ")
    whole = sum(Fraction(each) for each in length.replace("-", " ").split())
    return (Fraction(60, 1000) + Fraction(13, 1000) * int(number)) * _INCH, Fraction(whole) * _INCH


class _Joined:
    """One crate with what it refers to."""

    def __init__(self, crate: Node, goods: Mapping[str, Node], named: Mapping[str, Node], seamed: set[str]) -> None:
        self.crate, self.goods, self.named, self.seamed = crate, goods, named, seamed
        self.geared = {each["good"] for other in named.values() for each in other["gear"] if each["role"] in _WHOLE}
        self.placed: Sequence[Node] = crate["placed"]
        self.used = {each["good"]: each["count"] for each in crate["piecework"]}
        self.joining: Counter[str] = Counter()
        for each in crate["fixings"]:
            self.joining[each["good"]] += each["count"]

    def faults(self) -> Iterator[str]:
        """Yield what is wrong with it."""
        if {*self.used, *self.joining} - self.goods.keys():
            return  # told with the places: nothing is said of a good
        yield from (f"{name} is used up in two places of the list" for name in self._doubled("piecework", "good"))
        yield from self._used_up()
        yield from self._driven("drill")
        yield from self._driven("piece_screws")
        yield from self._bores()
        yield from self._held_boards()
        yield from self._bolts()
        yield from self._gear()
        yield from self._room()
        yield from self._faces()
        yield from self._riding()
        yield from self._carton()

    def _doubled(self, key: str, of: str) -> list[str]:
        return [name for name, count in Counter(each[of] for each in self.crate[key]).items() if count > 1]

    def _used_up(self) -> Iterator[str]:
        """Whatever has a shank joins something, or is the nut or washer of a bolt."""
        beside: Counter[str] = Counter()
        for bolt in self.crate["bolts"]:
            beside.update(name for name in (bolt["nut"], bolt["washer"]) if name)
        for name, count in self.used.items():
            if self.goods[name]["diameter"] and count not in (self.joining[name], beside[name]):
                yield f"{count} of {name} are used up, and {self.joining[name] or beside[name]} join something"
        for name, count in beside.items():
            if self.used.get(name) != count:
                yield f"bolts take {count} of {name}, and {self.used.get(name, 0)} are used up"
        for name, count in Counter(bolt["good"] for bolt in self.crate["bolts"]).items():
            if self.joining[name] != count:
                yield f"{count} bolts of {name} have a place, and {self.joining[name]} join something"
        bolts = {bolt["good"] for bolt in self.crate["bolts"]}
        for name in self.joining:
            if "bolt" in name and name not in bolts:
                yield f"bolts of {name} join something, and none has a place"

    def _driven(self, key: str) -> Iterator[str]:
        """Screws with a place are bought by their size, as many as one joint takes, and not one upon another."""
        points: Sequence[Node] = self.crate[key]
        for text, count in Counter(point["screw"] for point in points).items():
            diameter, length = _screw(text)
            fits = [
                each["count"]
                for each in self.crate["fixings"]
                if abs(self.goods[each["good"]]["breadth"] - length) <= _ABOUT
                and abs(self.goods[each["good"]]["diameter"] - diameter) <= _GAUGE
            ]
            if count > sum(fits):
                yield f"{count} screws {text} have a place, and joints take {fits}"
        taken = [
            each["count"] for each in self.crate["fixings"] if any(word in each["purpose"] for word in _WORDS[key])
        ]
        if len(points) != sum(taken):
            yield f"{len(points)} of its {key} have a place, and joints take {taken}"
        for one, other in combinations(points, 2):
            least = _APART * _screw(one["screw"])[0]
            if one["into"] == other["into"] and max(abs(one[a] - other[a]) for a in ("x", "y")) < least:
                yield f"two screws into {one['into']} at {one['x']}, {one['y']} are on top of each other"

    def _bores(self) -> Iterator[str]:
        """Clearance wider than the screw, pilot narrower, and the drill into the wood and not through it."""
        wide = self.crate["body"]["width"]
        for point in self.crate["drill"]:
            bores = [point[key] for key in ("clearance", "pilot", "stop")]
            if not any(bores):
                continue
            where = f"drill point {point['x']}, {point['y']}"
            diameter, _ = _screw(point["screw"])
            if not 0 < point["pilot"] < diameter < point["clearance"] < 2 * diameter:
                yield f"{where}: bores of {bores[:2]} for a screw of {float(diameter):.0f}"
            here = {"x": wide - point["x"], "y": point["y"]}
            wood = [e["box"] for e in self.placed if e["part"] == point["into"] and _at(e["box"], here, ("x", "y"))]
            through = [e["box"] for e in self.placed if _at(e["box"], here, ("x", "y"))]
            if not wood:
                continue  # told with the places
            outside, near, far = min(box["z"] for box in through), wood[0]["z"], _span(wood[0], "z")[1]
            if not near + _DEEP <= outside + point["stop"] < far:
                deep = f"{near - outside} to {far - outside}"
                yield f"{where}: its drill goes {point['stop']} deep, and the wood lies {deep}"

    def _held_boards(self) -> Iterator[str]:
        """Yield screws into a piece that are not where they are said to be on it, and layers of a cleat askew."""
        wide = self.crate["body"]["width"]
        pieces = {each["piece"]: each["box"] for each in self.crate["pieces_placed"]}
        for point in self.crate["piece_screws"]:
            where = f"screw into {point['into']} at {point['x']}, {point['y']}"
            piece, here = pieces.get(point["into"]), {"x": wide - point["x"], "y": point["y"]}
            if piece is None:
                continue  # told with the places
            if "on" in point and point["on"] != {axis: here[axis] - piece[axis] for axis in ("x", "y")}:
                yield f"{where} is not where it is said to be on its piece"
        for one, other in combinations([each for each in self.placed if each["role"] == "cleat"], 2):
            first, second = one["box"], other["box"]
            layers = _over(first, second, ("x", "y")) and first["z"] != second["z"]
            if layers and any(first[key] != second[key] for key in ("x", "y", "dx", "dy")):
                yield f"{one['part']} and {other['part']} lie on each other askew"

    def _bolts(self) -> Iterator[str]:
        """Each goes through the wood that it names, from outside it, in a hole that it goes into."""
        for bolt in self.crate["bolts"]:
            where = f"bolt at {bolt['x']}, {bolt['y']}, {bolt['z']}"
            axis = next(each for each, way in zip(_AXES, bolt["way"], strict=True) if way)
            forward = sum(bolt["way"]) > 0
            good = self.goods.get(bolt["good"])
            if good is None:
                yield f"{where}: nothing is said of {bolt['good']}"
                continue
            # What goes into a nut slides through its hole; what bites into wood has a narrower one.
            least = good["diameter"] if bolt["nut"] else good["diameter"] // 2
            if not least < bolt["hole"] < 2 * good["diameter"]:
                yield f"{where}: a hole of {bolt['hole']} for {good['diameter']}"
            lying = [e["box"] for e in self.placed if _at(e["box"], bolt, _others(axis))]
            line = [
                [e["box"] for e in self.placed if e["part"] == name and e["box"] in lying] for name in bolt["through"]
            ]
            for name, boxes in zip(bolt["through"], line, strict=True):
                if not boxes:
                    yield f"{where} misses {name}"
            if not all(line):
                continue
            # Seen along its way, as if it went up from its head.
            way = 1 if forward else -1
            start = way * bolt[axis]
            faces = [min(way * end for end in _span(box, axis)) for box in line[0]]
            deepest = max(min(way * end for box in boxes for end in _span(box, axis)) for boxes in line)
            if min(abs(face - start) for face in faces) > _NEAR:
                yield f"{where} begins far from what it goes through"
            elif deepest > start + good["breadth"]:
                yield f"{where} is too short to reach all that it goes through"

    def _gear(self) -> Iterator[str]:
        """As much has a place as is used up; handles lie against wood, with bolts through them."""
        boxes = [each["box"] for each in self.placed]
        count = Counter(each["good"] for each in self.crate["gear"] if each["role"] in _WHOLE)
        roles = Counter(each["role"] for each in self.crate["gear"])
        for name in sorted(self.geared & {*count, *self.used}):
            if self.used.get(name, 0) != count[name]:
                yield f"{count[name]} of {name} have a place, and {self.used.get(name, 0)} are used up"
        if roles["strap"] != roles["buckle"]:
            yield f"{roles['strap']} straps and {roles['buckle']} buckles have a place"
        for each in self.crate["gear"]:
            if each["role"] != "handle":
                continue
            box = each["box"]
            against = [
                axis
                for axis in _AXES
                for other in boxes
                if (_span(box, axis)[0] == _span(other, axis)[1] or _span(box, axis)[1] == _span(other, axis)[0])
                and _over(box, other, _others(axis))
            ]
            if not against:
                yield f"a {each['good']} at {box['x']}, {box['y']} lies against nothing"
            elif sum(_at(box, bolt, _AXES) for bolt in self.crate["bolts"]) < 2:
                yield f"a {each['good']} at {box['x']}, {box['y']} is not bolted"

    def _room(self) -> Iterator[str]:
        """Yield where the stated room does not lie between two parts, or the body reaches from none to another."""
        boxes = [each["box"] for each in self.placed]
        if self.crate["method"] == "carton":
            return
        for axis, side in _SIDES.items():
            low, high = ({_span(box, axis)[end] for box in boxes} for end in (0, 1))
            if not any(start + self.crate["inside"][side] in low for start in high):
                yield f"its room is {self.crate['inside'][side]} in {side}, and no two of its parts are so far apart"
            if not any(start + self.crate["body"][side] in high for start in low):
                yield f"its body is {self.crate['body'][side]} in {side}, and no two of its parts reach so far"

    def _faces(self) -> Iterator[str]:
        """Yield a back before a piece, a lid behind one, and panels side by side that do not say their face."""
        held = [each["box"] for each in self.crate["pieces_placed"]]
        for each in self.placed:
            low, high = _span(each["box"], "z")
            if each["role"] == "back" and any(low >= _span(box, "z")[0] for box in held):
                yield f"{each['part']} is a back, and lies before a piece"
            if each["role"] == "lid" and any(high <= _span(box, "z")[1] for box in held):
                yield f"{each['part']} is a lid, and lies behind a piece"
        flat: defaultdict[tuple[Any, ...], list[str]] = defaultdict(list)
        for each in self.placed:
            if each["role"] in ("back", "lid", "case face"):
                thin = min(_AXES, key=lambda axis, box=each["box"]: box[f"d{axis}"])  # type: ignore[misc]
                flat[each["role"], thin, each["box"][thin]].append(each["part"])
        if self.crate["standing"] == "held":
            return
        for (role, *_), names in flat.items():
            if len(names) > 1 and not self.seamed.issuperset(names):
                yield f"its {role} is of {sorted(names)}, and not each says which face it is of"

    def _riding(self) -> Iterator[str]:
        """Yield pieces that do not lie in their frame in the case as in the frame alone, however that is turned."""
        lying = {each["piece"]: each["box"] for each in self.crate["pieces_placed"]}
        for ride in self.crate["rides"]:
            frame = self.named.get(ride["crate"])
            if frame is None:
                continue  # told with the places
            if frame["inside_of"] != self.crate["crate"]:
                yield f"frame {ride['crate']} rides in it, and says that it rides in {frame['inside_of']}"
            whole = [each["box"] for each in frame["placed"]]
            outer = {a: min(box[a] for box in whole) for a in _AXES}
            outer |= {f"d{a}": max(_span(box, a)[1] for box in whole) - outer[a] for a in _AXES}
            for each in frame["pieces_placed"]:
                here = lying.get(each["piece"])
                if here is not None and _gaps(here, ride["box"]) != _gaps(each["box"], outer):
                    yield f"piece {each['piece']} does not lie in frame {ride['crate']} as it does without the case"
        riding = {ride["crate"] for ride in self.crate["rides"]}
        for name, frame in self.named.items():
            if frame["inside_of"] == self.crate["crate"] and name not in riding:
                yield f"frame {name} says that it rides in it, and has no place there"

    def _carton(self) -> Iterator[str]:
        """Yield where a carton is none that was bought: as large within, with one wall or two on each side."""
        bought = [good for name in self.used if "wall" in (good := self.goods[name])]
        if self.crate["method"] != "carton" or not any("wall" in good for good in self.goods.values()):
            return
        if len(bought) != 1:
            yield f"{len(bought)} cartons are bought for it"
            return
        good, room, outside = bought[0], self.crate["inside"], self.crate["outside"]
        least, most = sorted(good["inside"]), sorted(good.get("opens_to") or good["inside"])
        for side, low, high in zip(sorted(room.values()), least, most, strict=True):
            if not low <= side <= high:
                yield f"its room is {sorted(room.values())}, and {good['good']} has {least} to {most}"
        doubled = [side for side in room if outside[side] - room[side] == 4 * good["wall"]]
        single = [side for side in room if outside[side] - room[side] == 2 * good["wall"]]
        if len(doubled) + len(single) != len(room) or not doubled:
            yield f"its walls are no walls of {good['wall']}: {outside} round {room}"
        inner = [each["box"] for each in (*self.placed, *self.crate["pieces_placed"])]
        for axis, side in _SIDES.items():
            wall = (outside[side] - room[side]) // 2
            if any(_span(box, axis)[0] < wall or _span(box, axis)[1] > outside[side] - wall for box in inner):
                yield f"something in it reaches into its wall in {side}"


_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "drill": ("mounting ", "removal screws", "slats to the buyer's halves"),
    "piece_screws": ("cleats to ", "halves to the piece"),
}
"""What the joints whose screws have a place are called."""


def _gaps(box: Box, within: Box) -> list[tuple[int, int, int]]:
    """Return the size of a box along each axis with what is left on both sides of it, however it is turned."""
    gaps = []
    for axis in _AXES:
        (low, high), (start, end) = _span(box, axis), _span(within, axis)
        sides = sorted((low - start, end - high))
        gaps.append((high - low, sides[0], sides[1]))
    return sorted(gaps)
