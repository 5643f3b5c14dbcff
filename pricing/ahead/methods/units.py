"""Units: lines of an order that are packed one way, which ways are open to each, and an order with ways written in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.crates.choose import Bundle, choose
from nesting.crates.registry import askable
from nesting.crates.registry import method as method_named
from nesting.order import AUTO, Artwork, Order
from nesting.shop.shop import Shop


@dataclass(frozen=True, slots=True)
class Unit:
    """Lines of the order that are packed the same way: a line with all its copies, or all lines of a set.

    Attributes
    ----------
    name : str
        Its line's name, or the set's.
    lines : tuple of str
        Lines of the order.
    copies : tuple of str
        Single pieces, as crates name them.
    destination : str
        Where it goes; empty if unknown.
    asked : str or None
        What the order asks for; None where the shop chooses.
    plain : str
        What the shop's rules of size and weight choose, other pieces apart.
    why : str
        The rule that chose ``plain``.
    """

    name: str
    lines: tuple[str, ...]
    copies: tuple[str, ...]
    destination: str
    asked: str | None
    plain: str
    why: str

    def against(self, method: str) -> str:
        """Say which rule of the shop speaks against a method; empty where none does.

        A carton is for the small and light, a plain closed crate for what needs no battens; more protection than
        the rules ask for is always allowed.
        """
        less = method_named(method).protection < method_named(self.plain).protection
        return f"the shop's rules: {self.why}" if less else ""

    @property
    def open_to(self) -> tuple[str, ...]:
        """Methods that a search may choose from: the one that was asked for, or all that no rule speaks against."""
        if self.asked is not None:
            return (self.asked,)
        return tuple(method for method in askable() if not self.against(method))


def units_of(order: Order, shop: Shop) -> tuple[Unit, ...]:
    """Return the units of an order, in the order of their first lines."""
    lines: dict[str, list[Artwork]] = {}
    for artwork in order.artworks:
        lines.setdefault(f"set {artwork.set_name}" if artwork.set_name else artwork.piece, []).append(artwork)
    return tuple(_unit(name, group, order, shop) for name, group in lines.items())


def _unit(name: str, lines: Sequence[Artwork], order: Order, shop: Shop) -> Unit:
    copies = [copy for line in lines for copy in line.copies()]
    asked = Bundle(tuple(copies)).asked
    # Of several copies of one line each has a crate of its own, so one stands for all; a set's pieces share theirs.
    together = copies if lines[0].set_name else copies[:1]
    alone = tuple(replace(copy, method=AUTO, destination=None) for copy in together)
    (choice,) = choose([Bundle(alone, lines[0].set_name)], shop, shop.works_in(order.units))
    return Unit(
        name,
        tuple(line.piece for line in lines),
        tuple(copy.piece for copy in copies),
        lines[0].destination or "",
        asked[0] if asked else None,
        choice.method,
        choice.reason,
    )


def with_methods(order: Order, methods: Mapping[str, str]) -> Order:
    """Return the order with methods written in, by line; lines without one keep their own."""
    changed = tuple(
        replace(line, method=methods[line.piece]) if line.piece in methods else line for line in order.artworks
    )
    return replace(order, artworks=changed)
