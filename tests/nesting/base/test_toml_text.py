import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.toml_text import exact, read_text, tables_of, toml_key, toml_value

texts = st.text(st.characters(exclude_categories=["Cs"]))
plain = st.one_of(
    st.booleans(),
    st.integers(-(10**12), 10**12),
    st.decimals(allow_nan=False, allow_infinity=False, places=4),
    st.dates(),
    texts,
)
tables = st.dictionaries(texts, plain, max_size=3)


@given(name=texts, value=st.one_of(plain, st.lists(plain, max_size=3), tables))
def test_any_plain_value_reads_back(name: str, value: object) -> None:
    assert tomllib.loads(f"{toml_key(name)} = {toml_value(value)}", parse_float=exact) == {name: value}


def test_keys_are_quoted_where_they_must_be() -> None:
    assert [toml_key(name) for name in ("per_km", "2-day", "", "a b", "a.b")] == [
        "per_km", "2-day", '""', '"a b"', '"a.b"',
    ]  # fmt: skip


def test_numbers_are_exact_and_days_are_days() -> None:
    assert toml_value((Decimal("1E+2"), 0.25, date(2026, 1, 31), False)) == "[100, 0.25, 2026-01-31, false]"


@pytest.mark.parametrize("text", ["a = [", "a = " + "9" * 6000, "a = 1e9999999999999999999", "a = " + "[" * 50_000])
def test_what_is_no_toml_is_one_fault(text: str) -> None:
    with pytest.raises(FaultsFound) as caught:
        tables_of(text, "rules.toml", "a TOML text", exact)
    (fault,) = caught.value.faults
    assert fault.message.startswith('rules.toml: found "not TOML: ')
    assert fault.accepted == "a TOML text"


def test_a_file_that_cannot_be_read_is_one_fault(tmp_path: Path) -> None:
    (tmp_path / "rules.toml").write_bytes(b"\xff")
    for path, said in ((tmp_path / "rules.toml", "UTF-8"), (tmp_path / "none.toml", "No such file"), (tmp_path, "a")):
        with pytest.raises(FaultsFound, match=said):
            read_text(path)
