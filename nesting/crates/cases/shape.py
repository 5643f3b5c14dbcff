"""Shape of an outer case: what one design of it takes and comes to, without steps, checks and papers.

A sketch is made by the same hands as the case, so the two agree to the last part; only its gear and what is said of it
are left out. Equal designs of equal frames are sketched once.
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
    case.stand(weighing)
    bench = case.bench
    weighing = case.weigh()
    frames = sum(frame.tare_kg for frame in casing.frames)
    screws = bench.screws()
    gross = weighing.net_kg + weighing.tare_kg
    return Sketch(
        outside=case.outside,
        gross_g=round(1000 * gross),
        parts=bench.parts,
        sticks=bench.sticks,
        bill=Bill(
            each={item.good: item.count for item in bench.piecework},
            work={
                "hole": screws,
                "screw": screws,
                "glue_run": case.glue_runs,
                "bolt": len(bench.bolts),
                "part": sum(part.count for part in bench.parts) + sum(stick.count for stick in bench.sticks),
            },
            grams=round(1000 * (weighing.tare_kg - frames)),
        ),
    )
