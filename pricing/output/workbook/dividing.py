"""The second part of the Workings page: every amount divided among the pieces by the largest remainder, cent by cent.

Four tables stand below each other with a row for each amount and a column for each piece: weights, quotas in cents,
what earlier roundings left a piece short, and the parts themselves. The parts of a row always sum to its amount.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from itertools import repeat
from typing import Final

from xlsxwriter.utility import xl_col_to_name

from pricing.money import cents, total
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.by_place import TaxCells, taxes
from pricing.output.workbook.costs import CostLine
from pricing.output.workbook.costs_end import ITEM_OF
from pricing.output.workbook.page import Formula, Page
from pricing.quoting.shares import Short, apportion, in_whole_numbers
from pricing.studio.sale_terms import TaxedKind

FIRST: Final = 5
"""Column of the first piece."""
_CARRIED: Final[tuple[TaxedKind, ...]] = ("freight", "insurance")
_COLUMN: Final = "@"
"""Stands in a formula for the column of a piece; no formula here has one of its own."""
_ALIKE: Final = "0.00005"
"""Cents that two pieces may differ by and still count as left equally short: cells are rounded, the quote is not."""
_WORK_STEPS: Final = ("contingency", "overhead", "profit", "discount", "minimum", "rounding")
_LEAD: Final = (
    "Each amount is divided among the pieces by the weights of its row. Every piece gets its quota rounded down to "
    "the cent; the cents left over go to the largest remainders, among equals to the piece that earlier roundings "
    "left short the most, then to the first. So the parts of a row sum to its amount, always."
)


@dataclass(frozen=True, slots=True)
class _Row:
    """One amount to divide: its key, title, where its amount stands, its value, its weights, the tax that it is."""

    key: str
    title: str
    ref: str
    amount: Decimal
    weights: dict[str, Fraction]
    tax: str = ""
    levied: TaxCells | None = None

    @property
    def section(self) -> str:
        return self.key.split(":")[0]


def rows_of(binder: Binder, lines: Sequence[CostLine]) -> list[_Row]:
    """Return the amounts in the order in which the quote divides them."""
    quote = binder.quote
    by_key = {line.key: line for line in lines}
    place = {row.stock: number for number, row in enumerate(quote.takeoff.rows)}
    materials = [line.key for line in lines if line.section in ("sheets", "sticks", "rolls", "hardware")]
    if not quote.sawn:  # with it, the quote's lines stand in order of section, as they do on the page
        materials.sort(key=lambda key: place[key.split(":", 1)[1]])
    ordered = [*materials, *(key for key in by_key if key not in materials)]
    carried = [key for key in ordered if by_key[key].section in ("freight", "insurance")]
    direct = [key for key in ordered if key not in carried]
    if quote.rates.price.freight_marked_up:
        direct, carried = direct + carried, []

    def line_rows(keys: Sequence[str]) -> list[_Row]:
        found = (by_key[key] for key in keys)
        return [_Row(each.key, each.title, each.ref, each.amount, each.bearers, each.tax) for each in found]

    steps = {step.key: _Row(step.key, step.title, f"step_{step.key}", step.amount, {}) for step in quote.steps}
    levied = [
        _Row("tax", f"{each.tax.rule.name}, {each.where}", each.amount, each.tax.amount, {}, levied=each)
        for each in taxes(binder)
    ]
    if len(levied) == 1:
        levied = [replace(levied[0], title=steps["tax"].title)]
    return [*line_rows(direct), *(steps[key] for key in _WORK_STEPS), *line_rows(carried), *levied]


class _Tables:
    """The four tables while they are written."""

    def __init__(self, binder: Binder, page: Page, rows: Sequence[_Row]) -> None:
        self.binder, self.page, self.rows = binder, page, rows
        self.pieces = [copy.piece for copy in binder.copies]
        self.last = FIRST + len(self.pieces) - 1
        high = len(rows) + 4
        top = page.row + 2
        self.top = {name: top + index * high for index, name in enumerate(("weight", "quota", "short", "part"))}
        self.columns = [xl_col_to_name(FIRST + offset) for offset in range(len(self.pieces))]
        self.parts: list[dict[str, Decimal]] = []
        self.weights: list[dict[str, Fraction]] = []
        self.quotas: list[list[float]] = []
        self.shorts: list[list[float]] = []
        self.left: list[int] = []
        self._reckon()

    def _reckon(self) -> None:
        """Work out what the formulas give, as the quote does."""
        short = Short()
        for index, row in enumerate(self.rows):
            weights = row.weights or self._later_weights(index, row)
            self.weights.append(weights)
            sums, over = short.sums()
            self.shorts.append([sums.get(piece, 0) / over for piece in self.pieces])
            own, whole = in_whole_numbers(weights)
            count = abs(cents(row.amount))
            self.quotas.append([count * own[piece] / whole for piece in self.pieces])
            self.left.append(count - sum(count * own[piece] // whole for piece in self.pieces))
            self.parts.append(apportion(row.amount, weights, short))

    def _later_weights(self, index: int, row: _Row) -> dict[str, Fraction]:
        """Return the weights of a row that is borne as other rows are."""
        if row.section == "purchase tax":
            return {
                piece: sum(
                    (Fraction(self.rows[at].amount) * self.weights[at][piece] for at in self._taxed(row)), Fraction(0)
                )
                for piece in self.pieces
            }
        borne = [self.parts[at] for at in self._borne(index, row)]
        bears = {piece: total(parts[piece] for parts in borne) for piece in self._mine(row)}
        nothing = Fraction(0)
        return {piece: Fraction(bears[piece]) if piece in bears else nothing for piece in self.pieces}

    def _mine(self, row: _Row) -> frozenset[str]:
        """Return the pieces that bear a row which is borne as other rows are."""
        return frozenset(row.levied.tax.pieces if row.levied else self.pieces)

    def _taxed(self, row: _Row) -> list[int]:
        """Return the materials that a tax on purchases is on."""
        return [at for at, each in enumerate(self.rows) if each.tax == row.tax and each.section != "purchase tax"]

    def _passed(self, section: str) -> list[int]:
        """Return the rows of freight or insurance that pass through unmarked."""
        step = next(at for at, row in enumerate(self.rows) if row.key == "rounding")
        return [at for at, row in enumerate(self.rows) if at > step and row.section == section]

    def _borne(self, index: int, row: _Row) -> list[int]:
        """Return the rows above that a step is borne by: all of the work before it, and for the tax what it is on."""
        if row.levied is None:
            return list(range(index))
        on = row.levied.tax.rule.on
        return [
            *(self._work() if "work" in on else ()),
            *(at for kind in _CARRIED if kind in on for at in self._passed(kind)),
        ]

    def _work(self) -> list[int]:
        """Return the rows of all that the studio itself charges, up to the rounding."""
        return list(range(next(at for at, each in enumerate(self.rows) if each.key == "rounding") + 1))

    def row(self, table: str, index: int) -> int:
        """Return the number of a row of a table, as formulas write it."""
        return self.top[table] + index + 1

    def cell(self, table: str, index: int, column: int, *, fixed: str = "") -> str:
        """Return the address of a cell of a table; ``fixed`` says whether its column (``c``) stays."""
        return f"{'$' if fixed else ''}{xl_col_to_name(column)}{self.row(table, index)}"

    def across(self, table: str, index: int) -> str:
        """Return a row of a table, all pieces."""
        return f"{self.cell(table, index, FIRST, fixed='c')}:{self.cell(table, index, self.last, fixed='c')}"

    def down(self, table: str, rows: Sequence[int], column: str) -> str:
        """Return the sum of some rows of a column, as terms of a formula."""
        terms, start = [], 0
        while start < len(rows):
            end = start
            while end + 1 < len(rows) and rows[end + 1] == rows[end] + 1:
                end += 1
            terms.append(f"SUM({column}{self.row(table, rows[start])}:{column}{self.row(table, rows[end])})")
            start = end + 1
        return "+".join(terms) or "0"

    def write(self) -> None:
        """Write the four tables."""
        page, pieces = self.page, self.pieces
        for table, title, heads in (
            ("weight", "Weights: who bears how much of what", ("", "", "Sum", "")),
            ("quota", "Quotas, in cents", ("", "Cents", "", "")),
            ("short", "What earlier roundings left each piece short, in cents", ("", "", "", "")),
            ("part", "Parts of each amount", ("Item", "Amount", "", "Cents left over")),
        ):
            assert page.row == self.top[table] - 2, (page.row, table)  # noqa: S101 - the formulas rest on it
            page.section(title)
            page.heads("Amount", *heads, *pieces, right=range(1, self.last + 1))
            page.end_table()
            for index, row in enumerate(self.rows):
                page.put(0, row.title)
                getattr(self, f"_{table}")(index, row)
                page.next(15)
            if table == "part":
                self._name_parts()
            page.next()
            page.next()

    def _weight(self, index: int, row: _Row) -> None:
        page = self.page
        weights = self.weights[index]
        whole = sum(weights.values(), Fraction(0))
        page.put(3, Formula(f"SUM({self.across('weight', index)})", whole), "fraction")
        if row.levied and not row.levied.alone:
            self.binder.names.define(row.levied.base, page.absolute(3))
        texts: Iterable[str | None]
        if not row.weights:
            texts = self._weight_formulas(index, row)
        elif row.section == "insurance":
            texts = [self.binder.refs["declared", piece] for piece in self.pieces]
        else:
            texts = repeat(None, len(self.pieces))
        values = (float(weights[piece]) for piece in self.pieces)
        page.across(FIRST, zip(texts, values, strict=True), "fraction", num_format="0.0000;-0.0000;–")

    def _weight_formulas(self, index: int, row: _Row) -> list[str]:
        """Return the formulas of the weights of a row that is borne as other rows are: the same in every column.

        They are written for a column that has a sign for its name, and the sign is replaced.
        """
        mine = self._mine(row)
        if row.section == "purchase tax":
            terms = [
                f"{self.cell('part', at, 2, fixed='c')}*{_COLUMN}{self.row('weight', at)}" for at in self._taxed(row)
            ]
            text = "+".join(terms) or "0"
        elif row.levied is None:
            text = f"ROUND({self.down('part', range(index), _COLUMN)},2)"
        else:
            terms = [row.levied.on("work", self.down("part", self._work(), _COLUMN))]
            for section in _CARRIED:
                if passed := self._passed(section):
                    terms.append(row.levied.on(section, self.down("part", passed, _COLUMN)))
            text = f"ROUND({'+'.join(terms)},2)"
        return [
            text.replace(_COLUMN, column) if piece in mine else "0"
            for piece, column in zip(self.pieces, self.columns, strict=True)
        ]

    def _quota(self, index: int, row: _Row) -> None:
        page = self.page
        count = page.put(
            2, Formula(f"ROUND(ABS({self.cell('part', index, 2)})*100,0)", abs(cents(row.amount))), "count"
        )
        whole, weight = self.cell("weight", index, 3, fixed="c"), self.row("weight", index)
        head = f"IF({whole}=0,ROUND(${count}/{len(self.pieces)},8),ROUND(${count}*"
        texts = (f"{head}{column}{weight}/{whole},8))" for column in self.columns)
        cells = zip(texts, self.quotas[index], strict=True)
        page.across(FIRST, cells, "fraction", num_format="#,##0.0000;-#,##0.0000;–")

    def _short(self, index: int, _: _Row) -> None:
        texts: Iterable[str] = repeat("0", len(self.pieces))
        if index:
            at = index - 1
            before, quota, part = (self.row(table, at) for table in ("short", "quota", "part"))
            sign = f"SIGN({self.cell('part', at, 2, fixed='c')})"
            # As many places as a quota has: a half of the last place would go up for one piece and, a cent lower,
            # down for its equal.
            texts = (f"ROUND({c}{before}+{sign}*{c}{quota}-100*{c}{part},8)" for c in self.columns)
        self.page.across(FIRST, zip(texts, self.shorts[index], strict=True), "fraction", num_format="0.0000;-0.0000;–")

    def _part(self, index: int, row: _Row) -> None:
        page = self.page
        page.put(1, ITEM_OF[row.section], "quiet")
        amount = page.put(2, Formula(row.ref, row.amount), "money")
        quotas, shorts = self.across("quota", index), self.across("short", index)
        cents_there = self.cell("quota", index, 2)
        left = page.put(4, Formula(f"{cents_there}-SUMPRODUCT(INT({quotas}))", self.left[index]), "count")
        rest = f"ROUND({quotas}-INT({quotas}),7)"
        sign = f"SIGN(${amount})"
        quota, short = f"{_COLUMN}{self.row('quota', index)}", f"{_COLUMN}{self.row('short', index)}"
        mine = f"ROUND({quota}-INT({quota}),7)"
        before = f"{sign}*({shorts}-{short})"
        ahead = (
            f"SUMPRODUCT(({rest}>{mine})+({rest}={mine})*(({before}>{_ALIKE})"
            f"+(ABS({shorts}-{short})<={_ALIKE})*(COLUMN({quotas})<COLUMN({quota}))))"
        )
        text = f"{sign}*(INT({quota})+IF({ahead}<${left},1,0))/100"
        parts = self.parts[index]
        values = (float(parts[piece]) for piece in self.pieces)
        texts = (text.replace(_COLUMN, column) for column in self.columns)
        page.across(FIRST, zip(texts, values, strict=True), "money or dash")

    def _name_parts(self) -> None:
        """Name the column of items and each piece's parts."""
        page, names, top = self.page, self.binder.names, self.top["part"]
        last = top + len(self.rows) - 1

        def column_range(column: int) -> str:
            return f"{page.absolute(column, top)}:{page.absolute(column, last).split('!')[1]}"

        names.define("shared_items", column_range(1))
        for offset, piece in enumerate(self.pieces):
            names.define(names.of("parts of", piece), column_range(FIRST + offset))
        for section, (first, end) in self._carried_rows().items():
            for offset, piece in enumerate(self.pieces):
                start = page.absolute(FIRST + offset, top + first)
                stop = page.absolute(FIRST + offset, top + end).split("!")[1]
                names.define(names.of(f"{section} of", piece), f"{start}:{stop}")

    def _carried_rows(self) -> dict[TaxedKind, tuple[int, int]]:
        """Return the first and last row of freight and of insurance, where several bear what a piece's way costs."""
        if not any(sale.divided for sale in self.binder.quote.sales):
            return {}
        found = {kind: [at for at, row in enumerate(self.rows) if row.section == kind] for kind in _CARRIED}
        return {kind: (rows[0], rows[-1]) for kind, rows in found.items() if rows}


def fill(binder: Binder, page: Page, lines: Sequence[CostLine]) -> None:
    """Write the tables and name each piece's parts."""
    page.section("Shares, worked out")
    page.paragraph(_LEAD, "lead")
    _Tables(binder, page, rows_of(binder, lines)).write()
