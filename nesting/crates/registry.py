"""Packing methods: what each is asked, how it refuses, what else it states, and the table where a new one is entered.

A method is one value, a :class:`Method`: its maker and its traits. Whoever needs to know how a crate opens, what it is
called or whether anything touches a face reads the trait; no other module compares names. Entering one is a file of
its own in this folder and one line in :data:`ENTERED`.
"""

from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType

from nesting.crates.model import Crate
from nesting.crates.traits import CaseMaker, Method, PackingMethod

ENTERED: tuple[str, ...] = (
    "nesting.crates.cartons.carton:CARTON",
    "nesting.crates.shells.closed:CLOSED",
    "nesting.crates.shells.battened:BATTENED",
    "nesting.crates.travel.travel:TRAVEL",
    "nesting.crates.cases.outer:OUTER",
)
"""Every method, a line each: the module and its value there. A new method is its file and one line here.

The order is that in which lists show them and in which the shop's rules are asked. Modules are loaded when a method is
first looked up, so that a command which packs nothing loads no carpentry.
"""


def methods() -> Mapping[str, Method]:
    """Return every method by its name, in the order of entry."""
    return _loaded(ENTERED)


@cache
def _loaded(entered: tuple[str, ...]) -> Mapping[str, Method]:
    """Load the values, and hold them against each other."""
    found: dict[str, Method] = {}
    for where in entered:
        module, _, name = where.partition(":")
        made: Method = getattr(import_module(module), name)
        if made.name in found:
            raise ValueError(f"method {made.name} is entered twice")
        found[made.name] = made
    for made in found.values():
        other = made.gathering.instead_of if made.gathering else ""
        for told in filter(None, (made.otherwise, other)):
            if told not in found or found[told].make is None:
                raise ValueError(f"method {made.name}: names {told}, which packs no pieces")
    _spelled(found.values())
    return MappingProxyType(found)


def _spelled(found: Iterable[Method]) -> Mapping[str, str]:
    """Return what orders may write, each with the method that it means."""
    words: dict[str, str] = {}
    for each in found:
        if each.make is not None:
            for word in dict.fromkeys((each.name, each.one, *each.spellings)):
                if words.setdefault(word, each.name) != each.name:
                    raise ValueError(f"method {each.name}: {word!r} means {words[word]} already")
    return words


def method(name: str) -> Method:
    """Return the method of that name; :class:`KeyError` says which there are."""
    found = methods()
    if name not in found:
        raise KeyError(f"no packing method {name!r}; there are {', '.join(found)}")
    return found[name]


def method_of(crate: Crate) -> Method:
    """Return the method by which a crate was made."""
    return method(crate.method)


def called(name: str) -> str:
    """Return what the trade calls what a method makes; a word that is none, such as ``auto``, stands as it is."""
    known = methods().get(name)
    return known.one if known else name


def maker(name: str) -> PackingMethod:
    """Return what makes the crates of a method; :class:`KeyError` where it packs no pieces."""
    made = method(name).make
    if made is None:
        raise KeyError(f"{name} packs no pieces; {', '.join(askable())} do")
    return made


def case_maker() -> CaseMaker:
    """Return the maker of the cases that frames ride in: the first that is entered."""
    return next(each.encase for each in methods().values() if each.encase is not None)


def askable() -> tuple[str, ...]:
    """Return the names of the methods that an order may ask for, in the order of entry."""
    return tuple(each.name for each in methods().values() if each.make is not None)


def spellings() -> Mapping[str, str]:
    """Return what orders may write for a method, each with its name; ``auto`` is not among them."""
    return _spelled(methods().values())
