"""The pages, one module for each noun."""

from starlette.routing import Route

from pricing.desk.pages import (
    artworks,
    at_saw,
    beginning,
    client,
    consignments,
    crates,
    designs,
    downloads,
    helping,
    jobs,
    keep,
    learned,
    live,
    logo,
    money,
    origins,
    own_files,
    parties,
    photos,
    pinned,
    plan,
    prices,
    rack,
    rackfile,
    record,
    returns,
    rules,
    sheets,
    took,
    ways,
    what_if,
    yard,
)  # fmt: skip

ROUTES: tuple[Route, ...] = tuple(
    route
    for module in (
        jobs, artworks, crates, designs, ways, sheets, at_saw, money, origins, client, consignments, yard, record, took,
        plan, returns, what_if, downloads, live, photos, rack, rackfile, prices, parties, rules, learned, logo, keep,
        own_files, pinned, helping, beginning,
    )
    for route in module.ROUTES
)  # fmt: skip
"""Every address of the desk."""
