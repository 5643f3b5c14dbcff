"""Figures and days as countries write them, against the locale data that Unicode publishes."""

from datetime import date

import pytest

from nesting.base.writing import Writing, form, writing_in

DE, SE, CH, US = (writing_in(code) for code in ("DE", "SE", "CH", "US"))


@pytest.mark.parametrize(
    ("said", "german"),
    [
        ("EUR 1,234.50 for 12.5 kg", "EUR 1.234,50 for 12,5 kg"),
        ("Holds until 2027-03-01.", "Holds until 01.03.2027."),
        ("by 3 July 2027, 20:11", "by 03.07.2027, 20:11"),
        ("0.125 of it, -3.50, 1,234 bytes", "0,125 of it, -3,50, 1.234 bytes"),
        ("screw 3.5x16 box 200, timber 38x63 2.4m", "screw 3.5x16 box 200, timber 38x63 2.4m"),
        ("NDS equation 12.2-2, NDS 12.1.5, chapter 8.3", "NDS equation 12.2-2, NDS 12.1.5, chapter 8.3"),
        ("Sheet 9.5 × 1220 mm, 3.2 of 4.", "Sheet 9,5 × 1220 mm, 3,2 of 4."),
        ("casewright 0.2, file a.2027-03-01.csv, 1.2.3", "casewright 0.2, file a.2027-03-01.csv, 1.2.3"),
        ("2027-13-45 is no day", "2027-13-45 is no day"),
    ],
)
def test_what_a_german_studio_reads(said: str, german: str) -> None:
    assert DE.told(said) == german
    assert US.told(said).startswith(said[:9])


def test_an_inch_shop_reads_what_it_read() -> None:
    text = "EUR 1,234.50 on 2027-03-01, 3 July 2027"
    assert Writing().told(text) is text
    assert Writing().is_plain


def test_a_swede_keeps_iso_days_and_a_swiss_the_point() -> None:
    assert SE.told("1,234.50 on 1 March 2027") == "1\u00a0234,50 on 2027-03-01"
    assert CH.told("1,234.50 on 2027-03-01") == "1'234.50 on 01.03.2027"


def test_what_people_wrote_stays() -> None:
    spared = DE.sparing(["Opus 1.5", "2.4", "plain"])
    assert spared.verbatim == ("2.4", "Opus 1.5")
    assert spared.told("Opus 1.5 weighs 2.5 kg; 2.4 is a piece") == "Opus 1.5 weighs 2,5 kg; 2.4 is a piece"


def test_two_forms_of_a_text() -> None:
    assert form("the last [[12 in (300 mm)|300 mm]] of it", "inch") == "the last 12 in (300 mm) of it"
    assert form("the last [[12 in (300 mm)|300 mm]] of it", "metric") == "the last 300 mm of it"


@pytest.mark.parametrize(
    ("country", "figure", "day"),
    [
        ("AT", "1.234,5", "01.03.2027"), ("FR", "1\u00a0234,5", "2027-03-01"), ("NL", "1.234,5", "2027-03-01"),
        ("PL", "1\u00a0234,5", "01.03.2027"), ("DK", "1.234,5", "01.03.2027"), ("GB", "1,234.5", "2027-03-01"),
        ("JP", "1,234.5", "2027-03-01"), ("", "1,234.5", "2027-03-01"), ("CZ", "1\u00a0234,5", "01.03.2027"),
        ("IT", "1.234,5", "2027-03-01"), ("IE", "1,234.5", "2027-03-01"), ("LI", "1'234.5", "01.03.2027"),
    ],
)  # fmt: skip
def test_countries_are_those_of_unicode(country: str, figure: str, day: str) -> None:
    """Unicode CLDR 48: decimal and group of ``symbols``, ``dateFormats``, as Babel 2.19 packs them."""
    writing = writing_in(country)
    assert (writing.told("1,234.5"), writing.day(date(2027, 3, 1))) == (figure, day)
