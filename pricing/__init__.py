"""The front office: prices, takeoff, labour, freight, shares, the quote, its workbook, the desk and the command.

What a Python program needs of it is importable from here, and loaded when it is asked for: see
:mod:`pricing.output.door`.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pricing.output.door import Extras, FaultsFound, Search, quote, read_order, read_studio, write

__all__ = ["Extras", "FaultsFound", "Search", "quote", "read_order", "read_studio", "write"]

if not TYPE_CHECKING:  # a type checker would take every name for one that is there

    def __getattr__(name: str) -> object:
        """Load one of the names above."""
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from pricing.output import door

        return getattr(door, name)

    def __dir__() -> list[str]:
        """List what is here and what is loaded when asked for."""
        return sorted({*globals(), *__all__})
