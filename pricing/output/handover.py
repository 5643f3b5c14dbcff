"""``build.json``: what the shop floor hands on, so that a build can be checked without our code.

The format is ``casewright-build/2``; its JSON Schema is package data (``nesting/build.schema.json``), and so is that of
``casewright-build/1``, which earlier versions wrote (``nesting/build.schema.1.json``). Fields may be added, and keep
their meaning. Held crates are told with the others; none of their parts is wanted.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from nesting.base.measure import UNITS_PER_INCH
from nesting.base.version import made_by
from nesting.build import Build, to_cut
from nesting.crates.model import Bolt, Crate, Designed, Drill, HeldFor
from nesting.cutting.existing import Used
from nesting.cutting.parts import Part, StickPart
from nesting.cutting.sheets import Cut, Layout, Node, Offcut, PartLeaf, Sheet
from nesting.cutting.sticks import Stick, StickPlan
from pricing.money import cents_text
from pricing.output.lying import artworks, driven_into, goods, lying_in, place_of, size_of

FORMAT = "casewright-build/2"


def build_document(build: Build, currency: str) -> dict[str, Any]:
    """Return the document as plain values, ready for JSON."""
    sheets, sticks = to_cut(build)
    given = {"given": _given(build)} if build.used or build.left_over else {}
    unpacked = [{"piece": each.piece, "why": list(each.why), "accepted": each.accepted} for each in build.unpacked]
    return {
        "format": FORMAT,
        "made_by": made_by(),
        "seed": build.seed,
        "effort": build.effort,
        "stopped": build.stopped,
        "units_per_inch": UNITS_PER_INCH,
        "currency": currency,
        "artworks": artworks(build),
        "goods": goods(build),
        "crates": [_crate(crate) for crate in build.every],
        "sheet_goods": [_sheet_good(build, layout, sheets[layout.good]) for layout in build.layouts],
        "stick_goods": [_stick_good(build, plan, sticks[plan.good]) for plan in build.stick_plans],
        **({"unpacked": unpacked} if unpacked else {}),
        **given,
    }


def build_text(build: Build, currency: str) -> str:
    """Return the document as JSON text, one line for each leaf value of interest to a reader."""
    return json.dumps(build_document(build, currency), indent=1, ensure_ascii=False) + "\n"


def _crate(crate: Crate) -> dict[str, Any]:
    return {
        "crate": crate.crate,
        "method": crate.method,
        "reason": crate.reason,
        "pieces": list(crate.pieces),
        "inside_of": crate.inside_of,
        "outside": size_of(crate.outside),
        "inside": size_of(crate.inside),
        "net_kg": round(crate.net_kg, 1),
        "tare_kg": round(crate.tare_kg, 1),
        "gross_kg": crate.gross_kg,
        "drill": [_drill(each, crate) for each in crate.drill],
        "standing": crate.standing,
        "held_for": [_held_for(each, crate) for each in crate.held_for],
        "design": _design(crate.design) if crate.design else None,
        "others": [
            {"key": each.key, "text": each.text, "tare_kg": round(each.tare_kg, 1), "minutes": round(each.minutes, 1)}
            for each in crate.others
        ],
        "stands": crate.stands,
        "gear": [
            {"good": each.good, "role": each.role, "text": each.text, "box": place_of(each.box)} for each in crate.gear
        ],
        "bolts": [_bolt(each) for each in crate.bolts],
        **lying_in(crate),
    }


def _bolt(bolt: Bolt) -> dict[str, Any]:
    """Return a bolt with its place; its length under the head is its good's."""
    told = asdict(bolt)
    del told["frees"]
    # As JSON has them, for whoever reads the document before it is written.
    return {**told, "way": list(bolt.way), "through": list(bolt.through)}


def _drill(drill: Drill, crate: Crate) -> dict[str, Any]:
    """Return a drill point, with its bores as lengths; 0 where none is drilled or none is known."""
    clearance, pilot, stop = drill.bores or (0, 0, 0)
    return {
        **driven_into(drill, crate),
        "x": drill.x,
        "y": drill.y,
        "into": drill.into,
        "screw": drill.screw,
        "clearance": clearance,
        "pilot": pilot,
        "stop": stop,
    }


def _held_for(why: HeldFor, crate: Crate) -> dict[str, Any]:
    """Return one reason; a crate may be held for another's sake though its own were accepted."""
    return {
        "check": why.check,
        "found": why.found,
        "allowed": why.allowed,
        "would_pass": why.would_pass,
        "accepted": crate.accepted if crate.standing == "accepted" else None,
    }


def _design(design: Designed) -> dict[str, Any]:
    return {
        "key": design.key,
        "back": design.back,
        "battens": design.battens or None,
        "cleat": design.cleat,
        "text": design.text,
    }


def _node(node: Node, length: int, width: int, kerf: int) -> dict[str, Any]:
    """Return the cut tree of a rectangle as nested objects.

    Whatever has a size and is no part is an offcut; ``keep`` says whether the shop keeps one of that size. Waste is
    where the saw leaves nothing.
    """
    if isinstance(node, Cut):
        along = node.direction == "cross"
        rest = max(0, (length if along else width) - node.at - kerf)
        first_size, rest_size = ((node.at, width), (rest, width)) if along else ((length, node.at), (length, rest))
        return {
            "cut": node.direction,
            "at": node.at,
            "first": _node(node.first, *first_size, kerf),
            "rest": _node(node.rest, *rest_size, kerf),
        }
    if isinstance(node, PartLeaf):
        return {"part": node.part, "turned": node.turned}
    if length and width:
        return {"offcut": True, "keep": isinstance(node, Offcut)}
    return {"waste": True}


def _prices(cost: int, breaks: Sequence[tuple[int, int]]) -> list[dict[str, Any]]:
    return [{"from": start, "each": cents_text(each)} for start, each in ((1, cost), *breaks)]


def _stock_sheet(sheet: Sheet) -> dict[str, Any]:
    trim = sheet.trim
    return {
        "stock": sheet.name,
        "source": sheet.source,
        "length": sheet.length,
        "width": sheet.width,
        "trim": {
            "left": trim.left if trim else 0,
            "right": trim.right if trim else 0,
            "bottom": trim.bottom if trim else 0,
            "top": trim.top if trim else 0,
        },
        "available": sheet.count,
        "prices": _prices(sheet.cost, sheet.breaks),
    }


def _wanted(part: Part) -> dict[str, Any]:
    wanted: dict[str, Any] = {
        "part": part.name,
        "length": part.length,
        "width": part.width,
        "count": part.count,
        "grain": part.grain,
    }
    if part.panel_of is not None:
        wanted |= {"panel_of": part.panel_of, "seam": part.seam}
    return wanted


def _sums(cost: int, spend: int, bound: int, *, proven: bool) -> dict[str, Any]:
    """Return the figures that the optimiser answers for: spend on bought stock, and the objective with rack stock."""
    return {
        "cost": cents_text(spend),
        "objective": cents_text(cost),
        "bound": cents_text(bound),
        "proven": proven,
    }


def _given(build: Build) -> dict[str, Any]:
    """Return the parts that were cut before this plan: those that it uses, and those that nobody wants."""
    return {"used": [_used(each) for each in build.used], "left_over": [_existing(part) for part in build.left_over]}


def _used(used: Used[Part] | Used[StickPart]) -> dict[str, Any]:
    return {**_existing(used.part), "label": used.label}


def _existing(part: Part | StickPart) -> dict[str, Any]:
    if isinstance(part, Part):
        return {"good": part.good, **_wanted(part)}
    return {"good": part.good, "part": part.name, "length": part.length, "count": part.count}


def _sheet_good(build: Build, layout: Layout, parts: Sequence[Part]) -> dict[str, Any]:
    return {
        "good": layout.good,
        "kerf": layout.kerf,
        "stock": [_stock_sheet(sheet) for sheet in build.supply.sheets[layout.good]],
        "wanted": [_wanted(part) for part in parts],
        "sheets": [
            {
                "stock": each.sheet.name,
                "repeat": each.repeat,
                "cuts": _node(each.cuts, each.sheet.usable_length, each.sheet.usable_width, layout.kerf),
            }
            for each in layout.sheets
        ],
        **_sums(layout.cost, layout.spend, layout.bound, proven=layout.bound == layout.cost),
    }


def _stock_stick(stick: Stick) -> dict[str, Any]:
    return {
        "stock": stick.name,
        "source": stick.source,
        "length": stick.length,
        "available": stick.count,
        "prices": _prices(stick.cost, stick.breaks),
    }


def _stick_good(build: Build, plan: StickPlan, parts: Sequence[StickPart]) -> dict[str, Any]:
    return {
        "good": plan.good,
        "kerf": plan.kerf,
        "stock": [_stock_stick(stick) for stick in build.supply.sticks[plan.good]],
        "wanted": [{"part": part.name, "length": part.length, "count": part.count} for part in parts],
        "sticks": [
            {"stock": each.stick.name, "repeat": each.repeat, "parts": list(each.parts)} for each in plan.sticks
        ],
        **_sums(plan.cost, plan.spend, plan.bound, proven=plan.proven),
    }
