"""The Costs page: every line, the way from cost to price, both truths, and where the money goes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from pricing.money import half_up, total
from pricing.output.workbook.binder import FIXED_AND_LIVE, Binder
from pricing.output.workbook.costs_end import truths, where_the_money_goes
from pricing.output.workbook.freight import PARTS, Charged
from pricing.output.workbook.ladder import Ladder
from pricing.output.workbook.page import Formula
from pricing.quoting.labour import Labour
from pricing.quoting.lines import Line, Section
from pricing.quoting.sawn import Sawn, sawn_lines
from pricing.quoting.takeoff import Taken

_LEAD: Final = (
    "Every line: quantity times price, rounded half up to the cent, then summed. Columns F to J show of every material "
    "what must be bought, what the job uses up and what its parts alone make up; column K says which is charged. Under "
    "Assumptions the shop chooses that, and the part for waste, for all goods and for one."
)
_WIDTHS: Final = (320, 78, 66, 74, 92, 92, 80, 80, 80, 74, 60)
_BOTH: Final = ("To fetch", "which costs", "Uses up", "which costs", "Parts", "Charged")
_FLAT: Final = ("sheet", "stick")
SECTIONS: Final[dict[Section, str]] = {
    "sheets": "Sheets",
    "sticks": "Lumber",
    "rolls": "Paper, film and foam off rolls",
    "hardware": "Hardware, boxes and cartons",
    "purchase tax": "Tax on purchases",
    "labour": "Work",
    "freight": "Freight (estimate)",
    "insurance": "Insurance (estimate)",
}


@dataclass(frozen=True, slots=True)
class CostLine:
    """A line as later pages need it.

    Attributes
    ----------
    key : str
        As the quote's own line has it.
    title : str
        What it is.
    section : Section
        Where it belongs.
    ref : str
        Address of its charged amount, for other pages.
    amount : Decimal
        Its charged amount today.
    bearers : mapping of str to Fraction
        Each piece's part; empty for a tax on purchases, which is borne as what it is on.
    tax : str
        Tax category of a material, or of the tax itself.
    """

    key: str
    title: str
    section: Section
    ref: str
    amount: Decimal
    bearers: dict[str, Fraction] = field(default_factory=dict)
    tax: str = ""


class _Costs:
    """The page while it is filled."""

    def __init__(self, binder: Binder, charged: Sequence[Charged]) -> None:
        self.binder = binder
        self.quote = binder.quote
        self.page = binder.page("Costs", _WIDTHS, breaks=False)
        self.charged = charged
        self.lines: list[CostLine] = []
        self.sums: dict[Section, str] = {}
        self.materials: list[tuple[str, int]] = []
        self.charging = self.quote.charging
        self.sawn = list(sawn_lines(self.quote.sawn or Sawn(), self.quote.build, self.charging, binder.spread))

    def section(
        self, key: Section, rows: Sequence[Any], write: Callable[[Any], CostLine], heads: Sequence[str] = ()
    ) -> None:
        """Write a section with its sum, which has a name."""
        page = self.page
        page.section(SECTIONS[key])
        money = self.binder.money
        page.heads(
            "Line", "Quantity", "Unit", money("Price"), money("Amount"), *heads, *[""] * (6 - len(heads)),
            right=(1, 3, 4, 5, 6, 7, 8, 9),
        )  # fmt: skip
        first = page.row
        made = []
        for row in rows:
            made.append(write(row))
            page.next()
        page.put(0, f"{SECTIONS[key]}: in all", "quiet", top=1)
        name = f"cost_of_{key.replace(' ', '_')}"
        text = f"ROUND(SUM({page.cell(4, first)}:{page.cell(4, page.row - 1)}),2)" if rows else "0"
        value = total(line.amount for line in made)
        page.put(4, Formula(text, value), "money", name=name, top=1, bold=True)
        self.sums[key] = name
        page.next()
        page.skip(6)
        self.lines += made

    def line(
        self, key: str, title: str, amount: Decimal, formula: str, bearers: Mapping[str, Fraction], tax: str = ""
    ) -> CostLine:
        """Write the amount of the current row and return its line; the key begins with the section."""
        self.page.put(4, Formula(formula, amount), "money")
        section: Section = key.split(":", 1)[0]  # type: ignore[assignment]  # keys begin with a section
        return CostLine(key, title, section, self.page.absolute(4), amount, dict(bearers), tax)

    def material(self, key: Section) -> Callable[[Taken | Line], CostLine]:
        """Return what writes a material of a section: what is charged, then both truths."""

        def write(row: Taken | Line) -> CostLine:
            if not isinstance(row, Taken):
                return self.before(row)
            if row.source == "open":
                return self.opened(row, key)
            page, names, rack = self.page, self.binder.names, row.source == "rack"
            stock = ("rack", row.stock) if rack else (row.stock,)
            title = f"{row.title}: {row.stock}" + (" (rack, at book value)" if rack else "")
            page.put(0, title, "wrap")
            self.materials.append((row.source, page.row))
            taken, value = (row.needed, row.book_amount) if rack else (row.bought, row.bought_amount)
            fetched = page.put(5, Formula(names.of("needed" if rack else "bought", *stock), taken), "quantity")
            cost = page.put(6, Formula(names.of("amount", *stock), value), "money")
            uses = page.put(7, row.used, "fraction", yours=True, name=names.of("used", *stock))
            plain = names.of("value" if rack else "price", *stock)
            need = names.of("needed", *stock)
            text = f"ROUND({uses}*{plain},2)"
            if not rack:
                text = f"IF({need}=0,{text},ROUND({uses}*{cost}/{need},2))"
            page.put(8, Formula(text, row.used_amount), "money")
            quantity, rule = self._charged(row, fetched, need)
            one = plain if rack else names.of("each", *stock)
            used_each = one if rack else f"IF({need}=0,{plain},ROUND({cost}/{need},4))"
            charged = self.charging(row)
            each = half_up(charged.each, Decimal("0.0001"))
            page.put(3, Formula(f'IF({rule}="bought",{one},{used_each})', each), "money", num_format="#,##0.00")
            by_use = f"ROUND({quantity}*{plain},2)"
            if not rack:
                by_use = f"IF({need}=0,{by_use},ROUND({quantity}*{cost}/{need},2))"
            bearers = self.binder.spread(row.bearers)
            tax = row.price.tax if row.price else ""
            formula = f'IF({rule}="bought",{cost},{by_use})'
            return self.line(f"{key}:{row.stock}", title, charged.amount, formula, bearers, tax)

        return write

    def _charged(self, row: Taken, fetched: str, need: str) -> tuple[str, str]:
        """Write what is charged of a material and by which rule; return the cells of quantity and rule.

        Parameters
        ----------
        fetched, need : str
            Where it stands how many are fetched, and how many are needed.
        """
        page, charged, flat = self.page, self.charging(row), row.form in _FLAT
        own = self.binder.names.of("charge", row.good)
        text = f'IF(OR(charge_basis<>"used",{own}=""),charge_basis,{own})'
        rule = page.put(10, Formula(text, charged.rule), "quiet", align="left", indent=1)
        uses = page.cell(7)
        shelf = f"+{row.shelf:f}" if row.shelf else ""
        by_use = uses if flat else f"MIN({uses}*(1+waste_rate),MAX({uses},{need}{shelf}))"
        by_area = by_use
        if flat and row.net:
            net = page.put(9, row.net, "fraction", yours=True)
            by_area = f"MIN({net}*(1+sheet_waste_rate),MAX({uses},{need}{shelf}))"
        chosen = by_use if by_area == by_use else f'IF({rule}="area",{by_area},{by_use})'
        text = f'IF({rule}="bought",{fetched},ROUND({chosen},6))'
        quantity = page.put(1, Formula(text, charged.units), "quantity")
        page.put(2, row.form)
        return quantity, rule

    def opened(self, row: Taken, key: Section) -> CostLine:
        """Write open stock: nothing to fetch, and used up at what an earlier version paid."""
        title = f"{row.title}: {row.stock} (paid already)"
        self.materials.append((row.source, self.page.row))
        formula = self._fixed(title, row, Decimal(0))
        self.page.put(3, row.each, "money", num_format="#,##0.00")
        amount = self.charging(row).amount
        return self.line(f"{key}:{row.stock}", title, amount, formula, self.binder.spread(row.bearers))

    def _fixed(self, title: str, row: Taken, fetched: Decimal) -> str:
        """Write stock whose figures are those of an earlier version; return the formula of what is charged of it."""
        page = self.page
        cost = row.book_amount if row.source == "rack" else row.bought_amount
        page.put(0, title, "wrap")
        fetch = page.put(5, fetched, "quantity", yours=True)
        paid = page.put(6, cost, "money", yours=True)
        uses = page.put(7, row.used, "fraction", yours=True)
        used = page.put(8, row.used_amount, "money", yours=True)
        quantity, rule = self._charged(row, fetch, f"{row.needed:f}")
        return f'IF({rule}="bought",{paid},IF({quantity}={uses},{used},ROUND({quantity}*{row.used_each:.12f},2)))'

    def before(self, line: Line) -> CostLine:
        """Write a line of an earlier version: what was cut or bought, or the saw's work on it."""
        page, row = self.page, line.taken
        if row is None:
            page.put(0, line.description, "wrap")
            hours = page.put(1, line.quantity, "quantity", yours=True)
            page.put(2, line.unit)
            each = page.put(3, line.unit_price, "money", yours=True)
            return self.line(line.key, line.description, line.amount, f"ROUND({hours}*{each},2)", line.bearers)
        formula = self._fixed(line.description, row, row.needed if row.source == "rack" else row.bought)
        page.put(3, half_up(line.unit_price, Decimal("0.0001")), "money", num_format="#,##0.00")
        return self.line(line.key, line.description, line.amount, formula, line.bearers, self._then(line))

    def _then(self, line: Line) -> str:
        """Return the tax category of a material of an earlier version: one of its own where the rate has changed."""
        batch = next(batch for batch, each in self.sawn if each.key == line.key)
        if batch.taxed_as_now(line.tax, self.quote.rates.purchase_tax):
            return line.tax
        return f"version {batch.version}:{line.tax}" if batch.purchase_tax.get(line.tax) else ""

    def earlier(self, key: Section) -> list[Line]:
        """Return the lines of earlier versions in a section."""
        return [line for _, line in self.sawn if line.section == key]

    def earlier_taxes(self) -> dict[str, Decimal]:
        """Return the rates of the taxes on purchases that were paid at other rates than today's, by category."""
        taxes = {line.tax for line in self.lines}
        found = {
            f"version {batch.version}:{category}": rate
            for batch, _ in self.sawn
            for category, rate in batch.purchase_tax.items()
        }
        return {category: rate for category, rate in found.items() if category in taxes}

    def tax(self, category: str) -> CostLine:
        """Write the tax on purchases of one category."""
        page, then = self.page, self.earlier_taxes().get(category)
        rate = self.quote.rates.purchase_tax[category] if then is None else then
        taxed = [line for line in self.lines if line.tax == category]
        base = total(line.amount for line in taxed)
        cells = "+".join(line.ref.split("!")[1].replace("$", "") for line in taxed)
        version, _, name = category.partition(":")
        told = category if then is None else f"{name} (already paid, {version})"
        title = f"Purchase tax on {told}"
        page.put(0, title, "wrap")
        on = page.put(1, Formula(f"ROUND({cells},2)", base), "money")
        page.put(2, "amount")
        if then is None:
            each = self.binder.names.of("purchase_tax", category)
            page.put(3, Formula(each, rate), "rate")
        else:
            each = page.put(3, rate, "rate", yours=True)
        return self.line(f"purchase tax:{category}", title, half_up(base * rate), f"ROUND({on}*{each},2)", {}, category)

    def work(self, row: Labour | Line) -> CostLine:
        """Write an operation: how often, minutes, hours, rate."""
        if not isinstance(row, Labour):
            return self.before(row)
        page, names = self.page, self.binder.names
        page.put(0, row.title, "wrap")
        count = page.put(5, row.count, "number", yours=True)
        minutes = page.put(6, Formula(names.of("minutes", row.operation), row.minutes), "number")
        hours = page.put(1, Formula(f"ROUND({count}*{minutes}/60,4)", row.hours), "quantity")
        self.binder.refs["hours", row.operation] = page.absolute(1)
        page.put(2, "hour")
        rate = names.of("price", row.hour)
        page.put(3, Formula(rate, row.rate), "money")
        page.put(7, row.hour.removeprefix("hour "), "quiet", align="right")
        bearers = self.binder.spread(row.bearers)
        return self.line(f"labour:{row.operation}", row.title, row.amount, f"ROUND({hours}*{rate},2)", bearers)

    def freight(self, row: Charged) -> CostLine:
        """Repeat a charge of the Freight page."""
        page = self.page
        page.put(0, row.description, "wrap")
        page.put(1, row.quantity, "quantity")
        page.put(2, row.unit)
        page.put(3, row.each, "rate" if row.key in PARTS else "money")
        value = Decimal(str(row.amount.value))
        key = f"freight:{row.shipment}:{row.key}"
        return self.line(key, row.description, value, row.amount.text, self.binder.spread(row.offer.part_of(row.key)))

    def insurance(self, which: str) -> CostLine:
        """Repeat the premium of the Freight page, or what lifts it to the least premium."""
        page, rules = self.page, self.quote.rates.insurance
        values = {piece: Fraction(value) for piece, value in self.binder.insured.items()}
        value = sum(self.binder.insured.values(), Decimal(0))
        premium = half_up(value * rules.rate)
        if which == "premium":
            title = f"Insurance in transit by declared value (figures of {rules.as_of})"
            page.put(1, Formula("declared_value", value), "money")
            page.put(2, "declared")
            page.put(3, Formula("insurance_rate", rules.rate), "rate")
            amount, name = premium, "insurance_premium"
        else:
            title = "Insurance, up to the least premium"
            amount = max(Decimal("0.00"), half_up(rules.minimum) - premium) if value else Decimal("0.00")
            name = "insurance_to_minimum"
        page.put(0, title, "wrap")
        return self.line(f"insurance:{which}", title, amount, name, values)

    def hours(self) -> None:
        """Write the hours of all work."""
        cells = [line.ref.split("!")[1].replace("$E$", "B") for line in self.lines if line.section == "labour"]
        if cells:
            self.page.put(0, "Hours of work in all", "quiet")
            text = f"ROUND(SUM({cells[0]}:{cells[-1]}),4)"
            self.page.put(1, Formula(text, self.quote.hours), "quantity", num_format="#,##0.00", name="hours_of_work")
            self.page.next()
            self.page.skip()


def fill(binder: Binder, charged: Sequence[Charged]) -> list[CostLine]:
    """Write the page and return its lines in the order in which their amounts are shared out."""
    costs = _Costs(binder, charged)
    page, quote = costs.page, binder.quote
    page.title("Costs", f"{_LEAD} {FIXED_AND_LIVE}")
    for key, forms in (
        ("sheets", ("sheet",)),
        ("sticks", ("stick",)),
        ("rolls", ("roll",)),
        ("hardware", ("each", "box")),
    ):
        rows = [*(row for row in quote.takeoff.rows if row.form in forms), *costs.earlier(key)]  # type: ignore[arg-type]  # mypy widens the literals
        if rows:
            costs.section(key, rows, costs.material(key), _BOTH)  # type: ignore[arg-type]  # mypy widens the literals
    truths(page, binder, costs.materials)
    categories = [name for name in quote.rates.purchase_tax if any(line.tax == name for line in costs.lines)]
    taxes = [*categories, *costs.earlier_taxes()]
    if taxes:
        costs.section("purchase tax", taxes, costs.tax)
    costs.section(
        "labour", [*quote.labour, *costs.earlier("labour")], costs.work, ("How often", "minutes each", "paid as", "")
    )
    costs.hours()
    costs.section("freight", charged, costs.freight)
    costs.section("insurance", ["premium", "minimum"], costs.insurance)
    page.new_paper()
    Ladder(costs.page, binder, costs.sums).write()
    amounts = {key: total(line.amount for line in costs.lines if line.section == key) for key in costs.sums}
    where_the_money_goes(page, binder, costs.sums, amounts)
    page.finish(repeat=(0, 0), freeze=(1, 1), foot=binder.foot)
    return costs.lines
