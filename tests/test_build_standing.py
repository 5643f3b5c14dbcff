"""The second format of build.json: how crates stand, what was chosen, how deep is drilled; each planted fault is told.

Sizes and figures are invented.
"""

import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from nesting.crates.model import Bolt, Box, Designed, Fitting, HeldFor
from pricing.output.handover import build_document
from tests.build_verifier import verify_build
from tests.pricing.builds import holding, small_build
from tests.test_build_verifier import IN, Document
from tests.test_build_verifier import document as first_format

BACK = {"check": "back, bending", "found": "1920 psi", "allowed": "815 psi", "would_pass": "two cleats more"}

HANDLE = {
    "good": "handle", "role": "handle", "text": "left side",
    "box": {"x": -IN, "y": 10 * IN, "z": IN, "dx": IN, "dy": 4 * IN, "dz": IN},
}  # fmt: skip
BOLT = {
    "good": "bolt 1/4x1-1/2", "x": 0, "y": 11 * IN, "z": 3 * IN // 2, "way": [1, 0, 0], "through": ["K1.stile"],
    "nut": "t-nut 1/4", "washer": "", "hole": 9 * IN // 32, "bore": 0,
}  # fmt: skip


def document() -> Document:
    """Return the worked example in the second format: good crates, an accepted one, a held one that is not cut."""
    build = first_format() | {"format": "casewright-build/2"}
    for crate in build["crates"]:
        crate |= {"standing": "good", "held_for": [], "design": None, "others": []}
        for point in crate["drill"]:
            point |= {"clearance": IN // 4, "pilot": 7 * IN // 64, "stop": IN}
    first = build["crates"][0]
    first["design"] = {"key": "b38-u550x3-c2", "back": "ply-3/8", "battens": "ply-23/32", "cleat": 2}
    first["others"] = [{"key": "b1532-u300x2-c1", "tare_kg": 57.2, "minutes": 96}]
    first |= {"standing": "accepted", "held_for": [BACK | {"accepted": "the owner knows"}]}
    held = json.loads(json.dumps(first)) | {"crate": "K5", "pieces": ["A-09"], "standing": "held"}
    held["held_for"] = [BACK | {"accepted": None}]
    held["drill"][0]["into"] = "K5.cleat-low"
    build["crates"].append(held)
    first |= json.loads(json.dumps({"stands": "pallet", "gear": [HANDLE], "bolts": [BOLT]}))
    return build


def schema() -> dict[str, Any]:
    """Return the schema as it is shipped."""
    parsed: dict[str, Any] = json.loads(files("nesting").joinpath("build.schema.json").read_text("utf-8"))
    return parsed


def check(build: Document) -> list[str]:
    """Hold a build against schema and verifier."""
    jsonschema.validate(build, schema(), cls=jsonschema.Draft202012Validator)
    return verify_build(build, places=False)


def test_a_right_build_has_no_fault_and_the_schema_is_a_schema() -> None:
    assert check(document()) == []
    jsonschema.Draft202012Validator.check_schema(schema())


def test_the_first_format_is_still_read_and_is_not_taken_for_the_second() -> None:
    assert verify_build(first_format()) == []
    faults = verify_build(first_format() | {"format": "casewright-build/2"})
    assert any("standing" in fault for fault in faults)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(first_format(), schema(), cls=jsonschema.Draft202012Validator)


def _hold_frame(build: Document) -> None:
    """Hold the first frame of the case, and not the case."""
    build["crates"][1] |= {"standing": "held", "held_for": [BACK | {"accepted": None}]}


PLANTED: dict[str, tuple[Callable[[Document], object], str]] = {
    "good with a reason": (lambda d: d["crates"][4].update(standing="good"), "K5 is good, which does not agree"),
    "held for nothing": (lambda d: d["crates"][1].update(standing="held"), "K2 is held, which does not agree"),
    "held and accepted": (lambda d: d["crates"][0].update(standing="held"), "K1 is held, which does not agree"),
    "accepted without a word": (
        lambda d: d["crates"][0]["held_for"][0].update(accepted=" "), "K1 is accepted, which does not agree",
    ),
    "accepted of a part": (
        lambda d: d["crates"][0]["held_for"].append(BACK | {"accepted": None}), "K1 is accepted, which does not agree",
    ),
    "another standing": (lambda d: d["crates"][1].update(standing="fine"), "standing is 'fine'"),
    "a reason without words": (lambda d: d["crates"][4]["held_for"][0].update(check=""), "not told in words"),
    "a part of a held crate is cut": (
        lambda d: d["stick_goods"][0]["wanted"][0].update(part="K5.edge"), "K5.edge is wanted, and its crate is held",
    ),
    "a frame is held and its case is not": (_hold_frame, "crate K2 is held, and its case K4 good"),
    "a case is held and its frames are not": (
        lambda d: d["crates"][3].update(standing="held", held_for=[BACK | {"accepted": None}]),
        "crate K2 is good, and its case K4 held",
    ),
    "a design without a key": (lambda d: d["crates"][0]["design"].update(key=""), "a design has no key"),
    "a design told twice": (
        lambda d: d["crates"][0]["others"].append(d["crates"][0]["others"][0]), "b1532-u300x2-c1 is told twice",
    ),
    "three next best": (
        lambda d: d["crates"][0]["others"].extend({"key": key, "tare_kg": 1, "minutes": 1} for key in "ab"),
        "3 designs come next to",
    ),
    "next best to nothing": (lambda d: d["crates"][0].update(design=None), "1 designs come next to none"),
    "weight of a design too fine": (lambda d: d["crates"][0]["others"][0].update(tare_kg=1.23), "to 0.1 kg"),
    "pilot as wide as the clearance": (
        lambda d: d["crates"][0]["drill"][0].update(pilot=IN // 4), "is not smaller than clearance",
    ),
    "pilot without a stop": (lambda d: d["crates"][0]["drill"][0].update(stop=0), "a pilot hole has no stop"),
    "handles that meet": (
        lambda d: d["crates"][0]["gear"].append(HANDLE | {"box": HANDLE["box"] | {"y": 13 * IN}}),  # type: ignore[operator]  # a box
        "two pieces of gear meet",
    ),
    "a bolt aslant": (lambda d: d["crates"][0]["bolts"][0].update(way=[1, 1, 0]), "along no axis"),
    "a bolt through nothing": (lambda d: d["crates"][0]["bolts"][0].update(through=[]), "goes through nothing"),
    "a bolt into another crate": (
        lambda d: d["crates"][0]["bolts"][0]["through"].append("K2.stile"), "K2.stile, a part of another crate",
    ),
    "a bolt twice": (lambda d: d["crates"][0].update(bolts=[BOLT, BOLT]), "2 bolts at"),
    "bores in words": (lambda d: d["crates"][0]["drill"][0].update(stop="1 in"), "stop must be a whole number"),
}  # fmt: skip


@pytest.mark.parametrize(("plant", "words"), PLANTED.values(), ids=PLANTED.keys())
def test_each_planted_fault_is_told(plant: Callable[[Document], object], words: str) -> None:
    build = document()
    plant(build)
    faults = verify_build(build)
    assert any(words in fault for fault in faults), faults


MISSHAPEN: dict[str, Callable[[Document], object]] = {
    "the first format": lambda d: d.update(format="casewright-build/1"),
    "good with a reason": lambda d: d["crates"][4].update(standing="good"),
    "held for nothing": lambda d: d["crates"][1].update(standing="held"),
    "held and accepted": lambda d: d["crates"][0].update(standing="held"),
    "accepted and no word": lambda d: d["crates"][0]["held_for"][0].update(accepted=None),
    "no standing": lambda d: d["crates"][1].pop("standing"),
    "no design": lambda d: d["crates"][1].pop("design"),
    "three next best": lambda d: d["crates"][0]["others"].extend(d["crates"][0]["others"] * 2),
    "a drill point without a stop": lambda d: d["crates"][0]["drill"][0].pop("stop"),
    "standing in another way": lambda d: d["crates"][0].update(stands="a wall"),
    "gear without a place": lambda d: d["crates"][0]["gear"].append({"good": "handle", "role": "handle"}),
    "a bolt that is not said to be sunk or not": lambda d: d["crates"][0]["bolts"][0].pop("bore"),
    "a stop above the back": lambda d: d["crates"][0]["drill"][0].update(stop=-1),
}


@pytest.mark.parametrize("plant", MISSHAPEN.values(), ids=MISSHAPEN.keys())
def test_the_schema_refuses_what_is_misshapen(plant: Callable[[Document], object]) -> None:
    build = document()
    plant(build)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(build, schema(), cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize("held", [(), ("A-01",), ("A-02#1",), ("A-01", "A-02#1")])
def test_what_is_written_of_a_build_says_how_each_crate_stands(held: tuple[str, ...]) -> None:
    build = holding(small_build(), *held)
    made = build_document(build, "USD")
    assert check(made) == []
    standing = {crate["crate"]: crate["standing"] for crate in made["crates"]}
    assert set(standing) == {crate.crate for crate in small_build().crates}
    assert [name for name, said in standing.items() if said == "held"] == [crate.crate for crate in build.held]
    wanted = {part["part"].split(".")[0] for good in made["sheet_goods"] for part in good["wanted"]}
    assert wanted == {crate.crate for crate in build.crates}


def test_what_is_written_of_a_build_says_what_was_chosen_accepted_and_drilled() -> None:
    build = small_build()
    chosen = Designed("b38-u550x3-c2", "ply-3/8", "", 2, "a back 3/8 in", 57.24, 95.96, 7)
    why = HeldFor("back, bending", "1920 psi", "815 psi", "two cleats more")
    first = replace(
        build.crates[0], design=chosen, others=(replace(chosen, key="other"),), standing="accepted", held_for=(why,),
        accepted="the owner knows", code="1234abcd",
    )  # fmt: skip
    made = build_document(replace(build, crates=(first, *build.crates[1:])), "USD")
    assert check(made) == []
    crate = made["crates"][0]
    assert crate["design"] == {
        "key": "b38-u550x3-c2", "back": "ply-3/8", "battens": None, "cleat": 2, "text": "a back 3/8 in",
    }  # fmt: skip
    assert crate["others"] == [{"key": "other", "text": "a back 3/8 in", "tare_kg": 57.2, "minutes": 96.0}]
    assert (crate["standing"], crate["held_for"]) == ("accepted", [BACK | {"accepted": "the owner knows"}])


def test_what_is_written_of_a_build_says_where_gear_and_bolts_are() -> None:
    build = small_build()
    name = build.crates[0].crate
    handle = Fitting("handle", "handle", Box(-IN, 10 * IN, IN, IN, 4 * IN, IN), "left side")
    bolt = Bolt(
        "bolt 1/4x1-1/2", 0, 11 * IN, 3 * IN // 2, (1, 0, 0), (f"{name}.stile",), nut="t-nut 1/4", hole=9 * IN // 32
    )
    fitted = replace(build.crates[0], gear=(handle,), bolts=(bolt,), stands="pallet")
    made = build_document(replace(build, crates=(fitted, *build.crates[1:])), "USD")
    assert check(json.loads(json.dumps(made))) == []
    crate = json.loads(json.dumps(made))["crates"][0]
    assert (crate["stands"], crate["gear"], crate["bolts"]) == (
        "pallet",
        [HANDLE],
        [{**BOLT, "through": [f"{name}.stile"]}],
    )
