"""What was searched lately, so that the same parts on the same stock are not laid out twice."""

from collections.abc import Hashable
from typing import Any


class Recent(dict[Hashable, Any]):
    """A memory of quick searches that forgets the oldest, so that a change searches only what it touches.

    Parameters
    ----------
    most : int
        Searches that are remembered.
    """

    def __init__(self, most: int) -> None:
        super().__init__()
        self.most = most

    def __setitem__(self, request: Hashable, made: Any) -> None:
        super().__setitem__(request, made)
        while len(self) > self.most:
            del self[next(iter(self))]
