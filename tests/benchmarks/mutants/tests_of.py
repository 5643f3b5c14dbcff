"""Which tests are run for the changes of which module: those that are nearest to it, and quick."""

from typing import Final

_STORE: Final = "tests/pricing/store/"
_STUDIO: Final = "tests/pricing/studio/"
_DESK: Final = "tests/pricing/desk/"
_INTAKE: Final = "tests/nesting/intake/"
_TABLES: Final = ("tests/nesting/base/test_tables_alone.py", _INTAKE + "test_tables.py")
_ORDERS: Final = (
    *_TABLES,
    *(f"{_INTAKE}test_{name}.py" for name in ("reading", "headings", "money", "cross_checks", "strangers", "tomlfile")),
)
_GUARDING: Final = (
    _STORE + "test_guarding_alone.py",
    _STORE + "test_archives_alone.py",
    _STORE + "test_database.py",
    _STORE + "test_backups.py",
)

TESTS: Final[dict[str, tuple[str, ...]]] = {
    "pricing/desk/guard.py": (_DESK + "test_guard_alone.py", _DESK + "test_guard.py", _DESK + "test_guesses.py"),
    "pricing/desk/guesses.py": (_DESK + "test_guesses.py",),
    "pricing/desk/heads.py": (_DESK + "test_heads.py", _DESK + "test_connections.py"),
    "pricing/desk/connections.py": (_DESK + "test_connections.py", _DESK + "test_heads.py"),
    "pricing/desk/ration.py": (_DESK + "test_ration.py",),
    "pricing/desk/soundness.py": (_DESK + "test_soundness.py",),
    "pricing/desk/recovery.py": (_DESK + "test_recovery.py",),
    "pricing/desk/supplier.py": (
        _STUDIO + "test_tables_alone.py",
        _STUDIO + "test_decimal_marks.py",
    ),
    "pricing/desk/content.py": (_DESK + "test_soundness.py", _DESK + "test_table.py", _DESK + "test_held.py"),
    **{f"nesting/base/tables/{name}.py": _TABLES for name in ("cells", "table", "text", "workbook")},
    **{
        f"pricing/store/{name}.py": _GUARDING
        for name in ("backups", "database", "errors", "export", "folder", "keeper", "restoring", "shape")
    },
    "pricing/store/codec.py": (_STORE + "test_codec.py",),
    "pricing/studio/table_file.py": tuple(_STUDIO + f"test_{name}.py" for name in ("tables_alone", "table_file")),
    "pricing/studio/decimal_marks.py": (_STUDIO + "test_decimal_marks.py",),
    "pricing/studio/rack.py": (
        _STUDIO + "test_tables_alone.py",
        _STUDIO + "test_rack.py",
    ),
    "pricing/studio/pricebook_file.py": (
        _STUDIO + "test_prices_alone.py",
        _STUDIO + "test_pricebook_file.py",
        _STUDIO + "test_pricebook.py",
    ),
    "pricing/studio/destinations.py": (_STUDIO + "test_places_alone.py", _STUDIO + "test_destinations.py"),
    "pricing/studio/parties.py": (_STUDIO + "test_places_alone.py", _STUDIO + "test_parties.py"),
    "pricing/studio/rates_file.py": (_STUDIO + "test_rates_alone.py", _STUDIO + "test_rates_file.py"),
    "nesting/shop/shop_file.py": ("tests/nesting/shop/test_shop_alone.py", "tests/nesting/shop/test_shop_file.py"),
    "nesting/base/rule_files.py": ("tests/nesting/base/test_rule_files.py", "tests/nesting/shop/test_shop_file.py"),
    "pricing/ahead/what_if/scenarios.py": ("tests/pricing/ahead/test_what_if.py",),
    "pricing/ahead/what_if/changes.py": ("tests/pricing/ahead/test_what_if.py",),
    "pricing/ahead/what_if/orders.py": ("tests/pricing/ahead/test_what_if.py",),
    **{
        f"nesting/intake/{name}.py": _ORDERS
        for name in (
            "cells",
            "columns",
            "cross_checks",
            "days",
            "headings",
            "hedges",
            "likely",
            "lines",
            "money",
            "reading",
            "rows",
            "strangers",
            "tomlfile",
        )
    },
}
