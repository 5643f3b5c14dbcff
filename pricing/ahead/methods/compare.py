"""Compare: every method for every piece, the rest of the order as it is, by cost, hours, weight, freight and hands.

A row prices the whole order with one unit packed another way; so a row's cost is what the unit then bears, shared
sheets and freight included, and its difference is what the order as a whole then costs more or less.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nesting.crates.registry import askable
from nesting.crates.registry import method as method_named
from pricing.ahead.methods.pricer import Bearing, Outcome, Pricer
from pricing.ahead.methods.units import Unit
from pricing.quoting.troubles import plain


@dataclass(frozen=True, slots=True)
class Row:
    """One method for one unit.

    Attributes
    ----------
    method : str
        Which.
    chosen : bool
        Whether the order is packed so now.
    bearing : Bearing or None
        What the unit bears then; None where the method is refused, or leaves a crate held.
    order_total : Decimal or None
        What the whole order costs then.
    difference : Decimal or None
        To what it costs now; None where the two do not compare, see :meth:`Outcome.compares_with`.
    refused : tuple of str
        Why it cannot be made, or why a crate would be held.
    against : str
        Which of the shop's rules speaks against it, though it could be made.
    troubles : tuple of str
        What is wrong then and is not now.
    order_incomplete : tuple of str
        What the whole order's total then lacks that must be paid and is not known.
    order_columns : tuple of (str, Decimal)
        What the whole order's total then is the sum of, by section and step.
    aside : tuple of str
        Pieces of crates whose design, which was taken, cannot be made then and can be made now.
    """

    method: str
    chosen: bool
    bearing: Bearing | None
    order_total: Decimal | None
    difference: Decimal | None
    refused: tuple[str, ...] = ()
    against: str = ""
    troubles: tuple[str, ...] = ()
    order_incomplete: tuple[str, ...] = ()
    order_columns: tuple[tuple[str, Decimal], ...] = ()
    aside: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        method_named(self.method)  # an answer kept from when there was another method cannot be read any more

    @property
    def sound(self) -> bool:
        """Whether nothing speaks against it; what it costs is not known where that is incomplete."""
        return not (self.refused or self.against or self.troubles or self.incomplete)

    @property
    def incomplete(self) -> tuple[str, ...]:
        """What its cost lacks that must be paid and is not known."""
        return self.bearing.incomplete if self.bearing else ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every unit with all its methods.

    Attributes
    ----------
    now : Outcome
        The order as it stands.
    units : tuple of Unit
        In the order of the order.
    rows : tuple of tuple of Row
        For every unit one row a method.
    """

    now: Outcome
    units: tuple[Unit, ...]
    rows: tuple[tuple[Row, ...], ...]


def compare(pricer: Pricer) -> Comparison:
    """Price every method for every unit, the others as they are.

    Raises
    ------
    FaultsFound
        If the order as it stands cannot be built.
    """
    now = pricer.as_chosen()
    base = now.choice
    ways = askable()
    choices = [(*base[:index], method, *base[index + 1 :]) for index in range(len(pricer.units)) for method in ways]
    answers = iter(pricer.price(choices))
    rows = tuple(
        tuple(_row(index, unit, method, now, next(answers)) for method in ways)
        for index, unit in enumerate(pricer.units)
    )
    return Comparison(now, pricer.units, rows)


def _row(index: int, unit: Unit, method: str, now: Outcome, answer: object) -> Row:
    """Make one row of an answer."""
    chosen, against = now.choice[index] == method, unit.against(method)
    if not isinstance(answer, Outcome):
        reasons: Sequence[str] = getattr(answer, "reasons", ())
        # Of other pieces that nothing packs a refusal tells too: where this one is named, only what is said of it.
        named = tuple(f"{name}: " for name in (unit.name, *unit.lines, *unit.copies))
        reasons = [each for each in reasons if each.startswith(named)] or reasons
        return Row(method, chosen, None, None, None, tuple(reasons), against)
    bearing = answer.bearings[index]
    others = [piece for piece in answer.held if piece not in now.held and piece not in unit.copies]
    if bearing.held or others:  # no way to pack: it would be cheap because something is not made
        what = "nothing packs it" if bearing.unpacked else "its crate is held"
        reasons = [f"{what}: {bearing.held}"] if bearing.held else []
        reasons += [f"left out then: {answer.without_these(others)}"] if others else []
        return Row(method, chosen, None, None, None, tuple(reasons), against)
    known = [plain(each) for each in now.troubles]
    new = tuple(each for each in answer.troubles if plain(each) not in known)
    return Row(
        method=method,
        chosen=chosen,
        bearing=bearing,
        order_total=answer.total,
        difference=answer.total - now.total if answer.compares_with(now) else None,
        refused=(),
        against=against,
        troubles=new,
        order_incomplete=answer.incomplete,
        order_columns=answer.columns,
        aside=tuple(each for each in answer.aside if each not in now.aside),
    )
