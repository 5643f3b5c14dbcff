"""What a ``build.json`` says of places, screws and weights, proved by itself, sharing no code with the product.

:func:`placed_faults` takes the parsed document. Parts that are listed, placed, wanted and used are the same; nothing
meets, and what is placed reaches as far as the crate says; parts close round each piece on every side on which the
method of its crate does; each screw goes through wood, ends in the part that it names and short of the face; and what
is listed weighs what the crate says. Whole numbers of 1/8 micrometre; grams.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from typing import Any, Final

Node = Mapping[str, Any]
Box = Mapping[str, int]

_INCH: Final = 203_200
_METRE: Final = 8_000_000
_AXES: Final = ("x", "y", "z")
_SIDES: Final = {"x": ("left", "right"), "y": ("below", "above"), "z": ("behind", "before")}
_OPEN: Final[Mapping[str, tuple[str, ...]]] = {"travel": ("z",), "carton": ("x", "y")}
"""Axes along which a method leaves its piece open: a travel frame is slats before and behind, and in a carton what
holds a piece at its edges may be paper, which has no place. Every other method closes all round."""
_MADE: Final = ("sheet", "stick")
_SOLID: Final = ("handle", "gel")
_EDGE: Final = Fraction(3, 2)
"""Least distance from the edge of wood to a screw's middle in its own diameters: NDS, table 12.5.1C, loaded
perpendicular to grain on the unloaded edge, and parallel with l/D of 6 at the most."""
_ROUNDED: Final = 50.5
"""Grams between a weight to 0.1 kg and the same to the gram."""


def placed_faults(document: Node) -> list[str]:
    """Return every fault; nothing for a document whose crates do not say what lies where, as those of before."""
    crates = [crate for crate in document["crates"] if "placed" in crate]
    goods = {good["good"]: good for good in document.get("goods", ())}
    faults = [f"good {name} is listed twice" for name in _repeats(g["good"] for g in document.get("goods", ()))]
    named = {crate["crate"]: crate for crate in crates}
    works = {work["piece"]: work for work in document.get("artworks", ())}
    for crate in crates:
        told = _Crate(crate, goods, works, named)
        faults += [f"crate {crate['crate']}: {fault}" for fault in told.faults()]
    faults += _listed(document, crates)
    packed = {piece for crate in crates for piece in crate["pieces"]}
    if crates:
        faults += [f"piece {piece} has a size and is in no crate" for piece in works if piece not in packed]
    return faults


def _repeats(names: Iterable[str]) -> list[str]:
    return [name for name, count in Counter(names).items() if count > 1]


def _listed(document: Node, crates: Sequence[Node]) -> Iterator[str]:
    """Yield where parts that crates list are not those that are cut or were cut before."""
    if not crates:
        return
    there = _counted(
        (part, good["good"]) for good in (*document["sheet_goods"], *document["stick_goods"]) for part in good["wanted"]
    )
    for name, kinds in _counted((part, part["good"]) for part in document.get("given", {}).get("used", ())).items():
        there[name] += kinds
    forms = {good["good"]: good["form"] for good in document["goods"]}
    asked = _counted(
        (part, part["good"])
        for crate in crates
        if crate["standing"] != "held"
        for part in crate["parts"]
        if forms.get(part["good"]) in _MADE
    )
    for name in sorted({*there, *asked}):
        if there[name] != asked[name]:
            yield f"part {name}: crates list {dict(asked[name])}, and there are {dict(there[name])}"


def _counted(parts: Iterable[tuple[Node, str]]) -> defaultdict[str, Counter[tuple[Any, ...]]]:
    """Return how many of each kind there are by name."""
    found: defaultdict[str, Counter[tuple[Any, ...]]] = defaultdict(Counter)
    for part, good in parts:
        found[part["part"]][_kind(part, good)] += part["count"]
    return found


def _kind(part: Node, good: str) -> tuple[Any, ...]:
    return good, part["length"], part.get("width"), part.get("grain")


def _span(box: Box, axis: str) -> tuple[int, int]:
    return box[axis], box[axis] + box[f"d{axis}"]


def _meets(one: Box, other: Box) -> bool:
    return all(_span(one, a)[0] < _span(other, a)[1] and _span(other, a)[0] < _span(one, a)[1] for a in _AXES)


def _within(x: int, y: int, box: Box) -> bool:
    return box["x"] <= x <= box["x"] + box["dx"] and box["y"] <= y <= box["y"] + box["dy"]


def _sides(box: Box) -> list[int]:
    return sorted(box[f"d{axis}"] for axis in _AXES)


def _uncovered(target: Box, boxes: Sequence[Box], across: Sequence[str]) -> bool:
    """Whether something of a face of a box is hidden by none of the others, looked at along the third axis."""
    grid = []
    for axis in across:
        start, end = _span(target, axis)
        marks = {start, end} | {mark for box in boxes for mark in _span(box, axis) if start < mark < end}
        grid.append(sorted(marks))
    first, second = across
    for left, right in zip(grid[0], grid[0][1:], strict=False):
        column = [b for b in boxes if _span(b, first)[0] <= left and right <= _span(b, first)[1]]
        for low, high in zip(grid[1], grid[1][1:], strict=False):
            if not any(_span(b, second)[0] <= low and high <= _span(b, second)[1] for b in column):
                return True
    return False


def _screw(text: str) -> tuple[Fraction, Fraction]:
    """Read ``#10 x 1-1/4``: diameter (ASME B18.6.1: 0.060 + 0.013 n in) and length."""
    number, _, length = text.removeprefix("#").partition(" x ")
    whole = sum(Fraction(each) for each in length.replace("-", " ").split())
    return (Fraction(60, 1000) + Fraction(13, 1000) * int(number)) * _INCH, Fraction(whole) * _INCH


class _Crate:
    """One crate with what it refers to."""

    def __init__(
        self, crate: Node, goods: Mapping[str, Node], works: Mapping[str, Node], named: Mapping[str, Node]
    ) -> None:
        self.crate, self.goods, self.works, self.named = crate, goods, works, named
        self.parts = {part["part"]: part for part in crate["parts"]}
        self.placed: Sequence[Node] = crate["placed"]
        self.riding = [ride["box"] for ride in crate["rides"]]

    def faults(self) -> Iterator[str]:
        """Yield what is wrong with it."""
        lists = (*self.crate["parts"], *self.crate["piecework"], *self.crate["fixings"])
        if strange := sorted({part["good"] for part in lists} - set(self.goods)):
            yield f"nothing is said of {', '.join(strange)}"
            return
        yield from (f"part {name} is listed twice" for name in _repeats(p["part"] for p in self.crate["parts"]))
        yield from self._copies()
        yield from self._sizes()
        yield from self._meetings()
        yield from self._reach()
        yield from self._pieces()
        yield from self._closed()
        yield from self._screws()
        yield from self._weights()
        yield from self._fixings()

    def _copies(self) -> Iterator[str]:
        """Each copy of each part that is cut has its place; both halves of a French cleat come of one part."""
        whole = Counter(each["part"] for each in self.placed if not each.get("profile"))
        halves = Counter(each["part"] for each in self.placed if each.get("profile"))
        for name, part in self.parts.items():
            if self.goods[part["good"]]["form"] not in _MADE:
                continue
            both = Counter({1: part["count"], 2: 2 * part["count"]}).values()
            if whole[name] != part["count"] and not (not whole[name] and halves[name] in both):
                yield f"part {name} is listed {part['count']} times and placed {whole[name] or halves[name]} times"
        yield from (f"part {name} is placed and not listed" for name in {*whole, *halves} - set(self.parts))

    def _sizes(self) -> Iterator[str]:
        for each in self.placed:
            part = self.parts.get(each["part"])
            if part is None:
                continue
            good, box = self.goods[part["good"]], each["box"]
            cut = sorted((part["length"], part.get("width", good["breadth"]), good["thickness"]))
            if not each.get("profile"):
                if _sides(box) != cut:
                    yield f"part {each['part']} is cut {cut} and placed {_sides(box)}"
            elif box["dx"] != part["length"] or any(
                not (_span(box, "y")[0] <= y <= _span(box, "y")[1] and _span(box, "z")[0] <= z <= _span(box, "z")[1])
                for y, z in each["profile"]
            ):
                yield f"part {each['part']} is bevelled beyond what it is cut from"

    def _meetings(self) -> Iterator[str]:
        solid = [(each["part"], each["box"], bool(each.get("profile"))) for each in self.placed]
        solid += [(each["good"], each["box"], False) for each in self.crate["gear"] if each["role"] in _SOLID]
        solid += [(f"piece {each['piece']}", each["box"], False) for each in self.crate["pieces_placed"]]
        if self.riding:
            # A case's pieces lie within its frames, and foam on its slats reaches between those of a frame.
            solid = [each for each in solid if not each[0].startswith("piece ")]
        for (one, box, half), (other, at, too) in combinations(solid, 2):
            # Both halves of a French cleat lie against each other along a bevel.
            if not (half and too and one == other) and _meets(box, at):
                yield f"{one} and {other} lie in the same place"
        yield from ("two frames lie in the same place" for a, b in combinations(self.riding, 2) if _meets(a, b))
        # Foam on the slats may reach between those of a frame: over less than half its depth.
        for ride in self.crate["rides"]:
            for one, box, _ in solid:
                (low, high), (near, far) = _span(box, "z"), _span(ride["box"], "z")
                if _meets(box, ride["box"]) and 2 * (min(high, far) - max(low, near)) >= far - near:
                    yield f"{one} and frame {ride['crate']} lie in the same place"

    def _reach(self) -> Iterator[str]:
        """Yield where what is placed reaches not as far as the crate says; a carton's own board has no place."""
        boxes = [each["box"] for each in self.placed] + self.riding
        boxes += [each["box"] for each in self.crate["gear"] if each["role"] in _SOLID]
        for axis, side in zip(_AXES, ("width", "height", "depth"), strict=True):
            if not boxes:
                return
            reach = max(_span(box, axis)[1] for box in boxes) - min(_span(box, axis)[0] for box in boxes)
            said = self.crate["outside"][side]
            if reach > said or (reach != said and self.crate["method"] != "carton"):
                yield f"its {side} is {said}, and what is placed in it reaches over {reach}"

    def _pieces(self) -> Iterator[str]:
        lying = Counter(each["piece"] for each in self.crate["pieces_placed"])
        if lying != Counter(self.crate["pieces"]):
            yield f"it carries {self.crate['pieces']}, and {sorted(lying)} have a place in it"
        for each in self.crate["pieces_placed"]:
            work = self.works.get(each["piece"])
            if work is None:
                yield f"piece {each['piece']} has no size"
            elif _sides(each["box"]) != sorted((work["width"], work["height"], work["depth"])):
                yield f"piece {each['piece']} has not the size of the artwork: {each['box']}"
        for ride in self.crate["rides"]:
            frame = self.named.get(ride["crate"])
            if frame is None or _sides(ride["box"]) != sorted(frame["outside"].values()):
                yield f"frame {ride['crate']} has not its size in the case"

    def _closed(self) -> Iterator[str]:
        """Parts close round each piece, and round each frame in a case; back and lid as wide and high as the body."""
        open_along = _OPEN.get(self.crate["method"], ())
        boxes = [each["box"] for each in self.placed]
        body = {"x": 0, "y": 0, "dx": self.crate["body"]["width"], "dy": self.crate["body"]["height"]}
        held = [(f"piece {each['piece']}", each["box"]) for each in self.crate["pieces_placed"]]
        held += [(f"frame {ride['crate']}", ride["box"]) for ride in self.crate["rides"]]
        for name, box in held:
            for axis in _AXES:
                if axis in open_along:
                    continue
                across = [other for other in _AXES if other != axis]
                low, high = _span(box, axis)
                beside = (
                    [other for other in boxes if _span(other, axis)[1] <= low],
                    [other for other in boxes if _span(other, axis)[0] >= high],
                )
                face = body if axis == "z" and not open_along and not self.riding else box
                for side, there in zip(_SIDES[axis], beside, strict=True):
                    if _uncovered(face, there, across):
                        yield f"nothing closes it {side} {name}"

    def _screws(self) -> Iterator[str]:
        wide = self.crate["body"]["width"]
        for point in self.crate["drill"]:
            where = f"drill point {point['x']}, {point['y']}"
            x, y = wide - point["x"], point["y"]
            taking = [p["box"] for p in self.placed if p["part"] == point["into"] and _within(x, y, p["box"])]
            if not taking:
                yield f"{where} misses {point['into']}"
                continue
            wood = min(taking, key=lambda box: box["z"])
            diameter, length = _screw(point["screw"])
            edges = (x - wood["x"], wood["x"] + wood["dx"] - x, y - wood["y"], wood["y"] + wood["dy"] - y)
            if min(edges) < _EDGE * diameter:
                yield f"{where} is {min(edges)} from an edge of {point['into']}"
            if point.get("on") != {"x": x - wood["x"], "y": y - wood["y"]}:
                yield f"{where} is not where it is said to be on {point['into']}"
            before = [p["box"] for p in self.placed if _within(x, y, p["box"]) and _span(p["box"], "z")[1] <= wood["z"]]
            if not before:
                yield f"{where} goes through nothing"
                continue
            tip = min(box["z"] for box in before) + length
            if not wood["z"] < tip < wood["z"] + wood["dz"]:
                yield f"{where}: its screw ends at {tip}, and {point['into']} lies from {wood['z']} on"
        for point in self.crate["piece_screws"]:
            where = f"screw into {point['into']} at {point['x']}, {point['y']}"
            x, y = wide - point["x"], point["y"]
            pieces = [p["box"] for p in self.crate["pieces_placed"] if p["piece"] == point["into"]]
            back = [box for box in pieces if _within(x, y, box)]
            behind = {box["z"] for box in back}
            held = [p["box"] for p in self.placed if _within(x, y, p["box"]) and _span(p["box"], "z")[1] in behind]
            if not back or not held:
                yield f"{where} goes through nothing into nothing"
                continue
            tip = min(box["z"] for box in held) + _screw(point["screw"])[1]
            face = _span(back[0], "z")[1]
            if not back[0]["z"] < tip <= face - point["margin"] or point["margin"] <= 0:
                yield f"{where} ends at {tip}, and the piece's face is at {face}"

    def _weights(self) -> Iterator[str]:
        tare = 0.0
        for part in self.crate["parts"]:
            good = self.goods[part["good"]]
            if good["form"] == "roll":
                tare += _kg(good, part["length"], part["width"] * good["thickness"]) * part["count"]
        for each in self.placed:
            if (part := self.parts.get(each["part"])) is not None:
                good = self.goods[part["good"]]
                section = good["thickness"] * part.get("width", good["breadth"])
                tare += _kg(good, part["length"], _area(each["profile"]) if each.get("profile") else section)
        tare += sum(self.goods[used["good"]]["each_g"] * used["count"] / 1000 for used in self.crate["piecework"])
        frames = [self.named[ride["crate"]] for ride in self.crate["rides"] if ride["crate"] in self.named]
        tare = 1000 * tare + sum(frame["tare_g"] for frame in frames)
        if abs(tare - self.crate["tare_g"]) > 1 + len(frames):
            yield f"its tare is {self.crate['tare_g']} g, and what it is made of weighs {tare:.0f}"
        net = sum(self.works[piece]["grams"] for piece in self.crate["pieces"] if piece in self.works)
        if abs(net - self.crate["net_g"]) > len(self.crate["pieces"]):
            yield f"its net is {self.crate['net_g']} g, and its artworks weigh {net}"
        for side in ("net", "tare"):
            kg, grams = self.crate[f"{side}_kg"], self.crate[f"{side}_g"]
            if abs(1000 * kg - grams) > _ROUNDED:
                yield f"its {side} is {kg} kg and {grams} g"

    def _fixings(self) -> Iterator[str]:
        """Screws that join something are those that are used up."""
        joined: Counter[str] = Counter()
        for each in self.crate["fixings"]:
            joined[each["good"]] += each["count"]
        used = {each["good"]: each["count"] for each in self.crate["piecework"]}
        for name, count in joined.items():
            if used.get(name) != count:
                yield f"{count} of {name} join its parts, and {used.get(name, 0)} are used up"


def _kg(good: Node, length: int, section: float) -> float:
    return float(good["kg_m3"]) * length * section / _METRE**3


def _area(profile: Sequence[Sequence[int]]) -> float:
    """Return the area of a simple polygon (shoelace formula)."""
    turned = [*profile[1:], profile[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(profile, turned, strict=True))) / 2
