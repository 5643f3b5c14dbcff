"""Tables that a spreadsheet program has opened and saved: what it makes of our samples, we still read."""

import subprocess
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.intake import read_order

pytestmark = pytest.mark.office
SAMPLES = Path(__file__).parents[3] / "sample_orders"


def saved_by(office: str, path: Path, kind: str, folder: Path) -> Path:
    """Let LibreOffice open a file and save it as another kind."""
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = [office, profile, "--headless", "--convert-to", kind, "--outdir", str(folder), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return folder / f"{path.stem}.{kind.split(':', maxsplit=1)[0]}"


@pytest.mark.parametrize("name", ["small_sale.csv", "gallery_consignment.csv"])
def test_samples_survive_being_saved_as_workbooks(office: str, tmp_path: Path, name: str) -> None:
    made = saved_by(office, SAMPLES / name, "xlsx", tmp_path)
    assert read_order(made).artworks == read_order(SAMPLES / name).artworks


def test_a_workbook_survives_being_saved_as_text(office: str, tmp_path: Path) -> None:
    made = saved_by(office, SAMPLES / "metric_pair.xlsx", "csv", tmp_path)
    # LibreOffice writes days as its locale shows them; ours are unambiguous or asked about, never misread.
    expected = read_order(SAMPLES / "metric_pair.xlsx", units="metric").artworks
    faults: set[str | None] = set()
    try:
        assert read_order(made, units="metric").artworks == expected
    except FaultsFound as error:
        faults = {fault.column for fault in error.faults}
    assert faults <= {"poured", "ship_by"}
