"""Many orders at a time: listed lazily, worked by processes here or by a cluster, each kept whole, all in one table.

The way of a batch: :mod:`~pricing.batch.listing` says which orders there are; :mod:`~pricing.batch.working` makes one
:class:`~pricing.batch.working.Outcome` of one :class:`~pricing.batch.working.Task`, wherever it runs;
:mod:`~pricing.batch.engine` hands tasks to processes of this machine (:mod:`~pricing.batch.lanes`) or to Dask
(:mod:`~pricing.batch.cluster`); :mod:`~pricing.batch.keeping` keeps what comes back; :mod:`~pricing.batch.run` leads;
:mod:`~pricing.batch.summary` writes the table of all.
"""
