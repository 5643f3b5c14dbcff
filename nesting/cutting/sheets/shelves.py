"""Shelves: the contents of one sheet laid in plain rows, which need few settings of the fence."""

from collections.abc import Iterator

from nesting.cutting.sheets.filling import fits
from nesting.cutting.sheets.pattern import ACROSS, ALONG, Pattern, contents, leaf, leaf_size, tidy
from nesting.cutting.sheets.problem import Problem


def shelves(problem: Problem, pattern: Pattern, stock: int) -> Iterator[Pattern]:
    """Rows of the same parts that fit the same stock: rows along and across, parts lying and standing.

    Next-fit by descending row height, after Coffman, Garey, Johnson and Tarjan (1980, doi:10.1137/0209062), with equal
    heights kept together and rows closed only when a part does not fit any.
    """
    held = sorted(contents(pattern).items())
    for head in (ALONG, ACROSS):
        for lying in (False, True):
            made = _rows(problem, held, stock, head, lying=lying)
            if made is not None and fits(problem, made, stock):
                yield tidy(problem, made)


def _rows(problem: Problem, held: list[tuple[int, int]], stock: int, head: int, *, lying: bool) -> Pattern | None:
    """Rows that run in one direction; None when a part is too long for a row."""
    room = problem.stocks[stock].length if head == ALONG else problem.stocks[stock].width
    codes = []
    for item, count in held:
        code = leaf(item, turned=False)
        run = leaf_size(problem, code)[head]
        if problem.items[item].turns:
            other = leaf_size(problem, code + 1)[head]
            if (other <= room and (other > run) == lying) or run > room:
                code, run = code + 1, other
        if run > room:
            return None
        codes += [code] * count
    codes.sort(key=lambda c: (-leaf_size(problem, c)[1 - head], -leaf_size(problem, c)[head], c))
    rows: list[tuple[int, list[Pattern]]] = []
    for code in codes:
        run = leaf_size(problem, code)[head]
        for index, (left, row) in enumerate(rows):
            if run <= left:
                row.append(code)
                rows[index] = (left - run, row)
                break
        else:
            rows.append((room - run, [code]))
    return (1 - head, *((head, *row) for _, row in rows))
