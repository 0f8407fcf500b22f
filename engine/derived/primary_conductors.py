"""The smallest primary conductor: its load, its protection, and a tap that supplies a transformer."""

from collections.abc import Callable

from engine.derived import currents
from engine.derived.conditions_of_use import Conditions, primary_conditions
from engine.derived.conductor_ampacity import reaches, within_1000_volts
from engine.derived.conductor_runs import known_length
from engine.derived.conductor_sizes import (
    carries_load,
    protected_by,
    smallest_conductor,
    smallest_that_is_enough,
)
from engine.derived.derived import Derived
from engine.derived.sides import PRIMARY
from engine.job.site import Site, once
from engine.physics.quantities import TOLERANCE, amperes

# Longest primary and secondary of a tap that supplies a transformer [ft] (240.21(B)(3)).
TAP_FEET = 25.0


def primary_is_tap(site: Site) -> bool:
    """Whether the primary conductors are known to be a feeder tap that supplies the transformer, not over 25 ft.

    Unit: ft. Section: 240.21(B)(3). What is not known to be one is none, which is the strict side.
    """
    length = known_length(site, PRIMARY)
    return (
        site.job.secondary.rule == "feeder_tap_25_ft"
        and length is not None
        and length <= TAP_FEET * (1 + TOLERANCE)
    )


def primary_enough(
    site: Site, use: Conditions, sets: int, load: tuple[float, float] | None
) -> Callable[[str, float], bool]:
    """Tells whether a primary size of an ampacity [A] carries a load and is protected by the device, or is a lawful tap.

    `load`: what must be carried before and after correction [A], or None where protection alone counts.
    Section: 215.2(A)(1), 240.4, 240.21(B)(3). Raises Missing: device not known.
    """
    rating = currents.primary_device_rating(site)
    kind = site.job.primary.device.kind or "breaker"
    tap = primary_is_tap(site)

    def enough(size_: str, ampacity: float) -> bool:
        if load is not None and not carries_load(
            site, use, size_, sets, with_continuous=load[0], whole=load[1]
        ):
            return False
        if tap and reaches(ampacity, rating / 3):
            return True
        return protected_by(
            site,
            rating=rating,
            ampacity=ampacity,
            size_=size_,
            material=use.material,
            sets=sets,
            kind=kind,
        )

    return enough


def primary_load_to_carry(site: Site, percent: int) -> tuple[float, float]:
    """The load before and after correction [A], with a share of the continuous one [%], held to the device.

    Section: 215.2(A)(1). Raises Missing.
    """
    rating = currents.primary_device_rating(site)
    continuous = site.need(lambda job: job.primary.load.continuous_amperes)
    rest = site.need(lambda job: job.primary.load.noncontinuous_amperes)
    return min(percent / 100 * continuous + rest, rating), min(continuous + rest, rating)


def smallest_primary(site: Site, percent: int | None) -> str | None:
    """Smallest primary size for the load, with a share of the continuous one [%], and for the device; None: none does.

    `percent` None leaves the load out. Unit: AWG or kcmil. Section: 215.2(A)(1), 240.4. Raises Missing.
    """
    use, sets = primary_conditions(site), site.need(lambda job: job.primary.conductors.sets)
    load = primary_load_to_carry(site, percent) if percent is not None else None
    return smallest_that_is_enough(site, use, sets, primary_enough(site, use, sets, load))


def continuous_share(site: Site) -> int:
    """Share of the continuous load that the primary conductors must carry [%]: 100 behind a device listed for it.

    Section: 215.2(A)(1), exception 1. Raises Missing only where the size depends on it.
    """
    known = site.job.primary.device.continuous_percent
    if known is None and smallest_primary(site, 125) != smallest_primary(site, 100):
        known = site.need(lambda job: job.primary.device.continuous_percent)
    return 100 if known == 100 else 125


@once
def primary_conductor_minimum(site: Site) -> Derived | None:
    """Smallest primary conductor that carries the load and that the primary device protects; None when no size does.

    Unit: AWG or kcmil. Section: 215.2(A)(1), 240.4, 240.21(B)(3), Table 310.16, 110.14(C). Raises Missing;
    NotInTables above 1000 V.
    """
    within_1000_volts(site)
    rating = currents.primary_device_rating(site)
    continuous = site.need(lambda job: job.primary.load.continuous_amperes)
    rest = site.need(lambda job: job.primary.load.noncontinuous_amperes)
    percent = continuous_share(site)
    load = (
        f"Load: {amperes(continuous)} continuous × {percent} % + {amperes(rest)} = "
        f"{amperes(percent / 100 * continuous + rest)} ({site.section('feeder_conductor_size')}), at most what the device "
        "lets through"
    )
    protection = (
        f"Protected at {amperes(rating)}: the ampacity is at least that, or the device is not above the next standard "
        f"rating ({site.section('next_standard_size')}, 800 A or less)"
    )
    if primary_is_tap(site):
        protection = (
            f"A tap that supplies the transformer: at least 1/3 of {amperes(rating)} = {amperes(rating / 3)} "
            f"({site.section('feeder_tap_transformer')})"
        )
    to_carry = primary_load_to_carry(site, percent)

    def enough(site: Site, use: Conditions, sets: int) -> Callable[[str, float], bool]:
        return primary_enough(site, use, sets, to_carry)

    return smallest_conductor(site, PRIMARY, enough, (load, protection), rating)
