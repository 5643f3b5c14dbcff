"""The desk: a local web page where a job is typed in, packed, cut, priced, bought and followed to the end.

:func:`~pricing.desk.app.make_app` makes the web application over a :class:`~pricing.store.Store`;
:func:`~pricing.desk.serve.serve` starts it. What a page shows comes from :mod:`~pricing.desk.studio` (the studio's own
papers), :mod:`~pricing.desk.content` (one job), :mod:`~pricing.desk.floor` (its quote) and
:mod:`~pricing.desk.search` (longer searches in a process of their own); pages are in :mod:`pricing.desk.pages`.
"""
