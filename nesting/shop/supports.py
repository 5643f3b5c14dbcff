"""Supports: what an artwork is made of, as far as the words of its order name a material of the shop's table."""

import re
from collections.abc import Iterable, Sequence

from nesting.advice.estimate import Makeup, Stuff, hollow_words
from nesting.advice.fasteners import Wood
from nesting.base.faults import Fault
from nesting.order import Artwork, Back
from nesting.shop.backs import hollow_backs
from nesting.shop.materials import Material, named_in
from nesting.shop.materials_built_in import ANY_BACK, BARS, COAT, GUESSED_SUPPORT, PANE, PLAIN_PANE
from nesting.shop.needs import THREAD, UnfitMaterialError, bitten, unfit, unstated
from nesting.shop.shop import Shop

_GLASS = re.compile(r"(?<!acrylic )\bglass\b", re.IGNORECASE)


def support_of(artwork: Artwork, shop: Shop) -> Material | None:
    """Return the material that an artwork's support names, or None."""
    return named_in(artwork.support, shop.materials)


def refuse_unweighable(artworks: Iterable[Artwork], shop: Shop) -> None:
    """Refuse artworks without a weight whose support names a material of which no density is stated.

    Raises
    ------
    UnfitMaterialError
        With a fault for each material.
    """
    found: dict[Material, list[str]] = {}
    for artwork in artworks:
        named = support_of(artwork, shop)
        if artwork.weight_kg is None and named is not None and not named.stretched and named.density is None:
            found.setdefault(named, []).append(artwork.piece)
    if found:
        instead = "; or the weight of the piece in the order"
        raise UnfitMaterialError(
            unstated(_and_more(pieces), material, "density", instead) for material, pieces in found.items()
        )


def _and_more(names: Sequence[str]) -> str:
    """Name a few pieces."""
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def makeup(artwork: Artwork, shop: Shop) -> Makeup:
    """Return what an artwork is taken to be made of, for an estimate of its weight.

    Raises
    ------
    UnfitMaterialError
        Where its support names a material of which no density is stated.
    """
    refuse_unweighable([artwork], shop)
    named = support_of(artwork, shop)
    support, bars, coat, pane = (
        _stuff(named or shop.material(GUESSED_SUPPORT)),
        _stuff(shop.material(BARS)),
        _stuff(shop.material(COAT)),
        _stuff(shop.material(PANE if _GLASS.search(artwork.support) else PLAIN_PANE)),
    )
    return Makeup(support, bars, coat, pane, back_stated(artwork, shop), guessed=named is None)


def _stuff(material: Material) -> Stuff:
    """Return a material as a layer of an artwork; a fabric is weighed by its area."""
    return Stuff(material.called, material.density.value if material.density else 0.0, stretched=material.stretched)


def back_stated(artwork: Artwork, shop: Shop) -> Back:
    """Return what a screw may go into at an artwork's back: as the order says, else as the shop's rule for its words.

    The rule counts where the order says nothing or solid, its support says a word of a hollow build, and what the rule
    gives for that word fits the piece.
    """
    if artwork.back.kind != "solid":
        return artwork.back
    ruled = (back for _, back in hollow_rules(artwork, shop) if not misfit(back, artwork))
    return next(ruled, artwork.back)


def hollow_rules(artwork: Artwork, shop: Shop) -> list[tuple[str, Back]]:
    """Return what the shop's rule gives for the words of a hollow build in an artwork's support, by the word."""
    ruled = hollow_backs(shop.cleats.hollow_backs)
    return [(word, ruled[word]) for word in hollow_words(artwork.support) if word in ruled]


def misfit(back: Back, artwork: Artwork) -> str:
    """Say what of a back does not fit an artwork; empty where all does."""
    return back.misfit(artwork.width, artwork.height, artwork.depth)


def back_of(artwork: Artwork, shop: Shop) -> Material:
    """Return the material as which the wood behind an artwork counts.

    A solid back is of what the support names. What bars or the piece's own cleats are of, nobody said: as weak as
    :data:`nesting.shop.materials_built_in.ANY_BACK`, by a house rule.
    """
    named = support_of(artwork, shop) if back_stated(artwork, shop).kind == "solid" else None
    if named is None or named.back_as:
        return shop.material(named.back_as if named else ANY_BACK)
    return named


def unfit_back(artwork: Artwork, shop: Shop) -> list[Fault]:
    """Return what screws into an artwork's back ask of its material and nobody stated.

    Nothing where no screw holds in it at all: such a piece is refused as the order's, with how to mend it.
    """
    back = back_of(artwork, shop)
    return [] if back.takes_no_screw else unfit(f"the back of {artwork.piece}", back, THREAD)


def wood_behind(artwork: Artwork, shop: Shop) -> Wood:
    """Return the wood behind an artwork as what a screw's thread bites into."""
    return bitten(f"the back of {artwork.piece}", back_of(artwork, shop))
