"""The drawings of a build as files: SVG for the eye, DXF for a router."""

import re
from collections.abc import Collection
from pathlib import Path

from nesting.base.measure import UnitSystem
from nesting.base.whole_files import replace_files
from nesting.build import Build, gather
from nesting.cutting.sawing.plan import plan_in
from nesting.drawings.crate import crate_drawing
from nesting.drawings.drill import drill_scene
from nesting.drawings.elevation import elevation
from nesting.drawings.faces import faces
from nesting.drawings.router import bored, router_scene
from nesting.drawings.scene import POINT, Scene
from nesting.drawings.sheet import fitting_scale, sheet_drawing
from nesting.drawings.stick import stick_scene
from nesting.drawings.svg import to_svg

_OURS = re.compile(r"(sheet|stick|crate|drill|face)-[A-Za-z0-9-]+\.(svg|dxf)")
_WIDTH, _HEIGHT = 720.0, 520.0
"""Room for a drawing on its own, in points."""


def drawings(build: Build, units: UnitSystem | None = None) -> dict[str, Scene]:
    """Return every drawing of a build by a name fit for a file.

    Sheets come as ``sheet-GOOD-1``, sticks as ``stick-GOOD-1``, crates as ``crate-K1``, their faces
    with dimensions as ``face-K1-back``, drill maps as ``drill-K1``.
    """
    shown = units or build.units
    made: dict[str, Scene] = {}
    for layout in build.layouts:
        good = build.shop.by_name.get(layout.good)
        sawn = plan_in(build.shop, layout)
        for number, each in enumerate(layout.sheets, start=1):
            steps = sawn.of_layout(number - 1)
            scale = fitting_scale(each.sheet.length, each.sheet.width, _WIDTH * POINT, _HEIGHT * POINT)
            grain = bool(good and good.grain)
            drawn = sheet_drawing(each, steps, layout.kerf, scale=scale, units=shown, grain=grain)
            made[file_name("sheet", layout.good, number)] = drawn.scene
    _, wanted, _ = gather(build.crates)
    for plan in build.stick_plans:
        lengths = {part.name: part.length for part in wanted.get(plan.good, [])}
        for number, stick in enumerate(plan.sticks, start=1):
            scale = fitting_scale(stick.stick.length, 1, _WIDTH * POINT, POINT)
            made[file_name("stick", plan.good, number)] = stick_scene(
                stick, lengths, plan.kerf, scale=scale, units=shown
            )
    for crate in build.crates:
        view = crate_drawing(crate, _WIDTH, _HEIGHT)
        if view is not None:
            made[file_name("crate", crate.crate)] = view.scene
        numbers = {name: index for index, name in enumerate(view.names if view else (), start=1)}
        for face in faces(crate):
            scale = fitting_scale(face.width, face.height, _WIDTH * 0.7 * POINT, _HEIGHT * 0.7 * POINT)
            made[file_name("face", f"{crate.crate}-{face.key}")] = elevation(face, numbers, scale, shown).scene
        drill = drill_scene(crate, _WIDTH, _HEIGHT, shown)
        if drill is not None:
            made[file_name("drill", crate.crate)] = drill
    return made


def file_name(kind: str, name: str, number: int | None = None) -> str:
    """Return a file's name without its ending: plain letters, digits and hyphens."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-") or "x"
    return f"{kind}-{plain}" + (f"-{number}" if number is not None else "")


def drawing_contents(build: Build, units: UnitSystem | None = None) -> dict[str, bytes]:
    """Return every drawing of a build as a file by name: an SVG for each, and a DXF for each sheet layout.

    Parameters
    ----------
    build : Build
        What is drawn.
    units : {"inch", "metric"}, optional
        Of the figures, and of the DXF's drawing units; the order's own when not given.
    """
    from nesting.drawings.dxf import to_dxf  # loaded here: it takes a quarter of a second

    shown = units or build.units
    contents = {f"{name}.svg": to_svg(scene).encode() for name, scene in drawings(build, shown).items()}
    drilled = bored(build.crates)
    for layout in build.layouts:
        for number, each in enumerate(layout.sheets, start=1):
            scene = router_scene(each, layout.kerf, drilled)
            contents[f"{file_name('sheet', layout.good, number)}.dxf"] = to_dxf(scene, shown)
    return contents


def left_over(folder: Path, names: Collection[str]) -> tuple[str, ...]:
    """Return the drawings in a folder that are none of those names: what an earlier order, or layout, left there."""
    there = (path.name for path in folder.iterdir()) if folder.is_dir() else ()
    return tuple(sorted(name for name in there if _OURS.fullmatch(name) and name not in names))


def write_drawings(build: Build, folder: Path, *, units: UnitSystem | None = None) -> tuple[Path, ...]:
    """Write every drawing of a build into a folder; see :func:`drawing_contents`.

    Parameters
    ----------
    folder : Path
        Made where it is missing; each file is replaced whole, after all of them were made.

    Returns
    -------
    tuple of Path
        The files.
    """
    contents = drawing_contents(build, units)
    replace_files(folder, contents)
    return tuple(folder / name for name in contents)
