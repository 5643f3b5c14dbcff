"""What designs are judged by: whole numbers out of prices and rates, and back to money for people."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from nesting.base.measure import MM
from nesting.crates.judge import Bill
from nesting.crates.model import Designed
from pricing.output.tables import csv_files
from pricing.quoting.judging import judge_of, next_priced
from pricing.quoting.quote import quote
from pricing.studio.office import Office
from tests.pricing.builds import closed, small_build

OFFICE = Office()
BUILT = Designed("a", "ply-3/8", text="back ply-3/8, screws #10 x 1", tare_kg=20.0, cost=1_000_000)


def test_a_sheet_of_a_good_costs_its_price_by_the_area_of_its_cheapest_size() -> None:
    judge, prices = judge_of(OFFICE), {row.stock: row.price for row in OFFICE.book.rows}
    good = OFFICE.shop.good("ply-23/32")
    least = min(Fraction(prices[s.stock]) / (s.length * s.width) for s in good.sizes if s.stock in prices)
    area = 7 * (1000 * MM) ** 2
    assert abs(judge.cost(Bill({"ply-23/32": area})) - least * area * 100_000) <= 7


def test_an_hour_of_the_bench_costs_its_rate() -> None:
    judge, rules = judge_of(OFFICE), OFFICE.rates.labour
    (price,) = [row.price for row in OFFICE.book.rows if row.stock == rules.bench_hour]
    screws = int(60_000 / judge.minutes["screw"])
    assert abs(judge.cost(Bill(work={"screw": screws})) - price * 100_000) <= 60
    assert abs(judge.hand_minutes(Bill(work={"screw": screws})) - 60) < 0.1


def test_what_a_next_best_design_costs_more_is_told_in_the_price_books_currency() -> None:
    others = (
        replace(BUILT, key="b", text="back ply-15/32, screws #10 x 1", tare_kg=21.0, cost=1_123_456),
        replace(BUILT, key="c", text="back ply-3/8, screws #10 x 3/4", tare_kg=20.0, cost=999_600),
    )
    crate = replace(closed("K1", "A-01", 20, 20), design=BUILT, others=others)
    assert next_priced(crate, "metric", "EUR") == (
        "back ply-15/32 (1 kg heavier, EUR 1.23 more); screws #10 x 3/4 (as heavy, at the same cost)"
    )
    less = replace(crate, others=(replace(others[0], cost=900_000),))
    assert next_priced(less, "metric", "EUR") == "back ply-15/32 (1 kg heavier, EUR 1.00 less)"
    assert not next_priced(replace(crate, others=()), "metric", "EUR")


def test_the_crates_table_says_what_was_built_and_what_came_next() -> None:
    build = small_build()
    others = (replace(BUILT, key="b", text="back ply-15/32, screws #10 x 1", tare_kg=21.0, cost=1_200_000),)
    first = replace(build.crates[0], design=BUILT, others=others)
    made = quote(replace(build, crates=(first, *build.crates[1:])), OFFICE, on=date(2026, 11, 1))
    head, row, *_ = csv_files(made)["crates.csv"].splitlines()
    assert head.endswith("reason,built_to,next_best")
    assert row.endswith(f'"{BUILT.text}","back ply-15/32 (2.2 lb heavier, USD 2.00 more)"')
