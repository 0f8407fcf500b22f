"""The smallest size of conductor that is enough: for its load, for the device that protects it."""

from collections.abc import Callable

from engine.code import MATERIALS, SIZES, Kind, size_index
from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.derived.conditions_of_use import NOT_FOR_HERE, Conditions, conditions
from engine.derived.conductor_ampacity import ampacity_of, ampacity_steps, largest_device, reaches
from engine.derived.derived import Alternative, Derived
from engine.derived.insulation_beside import Beside, at_its_temperature, lowest, on_record
from engine.derived.sides import Side
from engine.job.site import Site
from engine.physics.quantities import TOLERANCE, amperes, size


def smallest_that_is_enough(
    site: Site, use: Conditions, sets: int, enough: Callable[[str, float], bool]
) -> str | None:
    """Smallest size that is enough; a larger size always is when a smaller one is, so halving finds it.

    Unit: AWG or kcmil; None when no size is. Section: Table 310.16.
    """
    low = size_index(site.code.parallel_minimum_size) if sets > 1 else 0
    high = len(SIZES)
    while low < high:
        middle = (low + high) // 2
        if enough(SIZES[middle], ampacity_of(site, use, SIZES[middle], sets)):
            high = middle
        else:
            low = middle + 1
    return SIZES[low] if low < len(SIZES) else None


def smallest_conductor(
    site: Site,
    side: Side,
    enough: Callable[[Site, Conditions, int], Callable[[str, float], bool]],
    reason: tuple[str, ...],
    device: float,
) -> Derived | None:
    """The smallest size that is enough, with the same at other metals and terminals; None when no size is.

    `device`: what limits their current [A], at which no insulation recorded beside them may get too hot.
    Unit: AWG or kcmil. Section: Table 310.16, 110.14(C), 310.14(A)(3). Raises Missing.
    """
    use = conditions(site, side)
    sets = site.need(lambda job: side.conductors(job).sets)
    beside = lowest(site, side, on_record(site, side), use)
    if beside is not None:
        enough = _cool_enough(enough, side, beside, device)
        reason = (
            *reason,
            f"Beside the {beside.insulation} {beside.name}: {amperes(device)} with no insulation above {beside.column} °C "
            f"({site.section('insulation_beside_others')})",
        )
    chosen = smallest_that_is_enough(site, use, sets, enough(site, use, sets))
    if chosen is None:
        return None
    prefix = f"{sets} × " if sets > 1 else ""
    alternatives: list[Alternative] = []
    for material in MATERIALS:
        for termination in (60, HIGHEST_TERMINAL_COLUMN):
            other = use._replace(material=material, termination=termination)
            same = smallest_that_is_enough(site, other, sets, enough(site, other, sets))
            shown = f"{prefix}{size(same)}" if same else "none large enough"
            alternatives.append(Alternative(material, f"{termination} °C terminals", shown))
    steps = [*reason, *ampacity_steps(site, use, chosen, sets)]
    steps.append(f"Smallest size: {prefix}{size(chosen, use.material)}")
    steps += [f"In {each.label}: {each.shown}." for each in alternatives]
    return Derived(
        chosen,
        "AWG or kcmil",
        "ampacity_table",
        tuple(steps),
        size=chosen,
        alternatives=tuple(alternatives),
    )


def _cool_enough(
    enough: Callable[[Site, Conditions, int], Callable[[str, float], bool]],
    side: Side,
    beside: Beside,
    device: float,
) -> Callable[[Site, Conditions, int], Callable[[str, float], bool]]:
    """As `enough`, and cool enough at the current of a device [A] for what lies beside."""

    def both(site: Site, use: Conditions, sets: int) -> Callable[[str, float], bool]:
        of_its_own = enough(site, use, sets)
        cooler = at_its_temperature(site, side, beside, use)
        return lambda size_, ampacity: (
            of_its_own(size_, ampacity) and reaches(ampacity_of(site, cooler, size_, sets), device)
        )

    return both


def carries_load(
    site: Site, use: Conditions, size_: str, sets: int, *, with_continuous: float, whole: float
) -> bool:
    """Both halves of Section 215.2(A)(1): 125 % at the terminals before correction, the whole load after it. Unit: A."""
    if use.column == NOT_FOR_HERE:
        return False
    at_terminals = site.code.ampacity(size_, use.material, min(use.column, use.termination))
    if at_terminals is None:
        return False
    return reaches(at_terminals * sets, with_continuous) and reaches(
        ampacity_of(site, use, size_, sets), whole
    )


def protected_by(
    site: Site, *, rating: float, ampacity: float, size_: str, material: str, sets: int, kind: Kind
) -> bool:
    """Whether a device protects a conductor: at its ampacity, or by the next standard rating up to 800 A.

    Unit: A. Section: 240.4(B), (C) and (D).
    """
    small = site.code.small_conductor_limit(size_, material)
    if small is not None and not rating <= small * sets * (1 + TOLERANCE):
        return False
    if reaches(ampacity, rating):
        return True
    if rating > 800 * (1 + TOLERANCE) or ampacity <= 0:
        return False
    standard = site.code.next_standard_rating(ampacity, kind)
    return standard is not None and rating <= standard * (1 + TOLERANCE)


def reference_size(site: Site, use: Conditions, rating: float, sets: int) -> str | None:
    """Smallest size whose ampacity reaches the device rating [A] without rounding up: the size before any increase.

    Unit: AWG or kcmil. Section: 250.122(B).
    """

    def enough(size_: str, ampacity: float) -> bool:
        return reaches(largest_device(site, ampacity, size_, use.material, sets), rating)

    return smallest_that_is_enough(site, use, sets, enough)


def load_before_correction(continuous: float, rest: float, end: float) -> float:
    """125 % of the continuous load and the rest [A], held to what the conductors end at. Section: 215.2(A)(1)."""
    return min(1.25 * continuous + rest, end)
