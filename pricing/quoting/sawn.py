"""Sawn: what earlier versions of a job cut and bought, and what that came to; a new version plans and charges the rest.

What was paid stays paid, at the prices of its day. It is charged by the rule of its good: *bought*, all that was
fetched for what is cut and what lies open; by use or area, what the cut sheets used up or their parts, and open stock
only as far as the new plan cuts it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.build import Build
from nesting.crates.cases.consignment import Grouping
from nesting.cutting.given import Given
from nesting.order import Artwork
from pricing.quoting.charging import Charging
from pricing.quoting.labour import Labour
from pricing.quoting.lines import Line, Section, Spread, labour_line, material_line, purchase_tax_lines
from pricing.quoting.takeoff import Amounts, Taken

ORDER: Final[tuple[Section, ...]] = (
    "sheets", "sticks", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance",
)  # fmt: skip
"""In which lines are told."""


@dataclass(frozen=True, slots=True)
class Batch:
    """What was cut after one version.

    Attributes
    ----------
    version : int
        Whose plan was cut.
    rows : tuple of Taken
        Sheets and sticks that were cut or fetched for it, both truths.
    labour : tuple of Labour
        The saw's work on them, and the trip to the yard.
    purchase_tax : mapping of str to Decimal
        The rates of that day.
    """

    version: int
    rows: tuple[Taken, ...]
    labour: tuple[Labour, ...]
    purchase_tax: Mapping[str, Decimal] = field(default_factory=dict)

    def taxed_as_now(self, category: str, rates: Mapping[str, Decimal]) -> bool:
        """Tell whether purchases of a category were taxed as they are by other rates."""
        return self.purchase_tax.get(category) == rates.get(category)


@dataclass(frozen=True, slots=True)
class Sawn:
    """What a version is given by those before it; :func:`pricing.quoting.ticked.sawn_of` makes it.

    Attributes
    ----------
    given : Given
        Parts that are cut and stock that is open, as the shop floor takes it.
    batches : tuple of Batch
        What that came to, the first version first.
    worth : mapping of str to mapping of str to Decimal
        What one open sheet or stick is charged at where a job is charged by use, by good, then by name.
    design : Grouping or None
        How the crates of the version before are made; None where nothing was chosen.
    pieces : tuple of Artwork
        The copies that it was of: a crate whose pieces are as they were is made as it was.
    """

    given: Given = field(default_factory=Given)
    batches: tuple[Batch, ...] = ()
    worth: Mapping[str, Mapping[str, Decimal]] = field(default_factory=dict)
    design: Grouping | None = None
    pieces: tuple[Artwork, ...] = ()

    @property
    def fetched(self) -> bool:
        """Whether an earlier version bears the trip to the yard, which an order pays its part of once."""
        return any(row.operation == "yard" for batch in self.batches for row in batch.labour)


def sawn_lines(sawn: Sawn, build: Build, charging: Charging, spread: Spread) -> Iterator[tuple[Batch, Line]]:
    """Yield the lines of what was cut and bought before, each with its batch: materials, then the saw's work.

    A material that costs nothing by its rule comes with a quantity of nothing.
    A material is borne by the crates that are now made of that good, by everyone alike where none is; the saw's work by
    the parts of sheets and sticks that each crate has.
    """
    pieces = {c.crate: sum(part.count for part in c.parts) + sum(part.count for part in c.sticks) for c in build.crates}
    whole = sum(pieces.values())
    everywhere = {crate: Fraction(count, whole) for crate, count in pieces.items() if count}
    amounts = Amounts.of(build) if sawn.batches else None
    for batch in sawn.batches:
        for row in batch.rows:
            good = build.shop.by_name.get(row.good)  # the shop may have given it up since
            line = material_line(
                replace(row, bearers=amounts.parts(row.good) if good and amounts else {}), charging, spread
            )
            yield batch, _told(line, batch, "cut or bought")
        for work in batch.labour:
            yield batch, _told(labour_line(replace(work, bearers=everywhere), spread), batch, "done")


def _told(line: Line, batch: Batch, what: str) -> Line:
    """Say of a line that it belongs to an earlier version."""
    section, _, rest = line.key.partition(":")
    bearers = line.bearers
    if not any(bearers.values()):
        bearers = dict.fromkeys(bearers, Fraction(1, len(bearers)))
    return replace(
        line,
        key=f"{section}:version {batch.version}:{rest}",
        description=f"{line.description} (already {what}, version {batch.version})",
        bearers=bearers,
        version=batch.version,
    )


def taxed_lines(
    materials: Sequence[Line], before: Sequence[tuple[Batch, Line]], rates: Mapping[str, Decimal]
) -> Iterator[Line]:
    """Yield the tax on purchases: on what is bought now and before at one rate together, at each other rate alone."""
    same = [line for batch, line in before if batch.taxed_as_now(line.tax, rates)]
    yield from purchase_tax_lines([*materials, *same], rates)
    batches = {batch.version: batch for batch, _ in before}
    for batch in batches.values():
        theirs = [line for each, line in before if each is batch and not batch.taxed_as_now(line.tax, rates)]
        for line in purchase_tax_lines(theirs, batch.purchase_tax):
            yield _told(line, batch, "paid")
