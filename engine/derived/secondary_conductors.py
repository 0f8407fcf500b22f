"""What the secondary conductors must reach under 240.21(C), and the smallest size that does."""

from collections.abc import Callable

from engine.derived import conductors, currents
from engine.derived.derived import Derived
from engine.quantities import amperes, number
from engine.site import Site, once


def secondary_end(site: Site) -> Derived:
    """The device or equipment [A] that the secondary conductors must reach without rounding up.

    Section: 240.21(C) lead text; (C)(1) for the primary device. Raises Missing.
    """
    no_rounding = f"no rounding up ({site.section('secondary_conductors')})"
    if site.need(lambda job: job.secondary.rule) == "primary_device":
        rating = site.need(lambda job: job.primary.device.rating)
        ratio = currents.voltage_ratio(site)
        value = rating * ratio
        step = (
            f"Primary device {amperes(rating)} × {number(ratio)} (voltage ratio) = {amperes(value)}"
        )
        return Derived(value, "A", "secondary_primary_device", (step,))
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_device":
        value = site.need(lambda job: job.secondary.protection.rating)
        step = f"Device at the end: {amperes(value)}, {no_rounding}"
    elif kind == "grouped_devices":
        total = currents.secondary_device_rating(site)
        value, step = total.amount, f"{total.steps[0]}, {no_rounding}"
    else:
        value = site.need(lambda job: job.secondary.panelboard.rating)
        step = f"Main lugs only: rating of the equipment supplied, {amperes(value)}, {no_rounding}"
    return Derived(value, "A", "secondary_conductors", (step,))


@once
def secondary_required_ampacity(site: Site) -> Derived:
    """Ampacity that the secondary conductors need by what they end at and by the rule relied on [A].

    No rounding up to a standard rating. Section: 240.21(C)(1) to (C)(6). Raises Missing.
    """
    end = secondary_end(site)
    rule = site.need(lambda job: job.secondary.rule)
    if rule == "primary_device":
        return end
    parts: list[tuple[float, str]] = [(end.amount, end.steps[0])]
    cites = {
        "10_ft": "secondary_10_ft",
        "industrial_25_ft": "secondary_industrial_25_ft",
        "outside": "secondary_outside",
        "feeder_tap_25_ft": "feeder_tap_transformer",
        "25_ft": "secondary_25_ft",
    }
    if rule == "industrial_25_ft":
        current = currents.full_load_current_secondary(site)
        parts.append((current.amount, f"Rated secondary current: {amperes(current.amount)}"))
    if rule in ("25_ft", "feeder_tap_25_ft", "10_ft"):
        rating = site.need(lambda job: job.primary.device.rating)
        ratio = currents.voltage_ratio(site)
        share, words = (10, "1/10") if rule == "10_ft" else (3, "1/3")
        value = rating * ratio / share
        parts.append(
            (
                value,
                f"{words} of the primary device × voltage ratio: {amperes(rating)} × {number(ratio)} / "
                f"{share} = {amperes(value)}",
            )
        )
    return Derived(
        max(value for value, _ in parts), "A", cites[rule], tuple(step for _, step in parts)
    )


@once
def secondary_conductor_minimum(site: Site) -> Derived | None:
    """Smallest secondary conductor for what it ends at; None when no size in the table does.

    Unit: AWG or kcmil. Section: 240.21(C), Table 310.16, 110.14(C). Raises Missing.
    """
    required = secondary_required_ampacity(site)
    at_end = secondary_end(site).amount
    continuous = site.job.secondary.load.continuous_amperes
    rest = site.job.secondary.load.noncontinuous_amperes
    before = at_end
    if continuous is not None and rest is not None:
        before = conductors.load_before_correction(continuous, rest, at_end)

    def enough(site: Site, use: conductors.Conditions, sets: int) -> Callable[[str, float], bool]:
        return lambda size_, ampacity: (
            conductors.reaches(ampacity, required.amount)
            and conductors.reaches(
                conductors.ampacity_before_correction(site, use, size_, sets), before
            )
            and conductors.reaches(
                conductors.largest_device(site, ampacity, size_, use.material, sets), at_end
            )
        )

    return conductors.smallest_conductor(site, conductors.SECONDARY, enough, required.steps)
