"""The rates file by itself: every sentence in full, every bound at its end, and each line that is written."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from pricing.studio.offer_rules import Exchange
from pricing.studio.rates import FreightProfile, Rates
from pricing.studio.rates_file import (
    GROUPS,
    built_in_rates,
    default_rates,
    default_rates_text,
    former_rates,
    rates_from,
    rates_text,
    read_rates,
)

KINDS = "collect, parcel, pallet, air, van, handler, fixed, road or sea"
ENTRY = '{ rate = 0.92, day = 2026-11-28, source = "where it stands" }, rate and day at the least'


def said(text: str) -> list[str]:
    """Return every sentence of what is refused, without the file's name."""
    with pytest.raises(FaultsFound) as caught:
        rates_from(text, "r.toml", default_rates())
    assert all(fault.file == "r.toml" and fault.row_word == "table" for fault in caught.value.faults)
    return [fault.message.removeprefix("r.toml, ") for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("text", "where", "found", "accepted"),
    [
        ("form = 0", "form", "0", "a whole number from 1 to 2; a newer version writes others"),
        ("form = 3", "form", "3", "a whole number from 1 to 2; a newer version writes others"),
        ("form = true", "form", "True", "a whole number from 1 to 2; a newer version writes others"),
        ('sizes = "feet"', "sizes", "feet", "inch or metric"),
        ("charge = 3", "charge", "3",
         "a table [charge]; the rule for all goods is under [price], one of bought, used, area"),
        ('[charge]\nkraft = "weighed"', "charge.kraft", "weighed", "one of bought, used, area"),
        ("currencies = 3", "currencies", "3", f"a table [currencies] of entries such as EUR = {ENTRY}"),
        ("[currencies]\neur = 3", "currencies.eur", "eur", "three capital letters such as EUR"),
        ("[currencies]\nEURO = 3", "currencies.EURO", "EURO", "three capital letters such as EUR"),
        ("[currencies]\nEUR = 3", "currencies.EUR", "3", ENTRY),
        ("freight = 3", "freight", "3", "tables [freight.NAME]"),
        ("[freight]\nvan = 3", "freight.van", "3", "a table [freight.van]"),
        ('[freight.""]\nkind = "van"', "freight", "", "a name in each [freight.NAME]"),
        ("[freight.a]\namount = 3", "freight.a.kind", "", KINDS),
        ("[purchase_tax]\ngoods = 1.01", "purchase_tax.goods", "1.01", "a number from 0 to 1"),
        ("[purchase_tax]\ngoods = -0.01", "purchase_tax.goods", "-0.01", "a number from 0 to 1"),
        ("[lead_days]\nYard = 366", "lead_days.Yard", "366", "a number from 0 to 365"),
        ("purchase_tax = 1", "purchase_tax", "1", "a table [purchase_tax]"),
        ("lead_days = 1", "lead_days", "1", "a table [lead_days]"),
        ('[freight.a]\nkind = "van"\nper_100lb = { 70 = 100001 }', "freight.a.per_100lb.70", "100001",
         "a number from 0 to 100000"),
        ('[freight.a]\nkind = "van"\nzones = { 2 = 101 }', "freight.a.zones.2", "101", "a number from 0 to 100"),
        ('[freight.a]\nkind = "van"\nzones = 3', "freight.a.zones", "3", "a table [freight.a.zones]"),
        ('[freight.a]\nkind = "van"\nover_length = { "8 ft" = 100001 }', "freight.a.over_length.8 ft", "100001",
         "a number from 0 to 100000"),
        ("price = 3", "price", "3", "a table [price]"),
        ('[price]\nprofit = "margin"\nprofit_rate = 1', "price.profit_rate", "1", None),
    ],
)  # fmt: skip
def test_what_a_rates_file_does_not_take(text: str, where: str, found: str, accepted: str | None) -> None:
    quoted = f'"{found}"' if found else "nothing"
    (line,) = said(text)
    assert line.startswith(f"{where}: found {quoted}; accepted: ") or accepted is None
    assert line.endswith(f"accepted: {accepted}") or accepted is None
    assert accepted is not None or line.startswith("price")


def test_a_table_that_there_is_not() -> None:
    known = ", ".join(
        ("form", "sizes", "currency", *GROUPS, "purchase_tax", "lead_days", "charge", "currencies", "freight")
    )
    assert said("colours = 1\nsounds = 2\n") == [
        f'colours: found "colours"; accepted: one of {known}',
        f'sounds: found "sounds"; accepted: one of {known}',
    ]


@pytest.mark.parametrize(
    ("entry", "found"),
    [
        ("{ rate = 0.92 }", None), ("{ day = 2026-11-28 }", None), ("{ rate = 1, day = 2026-11-28, by = 1 }", None),
        ('{ rate = "1", day = 2026-11-28 }', "rate 1, day 2026-11-28"),
        ('{ rate = 1, day = "today" }', "rate 1, day today"),
        ("{ rate = true, day = 2026-11-28 }", "rate True, day 2026-11-28"),
        ("{ rate = 1, day = 2026-11-28T10:00:00 }", "rate 1, day 2026-11-28 10:00:00"),
    ],
)  # fmt: skip
def test_an_exchange_says_its_rate_and_day(entry: str, found: str | None) -> None:
    (line,) = said(f"[currencies]\nEUR = {entry}\n")
    assert line.startswith("currencies.EUR: found ")
    assert line.endswith(f"accepted: {ENTRY}")
    assert found is None or f'found "{found}"' in line


def test_exchanges_are_read_and_written() -> None:
    first = 'EUR = { rate = 0.92, day = 2026-11-28, source = "our bank" }'
    text = f"[currencies]\n{first}\nGBP = {{ rate = 1, day = 2026-11-27 }}\n"
    made = rates_from(text, "r.toml", default_rates())
    assert made.currencies == (
        Exchange("EUR", Decimal("0.92"), date(2026, 11, 28), "our bank"),
        Exchange("GBP", Decimal(1), date(2026, 11, 27), ""),
    )
    assert first in rates_text(made).splitlines()
    (line,) = said("[currencies]\nEUR = { rate = 0, day = 2026-11-28 }\n")
    assert line.startswith("currencies.EUR.rate: found ")


def test_tables_at_their_ends() -> None:
    text = (
        '[purchase_tax]\ngoods = 1\nwork = 0\n[lead_days]\nYard = 365\n[charge]\nkraft = "area"\n'
        '[delivery]\nprofile = "a"\n'
        '[freight.a]\nkind = "van"\nper_100lb = { 70 = 100000 }\nzones = { 2 = 100 }\n'
        'over_length = { "8 ft" = 100000, 96 = 0 }\n'
    )
    made = rates_from(text, "r.toml", default_rates())
    assert (made.purchase_tax, made.lead_days, made.by_good) == (
        {"goods": 1, "work": 0}, {"Yard": 365}, {"kraft": "area"},
    )  # fmt: skip
    (profile,) = made.freight
    assert (profile.per_100lb, profile.zones, profile.over_length) == (
        {"70": 100_000}, {"2": 100}, {"8 ft": 100_000, "96": 0},
    )  # fmt: skip
    lines = rates_text(made).splitlines()
    for line in (
        "goods = 1", "work = 0", "Yard = 365", 'kraft = "area"', "[freight.a]", 'kind = "van"',
        "per_100lb = { 70 = 100000 }", "zones = { 2 = 100 }",
    ):  # fmt: skip
        assert line in lines, line


def test_lengths_that_are_none_stand_before_no_sum() -> None:
    first, second = said('[freight.a]\nkind = "van"\nover_length = { long = 90, "-3 in" = 1 }\n')
    assert first.startswith('freight.a.over_length: found "long"; accepted: ')
    assert first.endswith(", as what stands before the sum")
    assert second.startswith('freight.a.over_length: found "-3 in"; accepted: ')


@pytest.mark.parametrize(
    ("form", "kind", "more", "divisor"),
    [
        (2, "air", "", "6000"), (2, "road", "", "3000"), (2, "sea", "", "1000"), (2, "parcel", "", "139"),
        (2, "parcel", "per_kg = 5", "5000"), (2, "van", "", "139"), (2, "sea", "divisor = 900", "900"),
        (1, "sea", "", "139"),
    ],
)  # fmt: skip
def test_by_what_volume_is_billed(form: int, kind: str, more: str, divisor: str) -> None:
    """6,000 and 5,000 cm3/kg of air and parcels, 333 and 1,000 kg/m3 of road and sea: common practice, no source."""
    text = f'form = {form}\n[delivery]\nprofile = "a"\n[freight.a]\nkind = "{kind}"\n{more}\n'
    assert rates_from(text, "r.toml").profile("a").divisor.quantize(Decimal(1)) == Decimal(divisor)


def test_a_divisor_by_the_kilogram_is_always_written() -> None:
    base = default_rates()

    def lines(profile: FreightProfile) -> list[str]:
        text = rates_text(replace(base, freight=(profile,), delivery=replace(base.delivery, profile=profile.name)))
        return text.partition(f"[freight.{profile.name}]\n")[2].splitlines()

    for kind in ("air", "road", "sea"):
        assert any(line.startswith("divisor = ") for line in lines(FreightProfile("a", kind))), kind  # type: ignore[arg-type]  # words
    assert not any(line.startswith("divisor") for line in lines(FreightProfile("a", "van")))
    assert not any(line.startswith("divisor") for line in lines(FreightProfile("a", "parcel")))
    assert any(line.startswith("divisor") for line in lines(FreightProfile("a", "parcel", per_kg=Decimal(5))))
    assert not any(line.startswith(("per_100lb", "over_length", "zones")) for line in lines(FreightProfile("a", "van")))
    assert [line.partition(" = ")[0] for line in lines(FreightProfile("a", "van"))] == ["kind", "as_of"]


def test_a_file_that_says_nothing_more_is_as_it_was_built_in() -> None:
    assert built_in_rates(1) == built_in_rates(1, "metric") == former_rates()
    assert built_in_rates(2) == default_rates()
    assert built_in_rates(2, "metric") == default_rates("metric")
    assert rates_from("form = 2", "x").source == "x"
    assert rates_from('form = 2\nsizes = "metric"\n', "rates.toml") == default_rates("metric")
    assert rates_from("form = 2", "rates.toml", sizes="metric") == default_rates("metric")
    assert rates_from('currency = "EUR"\nform = 2', "x").currency == "EUR"


def test_the_file_as_it_is_written(tmp_path: Path) -> None:
    head = (
        (
            "# Rates and profiles of the front office. Delete what you do not want to change: what is missing stays "
            "as built in."
        ),
        (
            "# Rates are parts of one: 0.25 is 25 %. Amounts are in the currency below, which must be that of the "
            "price book."
        ),
        "# The built-in amounts are invented for demonstration; replace them by your own, with their day.",
        "",
        "# Form of this file: without this line, what is missing stays as it was built in before there were forms.",
        "form = 2",
        "",
    )
    inch, metric = default_rates_text().splitlines(), default_rates_text("metric").splitlines()
    assert tuple(inch[:8]) == (*head, 'currency = "USD"')
    assert tuple(metric[:11]) == (
        *head,
        "# What is missing is as it is built in for shops by millimetres; names that end in kg or m are theirs.",
        'sizes = "metric"',
        "",
        'currency = "EUR"',
    )
    for lines, longer in ((inch, "96 in"), (metric, "2400 mm")):
        for line in (
            "# Paid on bought goods and not got back, by the tax category of the price book.",
            "# Working days from an order to its delivery, by the supplier's name in the price book.",
            (
                "# Where charge under [price] is used: goods that are charged by a rule of their own, bought, used or "
                "area."
            ),
            "# What is left of a sheet of foam goes back on the shelf: each job bears its parts and their waste.",
            (
                "# What other currencies are worth, for what goes out: units for one of the currency above, the day, "
                "who says so."
            ),
            '# EUR = { rate = 0.92, day = 2026-11-28, source = "our bank" }',
            "# Freight profiles. Each is [freight.NAME]; a destination names the one it uses.",
            f'#   over_length: extra by length, of the last that a piece is longer than: {{ "{longer}" = 90.00 }}.',
            "#   zones: by how much a zone of the carrier multiplies the freight before fuel; none charges all alike.",
        ):
            assert line in lines
    hundred = "#   per_100lb: pallet: price of 100 lb by freight class, before discount and fuel."
    assert hundred in inch
    assert hundred not in metric
    assert not [line for line in metric if line.startswith("#   ") and ("lb" in line.partition(":")[0])]
    path = tmp_path / "mine.toml"
    path.write_text("\n".join(metric), encoding="utf-8")
    assert read_rates(path) == replace(default_rates("metric"), source="mine.toml")
    path.write_text("form = 2\n", encoding="utf-8")
    assert read_rates(path, "metric").sizes == "metric"


def test_what_agrees_one_by_one_and_not_together_is_told_by_its_key() -> None:
    (line,) = said('[delivery]\nprofile = "boat"\n')
    assert line.startswith('delivery.profile: found "boat"; accepted: ')
    (line,) = said('currency = "dollars"\n')
    assert "three capital letters" in line
    assert Rates("USD").form == 1
