from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, convert
from nesting.crates.model import Box, Placed
from pricing.studio.destinations import (
    KM_PER_MILE,
    Destination,
    Destinations,
    destinations_csv,
    destinations_from,
    read_destinations,
    unsuited,
)
from pricing.studio.rates import DeliveryRules
from pricing.studio.rates_file import default_rates
from tests.pricing.builds import closed, small_order

HARBOUR = Destination(
    "Harbour Gallery", "US", 34 * INCH, 79 * INCH, dock=True, forklift=False, residential=False, inside=True,
    km=Decimal(120), profile="pallet", deadline=date(2026, 12, 1), handler_rate=Decimal("55.00"), address="1 Quay",
)  # fmt: skip


def test_a_table_reads_back_the_same(tmp_path: Path) -> None:
    table = Destinations((HARBOUR, Destination("Hillside Gallery")))
    (tmp_path / "destinations.csv").write_text(destinations_csv(table), encoding="utf-8")
    assert read_destinations(tmp_path / "destinations.csv", default_rates()).rows == table.rows
    empty = destinations_from(destinations_csv(Destinations()).encode(), "d.csv", default_rates())
    assert empty.rows == ()


def test_zone_and_quotation_read_back_and_old_tables_say_nothing_of_them(tmp_path: Path) -> None:
    quoted = replace(
        HARBOUR, profile="parcel, van then air then handler", zone="5", quoted=Decimal("840.00"),
        quoted_by="Somebody (invented)", quoted_until=date(2026, 12, 31), port="London Heathrow Airport",
    )  # fmt: skip
    (tmp_path / "destinations.csv").write_text(destinations_csv(Destinations((quoted,))), encoding="utf-8")
    assert read_destinations(tmp_path / "destinations.csv", default_rates()).rows == (quoted,)
    (old,) = destinations_from(b"destination,profile\nHarbour,van\n", "d.csv", default_rates()).rows
    assert (old.zone, old.quoted, old.quoted_by, old.quoted_until, old.port) == ("", None, "", None, "")
    text = b"destination,profile,quoted,quoted until\nHarbour,van then balloon,lots,soon\n"
    with pytest.raises(FaultsFound) as caught:
        destinations_from(text, "d.csv", default_rates())
    assert [(fault.row, fault.column, fault.found) for fault in caught.value.faults] == [
        (2, "profile", "balloon"), (2, "quoted", "lots"), (2, "quoted until", "soon"),
    ]  # fmt: skip


def test_miles_are_exact() -> None:
    """NIST SP 811, appendix B.8: 1 mi = 1.609344 km; by pint too."""
    table = destinations_from(b"name,distance\nx,75 mi\n", "d.csv", default_rates())
    assert table.rows[0].km == 75 * KM_PER_MILE == Decimal("120.700800")
    assert convert(1, "mile", "km") == pytest.approx(float(KM_PER_MILE))


def test_every_fault_is_told_at_once() -> None:
    text = """destination,country,door width,door height,dock,distance,profile,deadline,handler rate
Harbour,USA,wide,79,perhaps,far,balloon,soon,lots
Harbour,US,34,,no,,,,
,US,34,79,,,,,
Far,,,,,30000 km,,,
"""
    with pytest.raises(FaultsFound) as caught:
        destinations_from(text.encode(), "d.csv", default_rates())
    assert [(fault.row, fault.column) for fault in caught.value.faults] == [
        (2, "country"), (2, "door width"), (2, "dock"), (2, "profile"), (2, "distance"), (2, "deadline"),
        (2, "handler rate"), (3, "destination"), (3, None), (4, "destination"), (5, "distance"),
    ]  # fmt: skip


def test_sums_are_rounded_half_up_and_bounded() -> None:
    text = b"destination,quoted,handler rate\nHarbour,0.005,55.125\nHillside,1000000.01,10000000.01\n"
    with pytest.raises(FaultsFound) as caught:
        destinations_from(text, "d.csv", default_rates())
    assert [(fault.row, fault.column, fault.accepted) for fault in caught.value.faults] == [
        (3, "handler rate", "10000000 at the most"), (3, "quoted", "1000000 at the most"),
    ]  # fmt: skip
    row = destinations_from(text.rpartition(b"Hill")[0], "d.csv", default_rates()).rows[0]
    assert (row.quoted, row.handler_rate) == (Decimal("0.01"), Decimal("55.13"))


def test_a_quotation_without_its_sum_is_told() -> None:
    text = b"destination,quoted,quoted by,quoted until\nA,,van,\nB,,,2027-01-31\nC,0,van,\nD,,,\n"
    told = destinations_from(text, "d.csv", default_rates()).warnings
    assert told == tuple(
        f"d.csv, row {row}: {name} has no sum under quoted, so that no quotation counts there"
        for row, name in ((2, "A"), (3, "B"))
    )


def test_a_place_that_is_not_in_the_table_is_known_by_name_only() -> None:
    table = Destinations((Destination("Elsewhere", "FR"),))
    assert table.get("Harbour Gallery") == Destination("Harbour Gallery", known=False)
    assert table.get("").name == "not stated"
    assert table.unknown(small_order()) == ("Harbour Gallery",)
    assert table.abroad("US") == {"Elsewhere"}
    assert table.abroad("FR") == table.abroad("") == frozenset()


def told(place: Destination, **changes: object) -> str:
    """Return all reasons why a 36 x 48 x 5 in crate of 22.2 kg does not suit."""
    crate = replace(closed("K1", "A-01", 30, 42), **changes)  # type: ignore[arg-type]  # fields by name
    return " / ".join(each.text for each in unsuited(crate, place, DeliveryRules(), "US"))


def test_a_crate_that_suits() -> None:
    assert told(HARBOUR) == ""
    assert told(Destination("anywhere")) == ""


def test_outriggers_come_off_for_a_door() -> None:
    """The crate is 5 in deep with outriggers, 3 in without: the door is 4 in wide, less half an inch for hands."""
    slot = Destination("Slot", door_width=4 * INCH, door_height=79 * INCH)
    body = Placed("K1.back", 0, Box(0, 0, 0, 36 * INCH, 48 * INCH, 3 * INCH), "case face")
    foot = Placed("K1.outrigger", 0, Box(0, -3 * INCH, -INCH, 2 * INCH, 3 * INCH, 5 * INCH), "outrigger")
    assert "does not pass" in told(slot, placed=(body, replace(foot, role="skid")))
    assert told(slot, placed=(body, foot)) == ""


def test_a_door_too_low_or_narrow_is_said() -> None:
    low = Destination("Low", door_width=34 * INCH, door_height=48 * INCH)
    assert told(low).startswith("does not pass the door at Low: 48 of ")
    (metric,) = unsuited(closed("K1", "A-01", 30, 42), low, DeliveryRules(), "US", "metric")
    assert metric.text.startswith("does not pass the door at Low: 1220 of ")
    assert " mm; the height decides" in metric.text
    assert told(Destination("Just", door_width=34 * INCH, door_height=49 * INCH)) == ""
    assert "does not pass" in told(Destination("Slot", door_width=5 * INCH, door_height=79 * INCH))


def test_a_heavy_crate_needs_a_dock_or_a_forklift() -> None:
    """150 lb by default; 68.0 kg are 149.9 lb, 68.1 kg are 150.1 lb."""
    assert told(Destination("Stairs"), net_kg=50.0, tare_kg=18.0) == ""
    assert told(Destination("Stairs"), net_kg=50.0, tare_kg=18.1).startswith("weighs 150.1 lb, and Stairs has neither")
    heavy = replace(closed("K1", "A-01", 30, 42), net_kg=50.0, tare_kg=18.1)
    (metric,) = unsuited(heavy, Destination("Stairs"), DeliveryRules(), "US", "metric")
    assert metric.text.startswith("weighs 68.1 kg, and Stairs has neither dock nor forklift")
    for equipped in (Destination("Dock", dock=True), Destination("Forklift", forklift=True)):
        assert told(equipped, net_kg=50.0, tare_kg=18.1) == ""


def test_a_liftgate_that_is_charged_is_not_asked_for_again() -> None:
    heavy = replace(closed("K1", "A-01", 30, 42), net_kg=90.0)
    (bare,) = unsuited(heavy, Destination("Stairs"), DeliveryRules())
    (lifted,) = unsuited(heavy, Destination("Stairs"), DeliveryRules(), lifted=True)
    assert bare.text.endswith(": ask for a liftgate and enough people")
    assert lifted.text.endswith(": a liftgate is in the freight, ask for enough people")


def test_raw_wood_abroad_needs_treatment() -> None:
    assert "treated wood" in told(Destination("Paris", "FR"), raw_wood=True)
    assert told(Destination("Boston", "US"), raw_wood=True) == ""
    assert told(Destination("Paris", "FR")) == ""


def test_a_deadline_before_the_resin_is_dry() -> None:
    ready = datetime(2026, 12, 2, 9, tzinfo=UTC)
    assert "after the deadline 2026-12-01" in told(HARBOUR, earliest_packing=ready)
    assert told(HARBOUR, earliest_packing=ready.replace(day=1)) == ""


def test_bad_values_are_refused_at_birth() -> None:
    for bad in (
        {"name": ""},
        {"name": "x", "country": "us"},
        {"name": "x", "door_width": 1},
        {"name": "x", "km": Decimal(-1)},
        {"name": "x", "quoted": Decimal(-1)},
        {"name": "x", "quoted": Decimal(1_000_001)},
    ):
        with pytest.raises(ValueError, match="found"):
            Destination(**bad)
    with pytest.raises(ValueError, match="once"):
        Destinations((HARBOUR, HARBOUR))
