"""What the secondary conductors must reach under 240.21(C), and the smallest size that does.

The checks and the smallest size ask the same functions, so that what is sized here is never condemned there.
"""

from collections.abc import Callable
from typing import Literal, NamedTuple

from engine.derived import conductor_ampacity, conductor_sizes, currents, sides
from engine.derived.conditions_of_use import Conditions
from engine.derived.derived import Derived
from engine.job.site import Site, once
from engine.physics.quantities import amperes, number

# What of the conductors is held against it: the largest device they allow, their ampacity as installed, or their
# ampacity before correction and adjustment.
Of = Literal["device", "ampacity", "before_correction"]


class Wanted(NamedTuple):
    """One thing that the secondary conductors must reach [A], in words, and what would do in place of larger ones."""

    amount: float
    of: Of
    words: str
    step: str
    cite: str
    instead: str = ""


class CalculatedLoad(NamedTuple):
    """The calculated load of the secondary [A]: what is continuous, and the rest."""

    continuous: float
    rest: float

    @property
    def whole(self) -> float:
        """All of it [A]."""
        return self.continuous + self.rest

    @property
    def with_continuous(self) -> float:
        """125 % of what is continuous, and the rest [A]. Section: 215.2(A)(1), 215.3."""
        return 1.25 * self.continuous + self.rest

    @property
    def sum(self) -> str:
        """How `with_continuous` comes about, in words."""
        return f"{amperes(self.continuous)} × 125 % + {amperes(self.rest)} = {amperes(self.with_continuous)}"


def calculated_load(site: Site) -> CalculatedLoad:
    """The calculated load of the secondary [A]. Section: 215.2(A)(1). Raises Missing."""
    return CalculatedLoad(
        site.need(lambda job: job.secondary.load.continuous_amperes),
        site.need(lambda job: job.secondary.load.noncontinuous_amperes),
    )


def nothing_protects(site: Site) -> bool:
    """Whether somebody looked for the grouped devices at the end and found none. Unit: none. Section: 240.21(C).

    Raises Missing.
    """
    return site.need(
        lambda job: job.secondary.protection.kind
    ) == "grouped_devices" and not site.need(lambda job: job.secondary.protection.ratings)


def end_at_nothing(site: Site) -> bool:
    """Whether the conductors need a device at their end, and there is none: then no current [A] says how large they must be.

    Section: 240.21(C). Raises Missing.
    """
    return site.need(lambda job: job.secondary.rule) != "primary_device" and nothing_protects(site)


def seen_through_transformer(site: Site) -> Wanted:
    """The primary device, multiplied by the voltage ratio [A]. Section: 240.21(C)(1). Raises Missing."""
    return through_ratio(site, currents.primary_device_rating(site))


def through_ratio(site: Site, rating: float) -> Wanted:
    """A rating of the primary device [A], multiplied by the voltage ratio. Section: 240.21(C)(1)."""
    ratio = currents.voltage_ratio(site)
    value = rating * ratio
    return Wanted(
        value,
        "device",
        f"primary device × voltage ratio, {amperes(value)}",
        f"Primary device {amperes(rating)} × {number(ratio)} (voltage ratio) = {amperes(value)}",
        "secondary_primary_device",
        "a smaller primary device",
    )


def the_end(site: Site) -> Wanted:
    """The device or equipment [A] that the secondary conductors end at, with no rounding up.

    Section: 240.21(C) lead text; (C)(1): the primary device, whatever stands behind; (C)(2)(1)(b). Raises Missing.
    """
    cite = "secondary_conductors"
    no_rounding = f"no rounding up ({site.section(cite)})"
    relied_on = site.need(lambda job: job.secondary.rule)
    if relied_on == "primary_device":
        return seen_through_transformer(site)
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_device":
        value = currents.secondary_main_rating(site)
        return Wanted(
            value,
            "device",
            f"device at the end, {amperes(value)}",
            f"Device at the end: {amperes(value)}, {no_rounding}",
            cite,
            "a smaller device at their end",
        )
    if kind == "grouped_devices":
        total = currents.secondary_device_rating(site)
        rating = site.job.secondary.panelboard.rating
        if relied_on == "10_ft" and rating is not None and rating < total.amount:
            return _equipment(
                rating,
                f"rating of the equipment that holds the devices, {amperes(rating)}",
                no_rounding,
            )
        return Wanted(
            total.amount,
            "device",
            f"devices together, {amperes(total.amount)}",
            f"{total.steps[0]}, {no_rounding}",
            cite,
            "smaller devices at their end",
        )
    value = site.need(lambda job: job.secondary.panelboard.rating)
    return _equipment(
        value, f"rating of the equipment supplied, {amperes(value)} (main lugs only)", no_rounding
    )


def _equipment(rating: float, words: str, no_rounding: str) -> Wanted:
    step = f"{words[0].upper()}{words[1:]}, {no_rounding}"
    return Wanted(
        rating, "device", words, step, "secondary_conductors", "equipment of a smaller rating"
    )


def _several_devices(site: Site) -> bool:
    kind = site.need(lambda job: job.secondary.protection.kind)
    return kind == "grouped_devices" and (
        len(site.need(lambda job: job.secondary.protection.ratings)) > 1
    )


def held_by_one_device(site: Site) -> bool:
    """Whether one device lets no more load through to these conductors than it is rated for.

    Unit: none. Section: 240.21(C). Raises Missing.
    """
    return (
        site.need(lambda job: job.secondary.rule) == "primary_device"
        or site.need(lambda job: job.secondary.protection.kind) == "main_device"
    )


def the_load(site: Site) -> tuple[Wanted, ...]:
    """The calculated load [A] where no single device holds it: 125 % before correction, the whole load after it.

    Section: 215.2(A)(1), 240.21(C)(2)(1)(a). Raises Missing.
    """
    if held_by_one_device(site):
        return ()
    load = calculated_load(site)
    cite, instead = "feeder_conductor_size", "a smaller load"
    words = f"calculated load, {load.sum}"
    step = f"C{words[1:]} ({site.section(cite)})"
    after = f"calculated load after correction, {amperes(load.whole)}"
    return (
        Wanted(load.with_continuous, "before_correction", words, step, cite, instead),
        Wanted(load.whole, "ampacity", after, f"C{after[1:]}", cite, instead),
    )


# A share of the primary device, multiplied by the voltage ratio, that the ampacity must reach.
SHARES = {"10_ft": 10, "25_ft": 3, "feeder_tap_25_ft": 3}
CITES = {
    "primary_device": "secondary_primary_device",
    "10_ft": "secondary_10_ft",
    "industrial_25_ft": "secondary_industrial_25_ft",
    "outside": "secondary_outside",
    "feeder_tap_25_ft": "feeder_tap_transformer",
    "25_ft": "secondary_25_ft",
}


def share_of_primary(site: Site) -> Wanted:
    """The share of the primary device [A] that the rule relied on asks for.

    Section: 240.21(C)(2)(4), (C)(6)(1), (B)(3)(2). Raises Missing; KeyError for a rule without one.
    """
    relied_on = site.need(lambda job: job.secondary.rule)
    share = SHARES[relied_on]
    rating = currents.primary_device_rating(site)
    ratio = currents.voltage_ratio(site)
    value = rating * ratio / share
    words = f"1/{share} of {amperes(rating)} × {number(ratio)} = {amperes(value)}"
    step = f"1/{share} of the primary device × voltage ratio: {amperes(rating)} × {number(ratio)} / {share} = {amperes(value)}"
    return Wanted(value, "ampacity", words, step, CITES[relied_on], "a smaller primary device")


def rated_current(site: Site) -> Wanted:
    """The transformer's rated secondary current [A]. Section: 240.21(C)(3)(2)."""
    value = currents.full_load_current_secondary(site).amount
    words = f"rated secondary current, {amperes(value)}"
    return Wanted(value, "ampacity", words, f"R{words[1:]}", CITES["industrial_25_ft"])


def reached(site: Site, wanted: Wanted, use: Conditions, size_: str, sets: int) -> bool:
    """Whether conductors of a size reach what is wanted. Unit: A. Section: that of what is wanted."""
    return conductor_ampacity.reaches(amount_of(site, wanted.of, use, size_, sets), wanted.amount)


def amount_of(site: Site, of: Of, use: Conditions, size_: str, sets: int) -> float:
    """What conductors of a size bring [A]. Section: Table 310.16, 310.15, 110.14(C), 240.4(D)."""
    if of == "before_correction":
        return conductor_ampacity.ampacity_before_correction(site, use, size_, sets)
    ampacity = conductor_ampacity.ampacity_of(site, use, size_, sets)
    if of == "ampacity":
        return ampacity
    return conductor_ampacity.largest_device(site, ampacity, size_, use.material, sets)


def _before_correction(site: Site, end: Wanted) -> tuple[Wanted, ...]:
    """Where one device holds the load: 125 % of it before correction; with the load unknown all that the device lets through.

    Section: 215.2(A)(1).
    """
    continuous = site.job.secondary.load.continuous_amperes
    rest = site.job.secondary.load.noncontinuous_amperes
    if continuous is None or rest is None:
        return (end._replace(of="before_correction"),)
    value = conductor_sizes.load_before_correction(continuous, rest, end.amount)
    return (end._replace(amount=value, of="before_correction"),)


def everything_wanted(site: Site) -> tuple[Wanted, ...]:
    """All that the conductors must reach by what they end at, by their load and by the rule relied on [A].

    Section: 240.21(C)(1) to (C)(6), 215.2(A)(1). Raises Missing.
    """
    end = the_end(site)
    relied_on = site.need(lambda job: job.secondary.rule)
    parts = [end, *the_load(site)]
    if relied_on == "10_ft" and _several_devices(site):
        # By its words the rule counts one device, or the equipment: a size that reaches both leaves nothing to ask.
        equipment = site.job.secondary.panelboard.rating
        if equipment is not None and equipment > end.amount:
            words = f"rating of the equipment that holds the devices, {amperes(equipment)}"
            no_rounding = f"no rounding up ({site.section('secondary_conductors')})"
            parts.append(_equipment(equipment, words, no_rounding))
    if relied_on in SHARES and not (relied_on == "10_ft" and stays_in_enclosure(site)):
        parts.append(share_of_primary(site))
    if relied_on == "industrial_25_ft":
        parts.append(rated_current(site))
    if held_by_one_device(site):
        parts += _before_correction(site, end)
    return tuple(parts)


def ampacity_wanted(site: Site) -> float:
    """The most that their ampacity as installed must reach [A]. Section: 240.21(C)(1) to (C)(6). Raises Missing."""
    return max(each.amount for each in everything_wanted(site) if each.of != "before_correction")


def stays_in_enclosure(site: Site) -> bool:
    """Whether the conductors are known not to leave the transformer's enclosure: then no 1/10 of the primary device.

    Unit: none. Section: 240.21(C)(2)(4).
    """
    return site.job.secondary.first_disconnect_separate is False


@once
def secondary_conductor_minimum(site: Site) -> Derived | None:
    """Smallest secondary conductor for what it ends at; None when no size in the table does, or nothing protects any.

    Unit: AWG or kcmil. Section: 240.21(C), Table 310.16, 110.14(C). Raises Missing.
    """
    if end_at_nothing(site):
        return None
    wanted = everything_wanted(site)

    def enough(site: Site, use: Conditions, sets: int) -> Callable[[str, float], bool]:
        return lambda size_, _: all(reached(site, each, use, size_, sets) for each in wanted)

    steps = tuple(dict.fromkeys(each.step for each in wanted))
    return conductor_sizes.smallest_conductor(
        site, sides.SECONDARY, enough, steps, the_end(site).amount
    )
