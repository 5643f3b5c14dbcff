"""Documents as trees, and small changes of them: a cell, a key, a row, a branch in another's place.

A tree is what JSON has (tables are lists of rows). Changes are made in a copy, so that a document can be kept.
"""

import copy
from collections.abc import Callable
from random import Random
from typing import Any, Final, TypeAlias

Tree: TypeAlias = Any

ODD: Final[tuple[Any, ...]] = (
    "", " ", "-", "0", "-1", "1e400", "-1e400", "1e-400", "1/0", "0/0", "99999999999999999999", "nan", "inf", "½",
    "30 1/2", '30 1/2"', "5' 6 1/4\"", "775 mm", "1,5", "1.234.567,89", "1_000", "٣٠", "３０", "=1+1", "＝1+1", "@x",
    "'x", "2026-02-30", "0001-01-01", "9999-12-31", "2026-06-01", "06/05/2026", "25:00", "yes", "TRUE", "no",
    "x" * 3000, "a\nb", "a\rb", "\x00", "\x1b[2J", "\u202eabc", "\ufeff", "\U0001f3a8", "e\u0301", "\ud800", '"', "'",
    ";", "{", "[", "../../x.jpg", "C:\\x.jpg", "photos/a.jpg", "NaN kg", "1 in x 2 in x 3 in", "1x1x1", "Mars/Base",
    "Europe/Paris", "USD", "XAU", "ply-3/8", "closed", "12%", "-12%", "1000%", "100.00", "7", "1e6", "0x10", "0b1",
    0, 1, -1, 2, 10**6, 10**9, 10**18, 2**63, -(2**63), 10**40, 0.5, -0.0, 1e308, 5e-324, float("inf"), float("nan"),
    True, False, None, [], {}, [""], [[]], {"": ""}, [1, 2, 3], {"a": {"b": {"c": 1}}},
)  # fmt: skip
"""Values that somebody might write, or send, in place of another."""


def changed(tree: Tree, random: Random, words: tuple[str, ...]) -> Tree:
    """Return a copy with one to four changes, one most often."""
    made = copy.deepcopy(tree)
    for _ in range(random.choice((1, 1, 1, 2, 2, 4))):
        made = random.choice(_CHANGES)(made, random, words)
    return made


def _places(tree: Tree) -> list[tuple[Any, Any]]:
    """Return every place of a tree: what holds it, and its key there."""
    found: list[tuple[Any, Any]] = []
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        keys = list(node) if isinstance(node, dict) else list(range(len(node))) if isinstance(node, list) else []
        for key in keys:
            found.append((node, key))
            if isinstance(node[key], dict | list):
                waiting.append(node[key])
    return found


def _leaf_replaced(tree: Tree, random: Random, words: tuple[str, ...]) -> Tree:
    """Put an odd value, or a word of the format, where another stood."""
    places = _places(tree)
    leaves = [place for place in places if not isinstance(place[0][place[1]], dict | list)] or places
    if not leaves:
        return random.choice(ODD)
    node, key = random.choice(leaves)
    node[key] = copy.deepcopy(random.choice(words) if words and random.random() < 0.3 else random.choice(ODD))
    return tree


def _text_bent(tree: Tree, random: Random, _: tuple[str, ...]) -> Tree:
    """Change a text by a letter, a digit or a length."""
    texts = [place for place in _places(tree) if isinstance(place[0][place[1]], str)]
    if texts:
        node, key = random.choice(texts)
        text = node[key]
        at = random.randint(0, len(text))
        node[key] = random.choice(
            (
                text[:at] + text[at + 1 :], text[:at] + random.choice("0123456789.,-/\"' x%=\u00a0\u2033½") + text[at:],
                text + text, text.upper(), text[:at], text[at:] + text[:at], f" {text}\t", f"-{text}", f"{text}0000",
            )
        )  # fmt: skip
    return tree


def _number_bent(tree: Tree, random: Random, _: tuple[str, ...]) -> Tree:
    """Change a number by its sign, one, or its size."""
    numbers = [place for place in _places(tree) if type(place[0][place[1]]) in (int, float)]
    if numbers:
        node, key = random.choice(numbers)
        value = node[key]
        bent = (value + 1, value - 1, -value, value * 10, value * 1_000_000, value / 7, 0, str(value))
        node[key] = random.choice(bent)
    return tree


def _branch_replaced(tree: Tree, random: Random, words: tuple[str, ...]) -> Tree:
    """Put an odd value where a branch, of any size, stood."""
    places = _places(tree)
    if places:
        node, key = random.choice(places)
        node[key] = copy.deepcopy(random.choice(ODD))
        return tree
    return _leaf_replaced(tree, random, words)


def _branch_moved(tree: Tree, random: Random, _: tuple[str, ...]) -> Tree:
    """Put a copy of one branch in another's place."""
    places = _places(tree)
    if places:
        (node, key), (other, its) = random.choice(places), random.choice(places)
        node[key] = copy.deepcopy(other[its])
    return tree


def _taken_out(tree: Tree, random: Random, _: tuple[str, ...]) -> Tree:
    """Take a key, a row or a cell out."""
    places = _places(tree)
    if places:
        node, key = random.choice(places)
        del node[key]
    return tree


def _doubled(tree: Tree, random: Random, _: tuple[str, ...]) -> Tree:
    """Write a row or a cell once more, next to itself or at the end."""
    places = [place for place in _places(tree) if isinstance(place[0], list)]
    if places:
        node, key = random.choice(places)
        node.insert(random.choice((key, len(node))), copy.deepcopy(node[key]))
    return tree


def _key_renamed(tree: Tree, random: Random, words: tuple[str, ...]) -> Tree:
    """Give a value another key: a word of the format, or an odd one."""
    places = [place for place in _places(tree) if isinstance(place[0], dict)]
    if places:
        node, key = random.choice(places)
        name = random.choice(words) if words and random.random() < 0.7 else str(random.choice(ODD))
        node[name] = node[key] if random.random() < 0.5 else node.pop(key)
    return tree


def _key_added(tree: Tree, random: Random, words: tuple[str, ...]) -> Tree:
    """Add a key of the format with an odd value."""
    nodes = [tree, *(node[key] for node, key in _places(tree))]
    tables = [node for node in nodes if isinstance(node, dict)]
    if tables and words:
        random.choice(tables)[random.choice(words)] = copy.deepcopy(random.choice(ODD))
    return tree


_CHANGES: Final[tuple[Callable[[Tree, Random, tuple[str, ...]], Tree], ...]] = (
    _leaf_replaced, _leaf_replaced, _leaf_replaced, _text_bent, _text_bent, _number_bent, _branch_replaced,
    _branch_moved, _taken_out, _doubled, _key_renamed, _key_added,
)  # fmt: skip


def bytes_bent(data: bytes, random: Random) -> bytes:
    """Return bytes with a few of them changed, cut off, doubled or moved: what a bad copy does."""
    made = bytearray(data)
    for _ in range(random.choice((1, 1, 3, 12))):
        at, to = sorted((random.randint(0, len(made)), random.randint(0, len(made))))
        match random.randrange(5):
            case 0:
                made[at : at + 1] = bytes([random.randrange(256)])
            case 1:
                del made[at : min(to, at + 40)]
            case 2:
                made[at:at] = made[at : min(to, at + 40)]
            case 3:
                made[at:at] = random.choice((b"\0", b"\xff", b"\xef\xbb\xbf", b'"', b"\r", b"\n", b"[", b"\x1b", b","))
            case _:
                made = made[:to] if random.random() < 0.1 else made
    return bytes(made)


def words_of(tree: Tree) -> tuple[str, ...]:
    """Return the keys and short texts of a document: the words that its format knows."""
    found = {key for node, key in _places(tree) if isinstance(node, dict)}
    found |= {node[key] for node, key in _places(tree) if isinstance(node[key], str) and len(node[key]) < 40}
    return tuple(sorted(found))
