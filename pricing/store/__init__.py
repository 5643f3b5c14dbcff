"""The store: jobs with their versions, the shop's own papers with their history, and the rack, in one SQLite file.

:class:`~pricing.store.store.Store` opens it; its rooms are :mod:`~pricing.store.documents` (texts with revisions),
:mod:`~pricing.store.jobs`, :mod:`~pricing.store.quotes` (what was sent) with :mod:`~pricing.store.sent_papers`,
:mod:`~pricing.store.rackroom`, :mod:`~pricing.store.plans` and :mod:`~pricing.store.answers` (what long work found).
:mod:`~pricing.store.export` writes everything as plain files, :mod:`~pricing.store.restoring` reads it back.
What guards it: :mod:`~pricing.store.folder` (one desk a folder), :mod:`~pricing.store.backups` and their rule,
:mod:`~pricing.store.keeper` (checks and backups by the clock), :mod:`~pricing.store.errors` (causes in words).
:mod:`~pricing.store.former` knows the names that stored values bear and our code has given up.
"""

from pricing.store.documents import Conflict, Document
from pricing.store.errors import OpenElsewhereError, StoreError, UnusableError, UnwritableError
from pricing.store.store import Store

__all__ = ["Conflict", "Document", "OpenElsewhereError", "Store", "StoreError", "UnusableError", "UnwritableError"]
