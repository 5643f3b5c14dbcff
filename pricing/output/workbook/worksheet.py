"""A worksheet that stores formulas as they stand."""

from xlsxwriter.worksheet import Worksheet


class PlainWorksheet(Worksheet):  # type: ignore[misc]  # the library has no types
    """Takes formulas as they are written.

    The library looks through each for thirty functions that are younger than the file format, to mark them; none is
    used here, and the looking took a quarter of the time that a workbook takes.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:  # noqa: ARG002
        return formula.removeprefix("=")
