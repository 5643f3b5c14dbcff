"""Incomplete: a total that lacks something which must be paid and is not known, such as freight that no carrier takes.

It is a state beside the total, and never an amount of nothing. What is charged with nothing on purpose is complete: a
crate that the client collects, a rate of 0. So is a total with invented prices or without insurance: those are lacks.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from nesting.base.counts import few
from pricing.quoting.ladder import Step
from pricing.quoting.shipments import QUOTED, Shipment
from pricing.studio.rates import Rates

WORD: Final = "incomplete"
"""The one word of it, as it stands beside totals."""


def unpaid(shipments: Sequence[Shipment], rates: Rates) -> tuple[Shipment, ...]:
    """Return the shipments whose freight must be paid and is not known, in their order.

    It is not known where the chosen carrier refuses them, and where the rates hold no profile of the name that is
    wanted; unless they are collected.
    """
    names = {"collect", QUOTED, *(profile.name for profile in rates.freight)}
    return tuple(each for each in shipments if each.chosen.refused or each.chosen.profile not in names)


def missing(shipments: Sequence[Shipment], rates: Rates) -> tuple[str, ...]:
    """Return what is not known of the shipments, a place each, such as ``no freight to Harbor Room``.

    Where the other legs of a way are known, it says which is not: ``no freight to Harbor Room (leg 1 of 3, Own van)``.
    """
    return tuple(dict.fromkeys(line for line, _ in _unknown(shipments, rates)))


def no_freight(place: str) -> str:
    """Say that the freight to a place is not known."""
    return f"no freight to {place}"


def _unknown(shipments: Sequence[Shipment], rates: Rates) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what is not known of each way, and the crates that go by it."""
    ways: dict[tuple[str, tuple[str, ...]], list[Shipment]] = {}
    for each in unpaid(shipments, rates):
        ways.setdefault((each.destination, each.crates), []).append(each)
    for (place, crates), legs in ways.items():
        whole = len(legs) == legs[0].legs
        yield no_freight(place if whole else f"{place} ({_legs(legs)})"), crates


def _legs(legs: Sequence[Shipment]) -> str:
    """Say which legs of a way, and whose the only one is."""
    numbers = " and ".join(", ".join(f"{each.leg}" for each in legs).rsplit(", ", 1))
    if len(legs) > 1:
        return f"legs {numbers} of {legs[0].legs}"
    return f"leg {numbers} of {legs[0].legs}, {legs[0].chosen.title}"


def told(incomplete: Sequence[str]) -> str:
    """Return what stands beside an incomplete amount, such as ``incomplete: no freight to Harbor Room``; else empty.

    Several places are named in few words: ``incomplete: no freight to Harbor Room, Quay Hall``.
    """
    head = no_freight("")
    places = [line.removeprefix(head) for line in incomplete if line.startswith(head)]
    others = [line for line in incomplete if not line.startswith(head)]
    lines = [*([no_freight(few(places))] if places else []), *others]
    return f"{WORD}: {', '.join(lines)}" if lines else ""


def beside(without: str, incomplete: Sequence[str]) -> str:
    """Return all that stands beside a total: what is held, then what is incomplete; empty where it is whole."""
    return "; ".join(filter(None, (without, told(incomplete))))


def titled(steps: Sequence[Step], incomplete: Sequence[str]) -> tuple[Step, ...]:
    """Return the steps to the total, that of freight with the word in its title where some of it is not known."""
    if not incomplete:
        return tuple(steps)
    return tuple(replace(each, title=f"{each.title}, {WORD}") if each.key == "freight" else each for each in steps)


def of_crates(shipments: Sequence[Shipment], rates: Rates) -> Mapping[str, tuple[str, ...]]:
    """Return what is not known of the freight of each crate; only of those of which something is not."""
    found: dict[str, list[str]] = {}
    for line, crates in _unknown(shipments, rates):
        for crate in crates:
            found.setdefault(crate, []).append(line)
    return {crate: tuple(dict.fromkeys(lines)) for crate, lines in found.items()}


def of_pieces(
    carried: Mapping[str, Collection[str]], shipments: Sequence[Shipment], rates: Rates
) -> Mapping[str, tuple[str, ...]]:
    """Return the same of each piece, by the pieces that each travelling crate carries."""
    return dict(_pieces(carried, of_crates(shipments, rates)))


def _pieces(
    carried: Mapping[str, Collection[str]], crates: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    by_piece: dict[str, dict[str, None]] = {}
    for crate, lines in crates.items():
        for piece in carried.get(crate, ()):
            by_piece.setdefault(piece, {}).update(dict.fromkeys(lines))
    for piece, kept in by_piece.items():
        yield piece, tuple(kept)
