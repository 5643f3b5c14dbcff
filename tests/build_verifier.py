"""An independent check of ``build.json``, written from the format's description alone.

Nothing of the product is imported here, so that an error there cannot hide itself. :func:`verify_build` takes the
parsed document and returns every fault as a sentence; an empty list means that the build is right. A document of the
wrong shape gives faults, never a traceback; its JSON Schema is tested beside it.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import accumulate, combinations
from typing import Any

from tests.joined_verifier import joined_faults
from tests.placed_verifier import placed_faults

Node = Mapping[str, Any]

_AMOUNT = re.compile(r"[0-9]+(\.[0-9]+)?")
_UNITS_PER_INCH = 203_200
_SOLID = ("handle", "gel")
"""Gear that takes room; straps lie round the rest."""
_AXES = (("x", "dx"), ("y", "dy"), ("z", "dz"))
_FORMATS = ("casewright-build/1", "casewright-build/2")


class _MalformedError(Exception):
    """A value that is not what the format says, so that what rests on it cannot be checked."""


def verify_build(document: dict[str, Any], *, scrap: bool = False, places: bool = True) -> list[str]:
    """Return every fault of a build document; an empty list means that there is none.

    The format names waste where nothing remains. With `scrap` true, a leaf that has a size and is not worth keeping may
    be waste too; else everything that has a size is a part, an offcut or cut again. With `places` false, what lies
    where is not asked: crates made up by hand have no places.
    """
    faults: list[str] = []

    def attempt(what: str, check: Callable[[], None]) -> None:
        try:
            check()
        except _MalformedError as error:
            faults.append(f"{what}: {error}")
        except (KeyError, TypeError, AttributeError, ValueError) as error:
            faults.append(f"{what}: not of the format's shape ({type(error).__name__}: {error})")

    attempt("document", lambda: _check_head(document, faults))
    crates, sheets, sticks = (_listed(document, key) for key in ("crates", "sheet_goods", "stick_goods"))
    used: list[Node] = []
    attempt("given", lambda: used.extend(_check_given(document, [*sheets, *sticks], faults)))
    for number, good in enumerate(sheets, 1):
        attempt(f"sheet good {number}", _Sheets(good, faults, scrap=scrap).check)
    attempt("faces", lambda: _check_faces(sheets, used, faults))
    for number, good in enumerate(sticks, 1):
        attempt(f"stick good {number}", _Sticks(good, faults).check)
    attempt("wanted parts", lambda: _check_names([*sheets, *sticks], faults))
    attempt("crates", lambda: _check_crates(crates, faults))
    if document.get("format") == _FORMATS[1]:
        attempt("standing", lambda: _check_standing(crates, [*sheets, *sticks], used, faults))
        attempt("designs", lambda: _check_designs(crates, faults))
        attempt("bores", lambda: _check_bores(crates, faults))
        attempt("gear", lambda: _check_gear(crates, faults))
    attempt("drill points", lambda: _check_drill(crates, [*sheets, *sticks], used, faults))
    if places:
        attempt("places", lambda: faults.extend(placed_faults(document)))
        attempt("joints", lambda: faults.extend(joined_faults(document)))
    return faults


def _listed(document: Mapping[str, Any], key: str) -> list[Any]:
    value = document.get(key)
    return value if isinstance(value, list) else []


def _whole(owner: Mapping[str, Any], key: str, least: int) -> int:
    value = owner[key]
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise _MalformedError(f"{key} must be a whole number from {least}, found {value!r}")
    return value


def _amount(owner: Mapping[str, Any], key: str) -> Decimal:
    value = owner[key]
    if not isinstance(value, str) or not _AMOUNT.fullmatch(value):
        raise _MalformedError(f"{key} must be a decimal string, found {value!r}")
    return Decimal(value)


def _weight(owner: Mapping[str, Any], key: str) -> Decimal:
    """Read a weight through its shortest decimal form, which is what the document says."""
    value = owner[key]
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e9:
        raise _MalformedError(f"{key} must be a weight, found {value!r}")
    exact = Decimal(repr(value))
    if exact != exact.quantize(Decimal("0.1")):
        raise _MalformedError(f"{key} must be given to 0.1 kg, found {value!r}")
    return exact


def _repeats(names: Sequence[str]) -> list[str]:
    return [name for name, count in Counter(names).items() if count > 1]


def _check_head(document: Mapping[str, Any], faults: list[str]) -> None:
    if document["format"] not in _FORMATS:
        faults.append(f"format is {document['format']!r}")
    if document["units_per_inch"] != _UNITS_PER_INCH:
        faults.append(f"units_per_inch is {document['units_per_inch']!r}, not {_UNITS_PER_INCH}")
    for key, kind in (("made_by", str), ("effort", str), ("currency", str), ("seed", int)):
        if not isinstance(document[key], kind) or document[key] == "":
            faults.append(f"{key} is {document[key]!r}")
    lists = ("crates", "sheet_goods", "stick_goods")
    faults += [f"{key} is not a list" for key in lists if not isinstance(document[key], list)]


def _check_names(goods: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    """Check that goods, and parts over all goods, are named once."""
    faults += [f"good {name} appears twice" for name in _repeats([good["good"] for good in goods])]
    names = [part["part"] for good in goods for part in good["wanted"]]
    faults += [f"part {name} is wanted under one name twice" for name in _repeats(names)]


class _Good:
    """What sheets and sticks have in common: stock, counts and money."""

    layouts = ""

    def __init__(self, good: Mapping[str, Any], faults: list[str]) -> None:
        self.good = good
        self.faults = faults
        self.kerf = 0
        self.stock: dict[str, Mapping[str, Any]] = {}
        self.wanted: dict[str, Mapping[str, Any]] = {}
        self.made: Counter[str] = Counter()
        self.taken: Counter[str] = Counter()

    def fault(self, text: str) -> None:
        self.faults.append(f"good {self.good['good']}: {text}")

    def check(self) -> None:
        self.kerf = _whole(self.good, "kerf", 0)
        for stock in self.good["stock"]:
            if stock["stock"] in self.stock:
                self.fault(f"stock {stock['stock']} is listed twice")
            self.stock[stock["stock"]] = stock
            self.check_stock(stock)
        for part in self.good["wanted"]:
            self.wanted[part["part"]] = part
            _whole(part, "length", 1)
            _whole(part, "count", 1)
            self.check_part(part)
        for layout in self.good[self.layouts]:
            name, repeat = layout["stock"], _whole(layout, "repeat", 1)
            if name not in self.stock:
                self.fault(f"stock {name} is cut but not listed")
                continue
            self.taken[name] += repeat
            for part in self.check_layout(layout, self.stock[name]):
                if part in self.wanted:
                    self.made[part] += repeat
                else:
                    self.fault(f"part {part} is cut but not wanted")
        for name, part in self.wanted.items():
            if self.made[name] != part["count"]:
                self.fault(f"part {name} is wanted {part['count']} times and cut {self.made[name]} times")
        self.check_money()

    def check_stock(self, stock: Mapping[str, Any]) -> None:
        name = stock["stock"]
        _whole(stock, "length", 1)
        if stock["available"] is not None:
            _whole(stock, "available", 0)
        if stock["source"] not in ("buy", "rack", "open"):
            self.fault(f"stock {name}: source is {stock['source']!r}")
        starts = [_whole(price, "from", 1) for price in stock["prices"]]
        for price in stock["prices"]:
            _amount(price, "each")
        if not starts or starts[0] != 1 or starts != sorted(set(starts)):
            self.fault(f"stock {name}: prices must begin at 1 and rise in count, found {starts}")
        if stock["source"] == "rack" and len(starts) != 1:
            self.fault(f"stock {name}: rack stock has one price, its book value")
        if stock["source"] == "open" and [_amount(price, "each") for price in stock["prices"]] != [0]:
            self.fault(f"stock {name}: open stock has one price, nothing")
        if stock["source"] != "buy" and stock["available"] is None:
            self.fault(f"stock {name}: {stock['source']} stock has a count")

    def check_part(self, part: Mapping[str, Any]) -> None:
        raise NotImplementedError

    def check_layout(self, layout: Mapping[str, Any], stock: Mapping[str, Any]) -> list[str]:
        """Check one layout and return the names of the parts that it gives."""
        raise NotImplementedError

    def check_money(self) -> None:
        cost = book = Decimal(0)
        for name, count in self.taken.items():
            stock = self.stock[name]
            if stock["available"] is not None and count > stock["available"]:
                self.fault(f"stock {name}: {count} are cut and {stock['available']} are there")
            reached = [_amount(price, "each") for price in stock["prices"] if price["from"] <= count]
            if not reached:
                continue  # already told: prices must begin at 1
            if stock["source"] == "rack":
                book += count * reached[-1]
            else:
                cost += count * reached[-1]
        said = {key: _amount(self.good, key) for key in ("cost", "objective", "bound")}
        if said["cost"] != cost:
            self.fault(f"cost is {said['cost']}, and what is bought costs {cost}")
        if said["objective"] != cost + book:
            self.fault(f"objective is {said['objective']}, and cost with book value is {cost + book}")
        if said["bound"] > said["objective"]:
            self.fault(f"bound {said['bound']} is above objective {said['objective']}")
        if self.good["proven"] is not (said["bound"] == said["objective"]):
            self.fault(
                f"proven is {self.good['proven']!r} with bound {said['bound']} and objective {said['objective']}"
            )


class _Sheets(_Good):
    layouts = "sheets"

    def __init__(self, good: Mapping[str, Any], faults: list[str], *, scrap: bool) -> None:
        super().__init__(good, faults)
        self.scrap = scrap

    def check_stock(self, stock: Mapping[str, Any]) -> None:
        super().check_stock(stock)
        _whole(stock, "width", 1)
        trim = {side: _whole(stock["trim"], side, 0) for side in ("left", "right", "bottom", "top")}
        if trim["left"] + trim["right"] >= stock["length"] or trim["bottom"] + trim["top"] >= stock["width"]:
            self.fault(f"stock {stock['stock']}: trim leaves nothing")

    def check_part(self, part: Mapping[str, Any]) -> None:
        _whole(part, "width", 1)
        if part["grain"] not in ("any", "length"):
            self.fault(f"part {part['part']}: grain is {part['grain']!r}")

    def check_layout(self, layout: Mapping[str, Any], stock: Mapping[str, Any]) -> list[str]:
        trim = stock["trim"]
        length = stock["length"] - trim["left"] - trim["right"]
        width = stock["width"] - trim["bottom"] - trim["top"]
        parts: list[str] = []
        # (node, length, width); no size is what a cut leaves where a kerf or less remains.
        todo: list[tuple[Node, int, int]] = [(layout["cuts"], length, width)]
        while todo:
            node, length, width = todo.pop()
            if sum(key in node for key in ("cut", "part", "offcut", "waste")) != 1:
                raise _MalformedError(f"a node is one of cut, part, offcut, waste, found {sorted(node)}")
            if "cut" in node:
                todo += self.divide(node, length, width)
            elif "part" in node:
                parts.append(node["part"])
                self.check_leaf(node, length, width)
            elif "offcut" in node and (length <= 0 or width <= 0):
                self.fault("an offcut has no area")
            elif "waste" in node and length > 0 and width > 0 and not self.scrap:
                self.fault(f"waste of {length} by {width}, where more than a kerf remains")
        return parts

    def divide(self, node: Node, length: int, width: int) -> list[tuple[Node, int, int]]:
        """Return both sides of a cut with their sizes."""
        if node["cut"] not in ("rip", "cross"):
            raise _MalformedError(f"cut is {node['cut']!r}")
        if length <= 0 or width <= 0:
            self.fault("a cut where nothing remains")
        at, rip = _whole(node, "at", 1), node["cut"] == "rip"
        whole = width if rip else length
        if at > whole:
            self.fault(f"a {node['cut']} at {at}, where there is {whole}")
        rest = max(whole - at - self.kerf, 0)
        if rip:
            return [(node["first"], length, at), (node["rest"], length if rest else 0, rest)]
        return [(node["first"], at, width), (node["rest"], rest, width if rest else 0)]

    def check_leaf(self, node: Node, length: int, width: int) -> None:
        part = self.wanted.get(node["part"])
        if part is None:
            return  # told by the caller
        if not isinstance(node["turned"], bool):
            raise _MalformedError(f"part {node['part']}: turned is {node['turned']!r}")
        size = (part["width"], part["length"]) if node["turned"] else (part["length"], part["width"])
        if size != (length, width):
            self.fault(f"part {node['part']} is {size[0]} by {size[1]}, and its leaf {length} by {width}")
        if node["turned"] and part["grain"] == "length":
            self.fault(f"part {node['part']} is turned against its grain")


def _check_given(document: Mapping[str, Any], goods: Sequence[Mapping[str, Any]], faults: list[str]) -> list[Node]:
    """Check the parts that were cut before this plan, and return those that it uses."""
    if "given" not in document:
        return []
    given = document["given"]
    if not given["used"] and not given["left_over"]:
        faults.append("given names no part")
    wanted = {part["part"]: (good["good"], part) for good in goods for part in good["wanted"]}
    for part in (*given["used"], *given["left_over"]):
        for key in ("length", "count", *(("width",) if "width" in part else ())):
            _whole(part, key, 1)
        if ("grain" in part) is not ("width" in part) or part.get("grain", "any") not in ("any", "length"):
            faults.append(f"part {part['part']}: grain and width do not go together")
    for part in given["used"]:
        if not isinstance(part["label"], str) or not part["label"]:
            faults.append(f"part {part['part']} is used and has no label")
        good, rest = wanted.get(part["part"], (part["good"], part))
        sizes = [(each["length"], each.get("width"), each.get("grain")) for each in (part, rest)]
        if good != part["good"] or sizes[0] != sizes[1]:
            faults.append(f"part {part['part']} is used as another than is cut under its name")
    return list(given["used"])


def _check_faces(goods: Sequence[Mapping[str, Any]], used: Sequence[Node], faults: list[str]) -> None:
    """Check that the panels of each seamed face make it up, those that were cut before among them."""
    faces: dict[tuple[str, str], list[Node]] = defaultdict(list)
    wanted = [(good["good"], part) for good in goods for part in good["wanted"]]
    for name, part in (*wanted, *((part["good"], part) for part in used)):
        if part.get("panel_of") is not None:
            faces[name, part["panel_of"]] += [part] * part["count"]
    for (name, face), panels in faces.items():
        if len(panels) < 2:
            faults.append(f"good {name}: face {face} has one panel, and a seam joins two")
        elif not _make_up(panels):
            faults.append(f"good {name}: face {face}: its panels do not make up a face with these seams")


# A panel along its strip: how long it is there, and its seam.
_Along = tuple[int, int | None]


def _make_up(panels: Sequence[Mapping[str, Any]]) -> bool:
    """Tell whether panels make up a rectangle of strips right across, with a seam where each says."""
    sides = [(panel["length"], panel["width"]) for panel in panels]
    seams = [panel.get("seam") for panel in panels]
    for strips in _strips(sides, tuple(range(len(sides))), None):
        single = [(height, seams[line[0][0]]) for height, line in strips if len(line) == 1]
        divided = [[(along, seams[number]) for number, along in line] for _, line in strips if len(line) > 1]
        lines = {0}
        for height, _ in strips:
            lines |= {line + height for line in lines}
        lines -= {0, max(lines)}
        right = _in_order(single) if not divided else all(seam is None or seam in lines for _, seam in single)
        if right and all(_in_order(line) for line in divided):
            return True
    return False


def _strips(
    sides: Sequence[tuple[int, int]], left: tuple[int, ...], across: int | None
) -> Iterator[list[tuple[int, list[tuple[int, int]]]]]:
    """Yield every way to put panels side by side in strips that are equally long: (height, (panel, length) of each)."""
    if not left:
        yield []
        return
    first, others = left[0], left[1:]
    for along, height in {sides[first], sides[first][::-1]}:
        same = [n for n in others if height in sides[n]]
        for size in range(len(same) + 1):
            for chosen in combinations(same, size):
                line = [(first, along), *((n, sum(sides[n]) - height) for n in chosen)]
                total = sum(length for _, length in line)
                if across in (None, total):
                    rest = tuple(n for n in others if n not in chosen)
                    yield from ([(height, line), *more] for more in _strips(sides, rest, total))


def _in_order(line: Sequence[_Along]) -> bool:
    """Tell whether panels side by side each end at their seam; the last names none, the one before it, or the end."""
    for last in range(len(line)):
        before = sorted((panel for n, panel in enumerate(line) if n != last), key=lambda panel: panel[1] or 0)
        ends = list(accumulate(along for along, _ in before))
        final = line[last][1]
        if ends == [seam for _, seam in before] and final in (None, *ends[-1:], sum(along for along, _ in line)):
            return True
    return False


class _Sticks(_Good):
    layouts = "sticks"

    def check_part(self, part: Mapping[str, Any]) -> None:
        """Nothing beyond length and count."""

    def check_layout(self, layout: Mapping[str, Any], stock: Mapping[str, Any]) -> list[str]:
        parts: list[str] = list(layout["parts"])
        lengths = [self.wanted[part]["length"] for part in parts if part in self.wanted]
        used = sum(lengths) + self.kerf * max(len(parts) - 1, 0)
        usable = stock["length"] - stock.get("trim", 0)
        if used > usable:
            self.fault(f"stock {stock['stock']}: parts and kerfs take {used} of {usable}")
        return parts


def _check_crates(crates: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    faults += [f"crate {name} appears twice" for name in _repeats([crate["crate"] for crate in crates])]
    named = {crate["crate"]: crate for crate in crates}
    riders: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for crate in crates:
        name = crate["crate"]
        sizes = [
            [_whole(crate[side], key, 1) for key in ("width", "height", "depth")] for side in ("outside", "inside")
        ]
        if any(within > outer for outer, within in zip(*sizes, strict=True)):
            faults.append(f"crate {name}: inside {sizes[1]} is larger than outside {sizes[0]}")
        net, tare, gross = (_weight(crate, key) for key in ("net_kg", "tare_kg", "gross_kg"))
        if net + tare != gross:
            faults.append(f"crate {name}: net {net} and tare {tare} are not gross {gross}")
        if crate["inside_of"] is not None:
            case = named.get(crate["inside_of"])
            if case is None or case["method"] != "outer":
                faults.append(f"crate {name}: {crate['inside_of']} is not an outer case")
            if crate["method"] != "travel":
                faults.append(f"crate {name}: only a travel frame rides in a case, not {crate['method']}")
            riders[crate["inside_of"]].append(crate)
    for crate in crates:
        if crate["method"] == "outer":
            _check_case(crate, riders[crate["crate"]], faults)
    carried = [piece for crate in crates if crate["method"] != "outer" for piece in crate["pieces"]]
    faults += [f"piece {piece} is packed twice" for piece in _repeats(carried)]


def _check_case(case: Mapping[str, Any], riders: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    """Check an outer case against the travel frames that ride in it."""
    name = case["crate"]
    # Every printed weight is rounded by up to 0.05 kg, the case's own as well.
    spread = Decimal("0.05") * (len(riders) + 1)
    net = sum((_weight(rider, "net_kg") for rider in riders), Decimal(0))
    if abs(_weight(case, "net_kg") - net) > spread:
        faults.append(f"case {name}: net is {case['net_kg']}, and the artworks in it weigh {net}")
    tare = sum((_weight(rider, "tare_kg") for rider in riders), Decimal(0))
    if _weight(case, "tare_kg") < tare - spread:
        faults.append(f"case {name}: tare is {case['tare_kg']}, and its frames alone weigh {tare}")
    pieces = sorted(piece for rider in riders for piece in rider["pieces"])
    if case["pieces"] and sorted(case["pieces"]) != pieces:
        faults.append(f"case {name}: carries {sorted(case['pieces'])}, and its frames {pieces}")
    room, volume = sorted(case["inside"].values()), 0
    for rider in riders:
        size = sorted(rider["outside"].values())
        volume += size[0] * size[1] * size[2]
        if any(side > free for side, free in zip(size, room, strict=True)):
            faults.append(f"case {name}: frame {rider['crate']} of {size} does not go into {room}")
    if volume > room[0] * room[1] * room[2]:
        faults.append(f"case {name}: its frames take more room than there is")


def _check_drill(
    crates: Sequence[Mapping[str, Any]], goods: Sequence[Mapping[str, Any]], used: Sequence[Node], faults: list[str]
) -> None:
    """Check that every drill point lies on the back, and that there is a part to take the screw."""
    wanted = {part["part"] for good in goods for part in good["wanted"]} | {part["part"] for part in used}
    for crate in crates:
        width, height = crate["outside"]["width"], crate["outside"]["height"]
        for point in crate["drill"]:
            where = f"crate {crate['crate']}: drill point {point['x']}, {point['y']}"
            if not (0 < point["x"] < width and 0 < point["y"] < height):
                faults.append(f"{where} is not on the back of {width} by {height}")
            if point["into"] not in wanted and crate.get("standing") != "held":
                faults.append(f"{where} goes into {point['into']}, which is no part")
            if not isinstance(point["screw"], str) or not point["screw"]:
                faults.append(f"{where} names no screw")


def _check_standing(
    crates: Sequence[Mapping[str, Any]], goods: Sequence[Mapping[str, Any]], used: Sequence[Node], faults: list[str]
) -> None:
    """Check that each crate's standing agrees with its reasons and with its case, and that nothing held is cut."""
    standing = {crate["crate"]: crate["standing"] for crate in crates}
    for crate in crates:
        name, said, why = crate["crate"], crate["standing"], crate["held_for"]
        for each in why:
            texts = [each[key] for key in ("check", "found", "allowed", "would_pass")]
            if not all(isinstance(text, str) for text in texts) or not texts[0]:
                faults.append(f"crate {name}: a reason is not told in words: {texts}")
        words = [each["accepted"] for each in why]
        written = [isinstance(word, str) and bool(word.strip()) for word in words]
        right = {
            "good": not why,
            "held": bool(why) and all(word is None for word in words),
            "accepted": bool(why) and all(written),
        }
        if said not in right:
            faults.append(f"crate {name}: standing is {said!r}")
        elif not right[said]:
            faults.append(f"crate {name} is {said}, which does not agree with what it is held for: {words}")
        case = standing.get(crate["inside_of"])
        if case is not None and (said == "held") is not (case == "held"):
            faults.append(f"crate {name} is {said}, and its case {crate['inside_of']} {case}")
    held = {name for name, said in standing.items() if said == "held"}
    wanted = [part["part"] for good in goods for part in good["wanted"]]
    parts = (*wanted, *(part["part"] for part in used))
    faults += [f"part {part} is wanted, and its crate is held" for part in parts if part.split(".")[0] in held]


def _check_designs(crates: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    """Check that designs are named, each once, and the next best at most two."""
    for crate in crates:
        name, design, others = crate["crate"], crate["design"], crate["others"]
        keys = [each["key"] for each in ([] if design is None else [design]) + others]
        if not all(isinstance(key, str) and key for key in keys):
            faults.append(f"crate {name}: a design has no key: {keys}")
        faults += [f"crate {name}: design {key} is told twice" for key in _repeats([str(key) for key in keys])]
        if len(others) > 2 or (others and design is None):
            faults.append(f"crate {name}: {len(others)} designs come next to {keys[0] if design else 'none'}")
        if design is not None:
            _whole(design, "cleat", 0)
            if not isinstance(design["back"], str) or not isinstance(design["battens"], str | None):
                faults.append(f"crate {name}: back or battens of its design are no goods")
        for other in others:
            _weight(other, "tare_kg")


def _check_gear(crates: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    """Check that bolts go one way, and that nothing of the gear shares its place; documents of before have none."""
    for crate in crates:
        name, boxes = crate["crate"], [each["box"] for each in crate.get("gear", ()) if each["role"] in _SOLID]
        for one, other in combinations(boxes, 2):
            if all(one[a] < other[a] + other[d] and other[a] < one[a] + one[d] for a, d in _AXES):
                faults.append(f"crate {name}: two pieces of gear meet at {one['x']}, {one['y']}, {one['z']}")
        for bolt in crate.get("bolts", ()):
            if sorted(map(abs, bolt["way"])) != [0, 0, 1]:
                faults.append(f"crate {name}: a bolt goes {bolt['way']}, along no axis")
            if not _whole(bolt, "hole", 1) or not bolt["through"]:
                faults.append(f"crate {name}: a bolt of {bolt['good']} goes through nothing")
            faults += [
                f"crate {name}: a bolt goes through {part}, a part of another crate"
                for part in bolt["through"]
                if not str(part).startswith(f"{name}.")
            ]
        places = Counter((bolt["x"], bolt["y"], bolt["z"], *bolt["way"]) for bolt in crate.get("bolts", ()))
        faults += [f"crate {name}: {count} bolts at {at[:3]}" for at, count in places.items() if count > 1]


def _check_bores(crates: Sequence[Mapping[str, Any]], faults: list[str]) -> None:
    """Check that no drill is wider than the hole through what it holds, nor stops within it for nothing."""
    for crate in crates:
        for point in crate["drill"]:
            clearance, pilot, stop = (_whole(point, key, 0) for key in ("clearance", "pilot", "stop"))
            where = f"crate {crate['crate']}: drill point {point['x']}, {point['y']}"
            if clearance and pilot >= clearance:
                faults.append(f"{where}: pilot {pilot} is not smaller than clearance {clearance}")
            if pilot and not stop:
                faults.append(f"{where}: a pilot hole has no stop")
