"""What must hold between the rows of an order: names, companions, sets, destinations, photos, currency, cushion."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Final

from nesting.base.faults import Faults
from nesting.base.measure import INCH, MM, UnitSystem, format_length, shorten
from nesting.intake.columns import BY_NAME
from nesting.intake.lines import Line
from nesting.intake.money import DOLLARS
from nesting.order import MOST_PIECES, is_below

_DENSEST: Final = 8_000
"""kg/m3 over which a weight is doubted: steel has about 7,850 (from memory); a slip of the unit is likelier."""
_SMALL: Final = 150 * MM
_LARGE: Final = 200 * INCH


def check_names(lines: Sequence[Line], faults: Faults) -> None:
    """Note pieces that stand twice, capitals apart, and names that a numbered copy of another row takes."""
    rows: dict[str, int] = {}
    for line in lines:
        name = line.values.get("piece")
        if name is None:
            continue
        if name.casefold() in rows:
            faults.add(
                line.row, "piece", name, f"a name that no other row has; {_row(faults, rows[name.casefold()])} has it"
            )
        else:
            rows[name.casefold()] = line.row
    owners = {line.values["piece"].casefold(): line for line in lines if "piece" in line.values}
    for line in lines:
        name = line.values.get("piece", "")
        base, mark, number = name.rpartition("#")
        owner = owners.get(base.casefold())
        if not mark or owner is None or not (number.isascii() and number.isdigit()):
            continue
        if str(int(number[:9])) == number and 1 <= int(number) <= owner.values.get("quantity", 1) > 1:
            accepted = f"another name; the copies of {base} in {_row(faults, owner.row)} are called so"
            faults.add(line.row, "piece", name, accepted)
    total = sum(line.values.get("quantity", 1) for line in lines)
    if total > MOST_PIECES:
        faults.add(None, "quantity", f"{total} pieces in all", f"{MOST_PIECES} at the most, copies counted")


def _row(faults: Faults, number: int) -> str:
    """Name a row as the file does."""
    return f"{faults.row_word} {number}"


def check_companions(lines: Sequence[Line], faults: Faults) -> None:
    """Note companions that are not in the order or contradict one another; write their names as the rows do.

    A row may name a piece, one of its copies (``A-01#2``), or a set.
    """
    names = {line.values["piece"].casefold(): line.values["piece"] for line in lines if "piece" in line.values}
    for line in lines:
        piece, count = line.values.get("piece"), line.values.get("quantity", 1)
        if piece is not None and count > 1:
            names |= {f"{piece}#{number}".casefold(): f"{piece}#{number}" for number in range(1, count + 1)}
    wanted: dict[tuple[str, str], str] = {}
    for line in lines:
        piece = line.values.get("piece")
        for column in ("together", "apart"):
            proper = []
            for other in line.values.get(column, ()):
                known = names.get(other.casefold())
                if known is None or known == piece:
                    accepted = "names of other pieces of this order" + (
                        "; a piece is not its own companion" if known else ""
                    )
                    faults.add(line.row, column, other, accepted)
                    continue
                proper.append(known)
                pair = (min(piece or "", known), max(piece or "", known))
                if wanted.setdefault(pair, column) != column:
                    faults.add(
                        line.row, column, other, f"either together or apart for {pair[0]} and {pair[1]}, not both"
                    )
            if column in line.values:
                line.values[column] = tuple(proper)
    _check_sets(lines, wanted, faults)


def _check_sets(lines: Sequence[Line], wanted: dict[tuple[str, str], str], faults: Faults) -> None:
    """Note sets that cannot share one crate, and companions bound for different places."""
    by_name = {line.values["piece"]: line for line in lines if "piece" in line.values}
    sets: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if "set" in line.values:
            sets[line.values["set"]].append(line)
    for name, members in sets.items():
        for column in ("destination", "method", "ship_by"):
            told = {line.values[column] for line in members if line.values.get(column, "auto") != "auto"}
            missing = column == "destination" and any(column not in line.values for line in members)
            if len(told) > 1 or (told and missing):
                found = ", ".join(sorted(map(str, told))) + (" and nothing" if missing else "")
                faults.add(members[-1].row, column, found, f"one {column} for all pieces of the set {name}")
    for (one, other), column in wanted.items():
        a, b = (by_name.get(piece.rpartition("#")[0] if piece not in by_name else piece) for piece in (one, other))
        if a is None or b is None:
            continue
        if column == "apart" and a.values.get("set") and a.values.get("set") == b.values.get("set"):
            faults.add(b.row, "apart", f"{one} and {other}", f"pieces of different sets; both are in {a.values['set']}")
        if column == "together" and a.values.get("destination") != b.values.get("destination"):
            places = f"{a.values.get('destination', 'nowhere')} and {b.values.get('destination', 'nowhere')}"
            faults.add(b.row, "together", places, f"one destination for {one} and {other}")


def unify_spelling(lines: Sequence[Line], column: str, file: str) -> list[str]:
    """Write a name that differs in capitals only as it was written first; return a warning for each."""
    first: dict[str, str] = {}
    warned: dict[str, str] = {}
    for line in lines:
        name = line.values.get(column)
        if name is None:
            continue
        proper = first.setdefault(name.casefold(), name)
        if proper != name:
            line.values[column] = proper
            warned[name] = proper
    return [
        f'{file}: {column} "{name}" is read as "{proper}", as it was written first' for name, proper in warned.items()
    ]


def plain_photos(lines: Sequence[Line], file: str) -> list[str]:
    """Keep what stands under photo and is no picture below the order's folder as it is; return a warning for each."""
    warned = []
    for line in lines:
        path = line.values.pop("photo", "")
        if is_below(path):
            line.values["photo"] = path.replace("\\", "/")
        elif path:
            line.extra = (*line.extra, ("photo", path))
            warned.append(
                f'{file}, row {line.row}, photo: "{shorten(path)}" is left out; accepted: {BY_NAME["photo"].accepted}'
            )
    return warned


def currency(lines: Sequence[Line], stated: str | None, faults: Faults) -> str | None:
    """Return the one currency of all amounts, ``None`` where none is stated; note where they mix."""
    main = stated
    for line in lines:
        for column, mark in line.marks.items():
            if not mark or mark == main or (mark == "$" and main in DOLLARS):
                continue
            if main is None or (main == "$" and mark in DOLLARS):
                main = mark
                continue
            faults.add(
                line.row, column, mark, f"{main}, the currency of the amounts before it; an order has one currency"
            )
    return None if main == "$" else main


def cushion(lines: Sequence[Line], stated: str, faults: Faults) -> str:
    """Return how the order's cases are cushioned, empty where it does not say; note rows that say otherwise."""
    for line in lines:
        word = line.values.get("cushion", "")
        if word and stated and word != stated:
            faults.add(line.row, "cushion", word, f"{stated}, as the order says before: one for the whole order")
        stated = stated or word
    return stated


def doubts(lines: Iterable[Line], units: UnitSystem, file: str) -> list[str]:
    """Return warnings for values that may be right but look like slips."""
    warnings = []
    sides = []
    for line in lines:
        values = line.values
        size = [values[name] for name in ("width", "height", "depth") if name in values]
        sides += size[:2]
        if len(size) == 3 and "weight" in values:
            volume = size[0] * size[1] * size[2] / (1000 * MM) ** 3
            density = float(values["weight"]) / volume
            if density > _DENSEST:
                warnings.append(
                    f"{file}: {values.get('piece', '')} would be heavier than steel; look at its weight and sizes"
                )
        if len(size) == 3 and size[2] > max(size[:2]):
            text = " x ".join(format_length(side, units, mark=True) for side in size)
            warnings.append(
                f"{file}: {values.get('piece', '')} is deeper than it is wide or high ({text}); are its sides in the "
                "right columns?"
            )
    if units == "metric" and sides and max(sides) < _SMALL:
        warnings.append(
            f"{file}: no side is over 150 mm; were these inches or centimetres? Bare numbers are millimetres here"
        )
    if units == "inch" and sides and min(sides) >= _LARGE:
        warnings.append(f"{file}: every side is over 200 in; were these centimetres? Bare numbers are inches here")
    return warnings
