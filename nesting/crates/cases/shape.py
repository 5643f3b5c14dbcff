"""Shape of an outer case: what one design of it takes and comes to, without steps, checks and papers.

A sketch is made by the same hands as the case, so the two agree to the last part; only what is said of it is left out.
"""

from nesting.crates.cases.making import made
from nesting.crates.judge import Bill
from nesting.crates.sketch import Sketch
from nesting.crates.traits import Casing


def sketch(casing: Casing) -> Sketch:
    """Sketch a case.

    Raises
    ------
    Refused
        Where a face cannot be made of the stocked sheets.
    """
    case, weighing = made(casing)
    if case.stand(weighing).on:
        weighing = case.weigh()
    work, parts, sticks = case.work, case.bench.parts, case.bench.sticks
    return Sketch(
        outside=case.outside,
        gross_g=round(1000 * (weighing.net_kg + weighing.tare_kg)),
        parts=parts,
        sticks=sticks,
        bill=Bill(
            each={item.good: item.count for item in case.bench.piecework},
            work={
                "hole": work.holes,
                "screw": work.screws,
                "glue_run": work.glue_runs,
                "assembly": work.assemblies,
                "bolt": work.bolts,
                "fitting": work.fittings,
                "seal": work.seals,
                "part": sum(part.count for part in parts) + sum(stick.count for stick in sticks),
            },
            grams=round(1000 * weighing.tare_kg),
        ),
    )
