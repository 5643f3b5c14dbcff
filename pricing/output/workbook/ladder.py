"""The ladder on the Costs page: from direct cost to the total, one step a row, each with its rate."""

from collections.abc import Mapping
from decimal import Decimal

from pricing.output.workbook.binder import Binder
from pricing.output.workbook.by_place import taxes
from pricing.output.workbook.page import Formula, Page
from pricing.quoting.ladder import StepKey, markup_and_margin
from pricing.quoting.lines import Section


class Ladder:
    """The steps from direct cost to the total, each with its rate and running total."""

    def __init__(self, page: Page, binder: Binder, sums: Mapping[Section, str]) -> None:
        self.page, self.binder, self.sums = page, binder, sums
        self.running = ""

    def write(self) -> None:
        """Write every step; the quote's own steps give the values."""
        page, rates = self.page, self.binder.quote.rates
        page.section("From cost to price")
        money = self.binder.money
        page.heads(
            "Step", "Rate", "", money("On"), money("Amount"), money("So far"), "Rule", "", "", right=(1, 3, 4, 5)
        )
        carried = [self.sums["freight"], self.sums["insurance"]]
        direct = [name for name in self.sums.values() if rates.price.freight_marked_up or name not in carried]
        passed = ["0", "0"] if rates.price.freight_marked_up else carried
        self._step("direct", f"ROUND({'+'.join(direct)},2)")
        self._step("contingency", "ROUND({on}*contingency_rate,2)", "contingency_rate")
        self._step("overhead", "ROUND({on}*overhead_rate,2)", "overhead_rate")
        if rates.price.profit == "markup":
            self._step("profit", "ROUND({on}*markup_rate,2)", "markup_rate")
        else:
            self._step("profit", "ROUND(ROUND({on}/(1-margin_rate),2)-{on},2)", "margin_rate")
        self._step("discount", "-ROUND({on}*discount_rate,2)", "discount_rate")
        self._step("minimum", "IF(step_direct=0,0,MAX(0,ROUND(ROUND(minimum_charge,2)-{on},2)))", "minimum_charge")
        steps = "ROUND({on}/round_to,8)"
        rounded = f'IF(round_way="up",ROUNDUP({steps},0),ROUND({steps},0))*round_to'
        self._step("rounding", f"ROUND(ROUND({rounded},2)-{{on}},2)", "round_to")
        work = self.running
        freight = self._step("freight", passed[0])
        insurance = self._step("insurance", passed[1])
        self._tax(work, freight, insurance)
        step = self.binder.quote.steps[-1]
        quote = self.binder.quote
        told = ", ".join(filter(None, ("Total", quote.currency, quote.without)))
        page.put(0, told, "wrap", bold=True, top=2, font_size=11)
        for column in (1, 2, 3):
            page.put(column, None, top=2)
        style = {"num_format": self.binder.styles.total_format, "top": 2, "bold": True, "font_size": 11}
        page.put(4, Formula(self.running, step.running), "money", span=2, name="quote_total", **style)
        page.next()
        self._both_ways()
        page.skip()

    def _tax(self, work: str, freight: str, insurance: str) -> None:
        """Write the tax: one row where one rule holds, else a row for each and their sum."""
        cells = taxes(self.binder)
        if len(cells) == 1:
            one = cells[0]
            terms = (one.on("work", work), one.on("freight", freight), one.on("insurance", insurance))
            self._step("tax", f"ROUND({{on}}*{one.rate},2)", one.rate, base="+".join(terms))
            return
        page, rows = self.page, []
        for each in cells:
            page.put(0, f"{each.tax.rule.name}, {each.where}", "wrap")
            rate = page.put(1, Formula(each.rate, each.tax.rule.rate), "rate")
            on = page.put(3, Formula(f"ROUND({each.base},2)", each.tax.base), "money")
            rows.append(page.put(4, Formula(f"ROUND({on}*{rate},2)", each.tax.amount), "money", name=each.amount))
            page.put(6, each.tax.rule.reason or "rate x what is taxed of its pieces", "quiet wrap", span=3)
            page.next()
        self._step("tax", f"ROUND({'+'.join(rows)},2)")

    def _step(self, key: StepKey, text: str, rate: str = "", *, base: str = "") -> str:
        """Write a step and return the address of its amount."""
        page, step = self.page, self.binder.quote.step(key)
        page.put(0, step.title, "wrap")
        if rate:
            page.put(1, Formula(rate, step.rate or Decimal(0)), "money" if key in ("minimum", "rounding") else "rate")
        before = base or self.running
        on = page.put(3, Formula(f"ROUND({before},2)", step.base), "money") if before and rate else ""
        amount = page.put(4, Formula(text.format(on=on), step.amount), "money", name=f"step_{key}")
        running = f"ROUND({self.running}+{amount},2)" if self.running else amount
        self.running = page.put(5, Formula(running, step.running), "money", name=f"after_{key}", bold=key == "rounding")
        page.put(6, step.how, "quiet wrap", span=3)
        page.next()
        return amount

    def _both_ways(self) -> None:
        """Show the profit both as a markup on cost and as a margin on price."""
        markup, margin = markup_and_margin(self.binder.quote.rates.price)
        page = self.page
        for title, name, value in (
            ("As a markup on cost", "markup_rate", markup),
            ("As a margin on price", "margin_rate", margin),
        ):
            page.put(0, title, "quiet")
            page.put(1, Formula(name, value), "rate", num_format="0.00%")
            page.next()
