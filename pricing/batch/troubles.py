"""What ends a whole batch, each as one clear sentence; whatever an order lacks is a row of the table instead.

``BatchError``
    ``InUseError``: another run has the folder.
    ``OtherEditionError``: a worker is of another version.
    ``ClusterError``: there is no scheduler, no worker, or no Dask to ask them with.
``WorkerKilledError`` is no end: the order that it befell is told as failed.
"""

from collections.abc import Iterable
from pathlib import Path


class BatchError(Exception):
    """The batch cannot go on; the text says why and what to do."""


class InUseError(BatchError):
    """Another run works into the same folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__(f"{folder}: another batch is working into this folder; wait for it, or name another folder")


class OtherEditionError(BatchError):
    """Worker and client are of different versions, so that their answers could differ."""

    def __init__(self, here: str, there: Iterable[str]) -> None:
        self.args_of = (here, tuple(sorted(set(there))))
        super().__init__(
            f"The workers are of another version: here is {here}, there is {' and '.join(self.args_of[1])}. "
            "Install the same on all of them."
        )

    def __reduce__(self) -> tuple[type["OtherEditionError"], tuple[str, tuple[str, ...]]]:
        return type(self), self.args_of


class ClusterError(BatchError):
    """The cluster cannot be used."""


class WorkerKilledError(Exception):
    """The process that worked an order was ended by the system, and so was the one that tried it again."""
