"""One derived quantity: value, unit, citation and the arithmetic in readable steps."""

from typing import NamedTuple


class NotInTables(LookupError):
    """Something that the tables carried here do not reach: no value is given, which is better than a wrong one."""


class Alternative(NamedTuple):
    """The same minimum in one metal, and under which condition; without a condition it is the table's own."""

    metal: str
    condition: str
    shown: str

    @property
    def label(self) -> str:
        """Metal and condition for people."""
        return f"{self.metal}, {self.condition}" if self.condition else self.metal


class Derived(NamedTuple):
    """A number or size with its unit, the rule it comes from, and how it came about."""

    value: float | str
    unit: str
    cite: str
    steps: tuple[str, ...]
    standard_rating: float | None = None
    size: str | None = None
    has_standard_rating: bool = False
    alternatives: tuple[Alternative, ...] = ()

    @property
    def amount(self) -> float:
        """The value as a number [unit]; a size string has none (TypeError)."""
        if isinstance(self.value, str):
            raise TypeError(f"{self.value!r} is a size, not an amount")
        return self.value

    @property
    def name(self) -> str:
        """The value as a size or trade size; a number has none (TypeError)."""
        if not isinstance(self.value, str):
            raise TypeError(f"{self.value!r} is an amount, not a size")
        return self.value
