"""Former names: what stored values bear of classes and fields that our code has since renamed, moved or given up.

What is stored outlives the code that wrote it. Whoever renames a class or a field of anything that
:mod:`pricing.store.codec` writes adds a line here, in the same commit, and what was stored reads on. An unknown field
is passed over in silence, so that a rename without a line would lose it: the test of the data folder of 0.1.0 finds it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from nesting.shop.before import FIXED


@dataclass(frozen=True)
class Former:
    """What stored values bear, and what it is today.

    Attributes
    ----------
    classes : mapping of str to str
        Today's name of a class, by a former one.
    fields : mapping of (str, str) to (str or None)
        Today's name of a field, by today's name of its class and the field's former name; None where it is gone.
    values : mapping of (str, str) to callable
        By today's names of class and field: makes today's form, as JSON, of whatever was ever stored there, today's
        form included.
    lacking : mapping of (str, str) to object
        By today's names of class and field: what a stored value meant, as JSON, that was written before there was the
        field, where that is not its default.
    """

    classes: Mapping[str, str] = field(default_factory=dict)
    fields: Mapping[tuple[str, str], str | None] = field(default_factory=dict)
    values: Mapping[tuple[str, str], Callable[[Any], Any]] = field(default_factory=dict)
    lacking: Mapping[tuple[str, str], Any] = field(default_factory=dict)

    def name(self, stored: str) -> str:
        """Return today's name of a class."""
        return self.classes.get(stored, stored)

    def of(self, kind: str, stored: Mapping[str, Any]) -> Mapping[str, Any]:
        """Return the fields of a stored value of a class by today's names and in today's form.

        Where a value bears a field by both names, today's stands.
        """
        if not any(named == kind for named, _ in (*self.fields, *self.values, *self.lacking)):
            return stored
        made: dict[str, Any] = {name: meant for (named, name), meant in self.lacking.items() if named == kind}
        for known in (False, True):
            for old, value in stored.items():
                name = self.fields.get((kind, old), old)
                if name is not None and (name == old) is known:
                    made[name] = value
        return {
            name: self.values[kind, name](each) if (kind, name) in self.values else each for name, each in made.items()
        }


FORMER: Final = Former(lacking={("CaseRules", "cushion"): FIXED})
"""Former names, none yet: all that 0.1.0 stored bears the names of today. And what was meant without a word."""
