"""The ``casewright`` command: parse, call, show. Heavy libraries are imported by the command that needs them."""

from pricing.cli.command import app, main

__all__ = ["app", "main"]
