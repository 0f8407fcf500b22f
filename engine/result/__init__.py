"""What the engine answers."""

from engine.result.record import (
    Alternative,
    Check,
    Compared,
    Contradiction,
    Drawing,
    Drawn,
    Fact,
    Group,
    Heading,
    OpenItem,
    Overall,
    Result,
    SheetRow,
    SheetTable,
    Value,
)

__all__ = [
    "Alternative",
    "Check",
    "Compared",
    "Contradiction",
    "Drawing",
    "Drawn",
    "Fact",
    "Group",
    "Heading",
    "OpenItem",
    "Overall",
    "Result",
    "SheetRow",
    "SheetTable",
    "Value",
]
