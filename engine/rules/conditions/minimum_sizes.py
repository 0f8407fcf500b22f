"""A found size against its minimum, and the size that would meet it."""

from engine.derived.derived import Derived
from engine.physics.quantities import size


def smallest_remedy(minimum: Derived | None, sets: int, material: str, instead: str) -> str:
    """The smallest size that would meet, in words, or what else would. Unit: AWG or kcmil. Section: that of the minimum."""
    otherwise = f", or {instead}" if instead else ""
    if minimum is None or minimum.size is None:
        return f"No single size is enough: more sets in parallel{otherwise}."
    return f"{f'{sets} × ' if sets > 1 else ''}{size(minimum.size, material)} or larger{otherwise}."
