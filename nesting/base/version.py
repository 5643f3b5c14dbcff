"""The name and version of this program, as its files bear them."""

from importlib.metadata import PackageNotFoundError, version


def made_by() -> str:
    """Return the name and version of this program."""
    try:
        return f"casewright {version('casewright')}"
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "casewright 0"
