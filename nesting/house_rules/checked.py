"""What every group of rules shares: a value out of range is refused at birth."""

from nesting.rules import check_rules


class Checked:
    """Refuses a group with a rule out of range."""

    __slots__ = ()

    def __post_init__(self) -> None:
        check_rules(self)
