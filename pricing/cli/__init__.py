"""The ``casewright`` command: parse, call, show. Heavy libraries are imported by the command that needs them."""


def main() -> None:
    """Run the command; Ctrl-C is taken in good order before anything heavy is loaded."""
    from pricing.cli.terminal import leave_on_interrupt

    leave_on_interrupt()
    from nesting.base.garbage import collect_seldom, leave_uncollected
    from pricing.cli.command import run

    collect_seldom()
    try:
        run()
    finally:
        leave_uncollected()
