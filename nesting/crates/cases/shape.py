"""Shape of an outer case: what one design of it takes and comes to, without steps, checks and papers.

A sketch is made by the same hands as the case, so the two agree to the last part; only what is said of it is left out.
"""

from nesting.crates.cases.making import made
from nesting.crates.judge import Bill
from nesting.crates.sketch import WORK, Sketch
from nesting.crates.traits import Casing


def sketch(casing: Casing) -> Sketch:
    """Sketch a case.

    Raises
    ------
    Refused
        Where a face cannot be made of the stocked sheets.
    """
    case, weighing = made(casing)
    found = case.stand(weighing)
    if found.on or case.girdled(found):
        weighing = case.weigh()
    work, parts, sticks = case.work, case.bench.parts, case.bench.sticks
    counts = {name: getattr(work, many) for name, many in WORK.items()}
    counts["part"] = sum(part.count for part in parts) + sum(stick.count for stick in sticks)
    return Sketch(
        outside=case.outside,
        gross_g=round(1000 * (round(weighing.net_kg, 1) + round(weighing.tare_kg, 1))),
        parts=parts,
        sticks=sticks,
        bill=Bill(
            each={item.good: item.count for item in case.bench.piecework},
            work={name: count for name, count in counts.items() if count},
            grams=round(1000 * weighing.tare_kg),
        ),
        carried=case.carried,
    )
