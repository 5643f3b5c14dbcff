"""``python -m pricing.cli`` is the ``casewright`` command."""

from pricing.cli import main

if __name__ == "__main__":
    main()
