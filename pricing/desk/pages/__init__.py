"""The pages, one module for each noun."""

from starlette.routing import Route

from pricing.desk.pages import (
    artworks,
    client,
    crates,
    downloads,
    jobs,
    keep,
    live,
    money,
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
    ways,
    what_if,
    yard,
)  # fmt: skip

ROUTES: tuple[Route, ...] = tuple(
    route
    for module in (
        jobs, artworks, crates, ways, sheets, money, client, yard, record, plan, returns, what_if, downloads, live,
        photos, rack, rackfile, prices, parties, rules, keep, own_files, pinned,
    )
    for route in module.ROUTES
)  # fmt: skip
"""Every address of the desk."""
