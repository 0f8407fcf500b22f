"""Which kinds of grounding electrodes ask for a larger conductor than others."""

from collections.abc import Collection

# The electrodes of which one alone may not be enough: 250.53(A)(2).
SINGLE = ("rod", "pipe", "plate")
# The electrodes that ask for a larger conductor than the limit of each kind: 250.66(A) to (C).
_ASK_FOR_MORE: dict[str, frozenset[str]] = {
    **dict.fromkeys(
        SINGLE,
        frozenset({"building_steel", "water_pipe", "concrete_encased", "ring"}),
    ),
    "concrete_encased": frozenset({"building_steel", "water_pipe", "ring"}),
    "ring": frozenset({"building_steel", "water_pipe"}),
}


def has_limit(used: str | None) -> bool:
    """Whether a sole connection to this electrode limits its conductor. Unit: none. Section: 250.66(A) to (C)."""
    return used in _ASK_FOR_MORE


def is_the_only_kind(used: str | None, available: Collection[str] | None) -> bool:
    """Whether the electrode in use is the only kind that was found at the building. Unit: none. Section: 250.50."""
    return available is not None and {*available} == {used}


def beside_water_pipe(available: Collection[str] | None) -> str | None:
    """The single rod, pipe or plate that is all there is beside a water pipe; None where there is more or less.

    It has to hold by itself: 25 ohm, or one more electrode. Unit: none. Section: 250.53(D)(2), 250.53(A)(2).
    """
    kinds = {*(available or ())}
    others = kinds - {"water_pipe"}
    if len(others) != 1 or "water_pipe" not in kinds or not others <= {*SINGLE}:
        return None
    return others.pop()


def has_limits_alone(kinds: Collection[str]) -> bool:
    """Whether these electrodes all have a limit that is a size of its own; a ring's is that of the ring.

    Unit: none. Section: 250.66(A) to (C).
    """
    return all(has_limit(kind) and kind != "ring" for kind in kinds)


def others_ask_for_no_more(used: str | None, available: Collection[str] | None) -> bool:
    """Whether there are other electrodes, all known, and none could ask for more than the limit of the one in use.

    Unit: none. Section: 250.66(A) to (C). False while the electrodes at the building are not known.
    """
    if used is None or available is None:
        return False
    others = {*available} - {used}
    return bool(others) and not _ASK_FOR_MORE.get(used, frozenset()) & others
