"""Cutting plans that longer searches found, by what they are plans of: the same parts on the same stock need no search.

A plan is found again by a key made of everything that a search looks at: parts, stock with prices, kerf, and what
counts as an offcut. Whatever changes any of these changes the key; so does another name of a class or field of parts
and stock, after which jobs fall back to quick plans until they are searched again.
"""

import hashlib
import json
from typing import Any, Final

from nesting.build import Build, to_cut
from nesting.cutting.sheets import Layout
from nesting.cutting.sticks import StickPlan
from pricing.store.codec import called, decode, encode
from pricing.store.database import Database
from pricing.store.time import Clock

RANK: Final = {"quick": 0, "normal": 1, "thorough": 2}
"""Efforts from the shortest to the longest search."""


def plan_keys(build: Build) -> dict[str, str]:
    """Return the key of every good that is cut from sheets or sticks."""
    sheets, sticks = to_cut(build)
    saw = build.shop.saw
    keys = {}
    for layout in build.layouts:
        what = [encode(sheets[layout.good]), encode(build.supply.sheets[layout.good])]
        keys[layout.good] = _key("sheet", *what, layout.kerf, saw.offcut_length, saw.offcut_width)
    for plan in build.stick_plans:
        keys[plan.good] = _key("stick", encode(sticks[plan.good]), encode(build.supply.sticks[plan.good]), plan.kerf)
    return keys


def _key(*facts: Any) -> str:
    return hashlib.sha256(json.dumps(facts, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


class Plans:
    """Plans kept in a store."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database = database
        self._clock = clock

    def find(self, key: str) -> tuple[str, Layout | StickPlan] | None:
        """Return effort and plan, or None."""
        row = self._database.row("SELECT effort, content FROM plans WHERE key = ?", (key,))
        if row is None:
            return None
        return row["effort"], plan_from(row["content"])

    def keep(self, plans: dict[str, Layout | StickPlan], effort: str) -> None:
        """Keep plans by key; a plan of a longer search is not replaced by one of a shorter."""
        with self._database.writing() as link:
            for key, plan in plans.items():
                row = link.execute("SELECT effort FROM plans WHERE key = ?", (key,)).fetchone()
                if row is None or RANK[row["effort"]] <= RANK[effort]:
                    link.execute(
                        "INSERT OR REPLACE INTO plans VALUES (?, ?, ?, ?)",
                        (key, effort, plan_text(plan), self._clock()),
                    )


def plan_text(plan: Layout | StickPlan) -> str:
    """Write a plan as JSON."""
    return json.dumps({"kind": type(plan).__name__, "plan": encode(plan)}, separators=(",", ":"))


def plan_from(text: str) -> Layout | StickPlan:
    """Read what :func:`plan_text` wrote."""
    document = json.loads(text)
    made: Layout | StickPlan = decode(called(document["kind"], (Layout, StickPlan)), document["plan"])
    return made
