"""Fault current, voltage drop and inrush: physics for ratings and advice."""

from math import hypot
from typing import Literal, NamedTuple

from engine.code.limits import METAL_RACEWAYS_AND_FLEX
from engine.derived import currents
from engine.derived.derived import Derived
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.missing import Missing
from engine.job.site import Site, once
from engine.physics.fault_current import (
    fault_current_through,
    source_impedance,
    transformer_fault_current,
)
from engine.physics.quantities import amperes, feet, kiloamperes, number, percent, size, volts
from engine.physics.voltage_drop import effective_impedance, voltage_drop

# Resistance at 25 °C over that at 75 °C, by the larger coefficient of Chapter 9, Table 8, note 2: aluminum's 0.00330 per
# kelvin, where copper has 0.00323; the colder value lets more fault current through.
COLD_SHARE = 1 / (1 + 0.00330 * 50)
# The hottest that a conductor's insulation here allows, 90 °C, over 75 °C, by the same coefficient.
HOT_SHARE = 1 + 0.00330 * 15
# How far the impedance of a unit that was not tested may be off the printed one. Source: fuse manufacturer's handbook on
# the point-to-point method, note 3 (±10 % from 25 kVA up; its example takes 1.8 % for a printed 2 %). IEEE C57.12.00 and
# C57.12.01 allow 7.5 % above 2.5 % impedance and 10 % up to it (from memory): the wider one holds for both.
IMPEDANCE_TOLERANCE = 0.10
# What running motors add to a fault, in times their full-load current. Source: the same handbook (4 times; the whole
# transformer loaded with motors is the most there can be).
MOTOR_CONTRIBUTION = 4.0
# A fault from line to the center tap of a winding against one across it, at worst. Source: fuse manufacturer's handbook
# on the point-to-point method, note 2 (1.5 times, with a range of 1.33 to 1.67).
CENTER_TAP_FACTOR = 1.67


def _usual_fault(site: Site, full_load: float) -> str:
    """What the usual impedance of this size would give, to be shown beside *can't tell*, never judged."""
    transformer = site.job.transformer
    usual = site.code.normal_impedance_range(transformer.phases, transformer.kva)
    if usual is None:
        return ""
    least, most = (
        transformer_fault_current(full_load_amperes=full_load, impedance_percent=z)
        for z in (usual[1], usual[0])
    )
    return (
        f"with the usual {number(usual[0])} % to {number(usual[1])} % it would be {kiloamperes(least)} to "
        f"{kiloamperes(most)} (usual range, from memory)"
    )


@once
def secondary_fault_current(site: Site) -> Derived:
    """Bolted fault current at the secondary terminals on an infinite bus by the printed impedance [A].

    The impedance may be lower than printed, and a fault to the center tap draws more: `secondary_fault_current_highest`.
    Section: for 110.9, 110.10 and 408.6. Raises Missing: impedance not known.
    """
    full_load = currents.full_load_current_secondary(site)
    impedance = site.job.transformer.impedance_percent
    if impedance is None:
        raise Missing(
            "transformer.impedance_percent", required=_usual_fault(site, full_load.amount)
        )
    value = transformer_fault_current(
        full_load_amperes=full_load.amount, impedance_percent=impedance
    )
    step = (
        f"Infinite bus: {amperes(full_load.amount)} × 100 / {percent(impedance)} = {amperes(value)}"
    )
    steps = (*full_load.steps, step)
    off = _off(site)
    if off:
        steps = (
            *steps,
            f"Printed impedance, this unit not known to be tested: up to {number(100 * off)} % lower, "
            f"{amperes(value / (1 - off))}",
        )
    if transformer_has_center_tap(site):
        steps = (
            *steps,
            f"Line to line. From one line to the center tap up to {number(CENTER_TAP_FACTOR)} times as much flows: "
            f"{amperes(CENTER_TAP_FACTOR * value / (1 - off))}",
        )
    return Derived(value, "A", "interrupting_rating", steps)


def transformer_has_center_tap(site: Site) -> bool:
    """Whether the secondary is known to have a winding with a center tap. Unit: none. Section: none."""
    return site.job.transformer.secondary_system in ("single_phase_3_wire", "delta_high_leg")


@once
def secondary_fault_current_to_center_tap(site: Site) -> Derived | None:
    """Bolted fault current from one line to the center tap on an infinite bus, at most [A]; None without a center tap.

    Section: for 110.9, 110.10 and 408.6. Source: fuse manufacturer's handbook, see CENTER_TAP_FACTOR. Raises Missing.
    """
    site.need(lambda job: job.transformer.secondary_system)
    if not transformer_has_center_tap(site):
        return None
    highest = secondary_fault_current_highest(site)
    value = CENTER_TAP_FACTOR * highest.amount
    step = f"From one line to the center tap at most {number(CENTER_TAP_FACTOR)} × {amperes(highest.amount)} = {amperes(value)}"
    return highest._replace(value=value, steps=(*highest.steps, step))


@once
def secondary_fault_current_highest(site: Site) -> Derived:
    """Bolted fault current at the secondary terminals on an infinite bus, as high as the printed impedance allows [A].

    Section: for 110.9, 110.10 and 408.6. Raises Missing: impedance not known.
    """
    nominal = secondary_fault_current(site)
    return nominal._replace(value=nominal.amount / (1 - _off(site)))


@once
def secondary_fault_current_within_tolerance(site: Site) -> Derived | None:
    """As `secondary_fault_current_highest` [A]; None where a test leaves no tolerance to the printed impedance.

    Section: for 110.9, 110.10 and 408.6. Raises Missing: impedance not known.
    """
    return secondary_fault_current_highest(site) if _off(site) else None


def _off(site: Site) -> float:
    """How far the printed impedance may be off. A figure that nobody knows to be tested counts as not tested."""
    return 0.0 if site.job.transformer.impedance_tested else IMPEDANCE_TOLERANCE


class _InTheWay(NamedTuple):
    """Impedances between the source and the first disconnect, seen from the secondary [ohm]."""

    transformer: float
    source: float
    run: float
    cold_run: float
    steps: tuple[str, ...]


@once
def _in_the_way(site: Site) -> _InTheWay:
    transformer = site.job.transformer
    ceiling = secondary_fault_current(site)
    source = site.need(lambda job: job.primary.source_fault_kiloamperes)
    line, phases = transformer.secondary_volts, transformer.phases
    own = source_impedance(volts=line, fault_amperes=ceiling.amount, phases=phases)
    seen = source * 1000 * currents.voltage_ratio(site)
    upstream = source_impedance(volts=line, fault_amperes=seen, phases=phases)
    resistance, reactance, length, words = _run(site, SECONDARY)
    # The tables give resistance at 75 °C; a run that is still cold lets more through.
    run = hypot(resistance, reactance)
    cold_run = hypot(COLD_SHARE * resistance, reactance)
    steps = (
        *ceiling.steps,
        f"Source {number(source)} kA at {volts(transformer.primary_volts)}, referred to the secondary: "
        f"{number(upstream)} ohm",
        f"Transformer: {number(own)} ohm; {words}, {feet(length)}: {number(run)} ohm",
    )
    return _InTheWay(own, upstream, run, cold_run, steps)


def _run(site: Site, side: Side) -> tuple[float, float, float, str]:
    """Resistance and reactance of a run at 75 °C, out and back where single-phase [ohm], its length [ft], and words."""
    resistance, reactance, words = _conductor_impedance(site, side)
    length = site.need(lambda job: side.conductors(job).length_feet)
    ways = 1 if site.job.transformer.phases == 3 else 2
    return resistance * length / 1000 * ways, reactance * length / 1000 * ways, length, words


@once
def secondary_fault_current_at_most(site: Site) -> Derived:
    """Upper bound of the fault current at the first disconnect with source and secondary conductors in the way [A].

    The angles of the impedances are not known, so they are combined at right angles: no real combination of them is
    smaller, so no real fault current is larger. On a wye a fault from one line to ground counts too: no zero-sequence
    current crosses to the supply, so only two of its three sequence impedances hold the source's, and the current is
    3 V / (2 Zs + 3 Zt). The printed impedance may be lower, as far as its tolerance goes. Motors add to it.
    Section: for 110.9 and 408.6. Source: symmetrical components, checked in the tests against pandapower.
    Raises Missing: impedance, source, conductors or connection not known.
    """
    way, transformer = _in_the_way(site), site.job.transformer
    to_ground = transformer.phases == 3 and site.need(
        lambda job: job.transformer.secondary_system
    ).startswith("wye")
    value = fault_current_through(
        volts=transformer.secondary_volts,
        phases=transformer.phases,
        resistance_ohms=hypot(way.cold_run, way.source * (2 / 3 if to_ground else 1)),
        reactance_ohms=way.transformer * (1 - _off(site)),
    )
    said = "Combined at right angles (angles not known)"
    if to_ground:
        said += ", from one line to ground (2/3 of the source's impedance)"
    if _off(site):
        said += f", printed impedance {number(100 * _off(site))} % lower"
    step = f"{said}, at the first disconnect not more than {amperes(value)}"
    return Derived(value, "A", "interrupting_rating", (*way.steps, step))


@once
def secondary_fault_current_at_first_disconnect(site: Site) -> Derived:
    """The most that a fault at the first disconnect may draw [A], to a center tap too where there is one.

    Section: for 110.9 and 408.6. Source: as CENTER_TAP_FACTOR. Raises Missing.
    """
    most = secondary_fault_current_at_most(site)
    if not transformer_has_center_tap(site):
        return most
    value = CENTER_TAP_FACTOR * most.amount
    step = f"From one line to the center tap at most {number(CENTER_TAP_FACTOR)} × {amperes(most.amount)} = {amperes(value)}"
    return most._replace(value=value, steps=(*most.steps, step))


@once
def secondary_fault_current_at_least(site: Site) -> Derived:
    """Lower bound of the bolted fault current at the first disconnect [A]: the impedances added as plain numbers.

    Both runs count, hot, and the printed impedance may be higher as far as its tolerance goes.
    Section: for 110.9 and 408.6. Raises Missing: impedance, source or conductors of either side not known.
    """
    way, transformer = _in_the_way(site), site.job.transformer
    if currents.is_over_1000_volts(site):
        raise NoLowerBound
    resistance, reactance, length, words = _run(site, PRIMARY)
    ahead = HOT_SHARE * hypot(resistance, reactance) / currents.voltage_ratio(site) ** 2
    value = fault_current_through(
        volts=transformer.secondary_volts,
        phases=transformer.phases,
        resistance_ohms=0.0,
        reactance_ohms=way.transformer * (1 + _off(site))
        + way.source
        + ahead
        + HOT_SHARE * way.run,
    )
    steps = (
        f"Primary {words}, {feet(length)}, referred to the secondary: {number(ahead)} ohm",
        f"Added as if all at one angle, conductors hot, at the first disconnect not less than {amperes(value)}",
    )
    return Derived(value, "A", "interrupting_rating", (*way.steps, *steps))


class NoLowerBound(Exception):
    """Nothing says how little fault current there may be: the primary run is outside the tables of this tool."""


def conduit_of(type_: str) -> Literal["steel", "PVC"]:
    """The raceway that Table 9 gives for a type, steel or PVC. Unit: none. Section: Chapter 9, Table 9."""
    return "steel" if type_ in METAL_RACEWAYS_AND_FLEX else "PVC"


def _conductor_impedance(site: Site, side: Side) -> tuple[float, float, str]:
    """Resistance and reactance of the parallel sets [ohm per 1000 ft]. Section: Chapter 9, Table 9, then Table 8."""
    size_ = site.need(lambda job: side.conductors(job).size)
    material = site.need(lambda job: side.conductors(job).material)
    sets = site.need(lambda job: side.conductors(job).sets)
    type_ = site.need(lambda job: side.raceway(job).type)
    conduit = conduit_of(type_)
    pair = site.code.ac_impedance(size_, material, conduit)
    if pair is None:
        resistance, reactance = site.code.dc_resistance(size_, material), 0.0
        words = f"{size(size_, material)} ({site.section('conductor_properties')}, direct current)"
    else:
        resistance, reactance = pair
        words = (
            f"{size(size_, material)} in {conduit} ({site.section('ac_resistance_and_reactance')})"
        )
    return resistance / sets, reactance / sets, words


def _drop(site: Site, side: Side) -> Derived:
    transformer = site.job.transformer
    resistance, reactance, words = _conductor_impedance(site, side)
    length = site.need(lambda job: side.conductors(job).length_feet)
    factor = site.need(lambda job: side.load(job).power_factor)
    current = site.need(lambda job: side.load(job).continuous_amperes) + site.need(
        lambda job: side.load(job).noncontinuous_amperes
    )
    line = transformer.primary_volts if side is PRIMARY else transformer.secondary_volts
    effective = effective_impedance(resistance=resistance, reactance=reactance, power_factor=factor)
    drop = voltage_drop(
        amperes=current, length_feet=length, ohms_per_1000_feet=effective, phases=transformer.phases
    )
    value = 100 * drop / line
    multiplier = "1.732" if transformer.phases == 3 else "2"
    return Derived(
        value,
        "%",
        "feeder_voltage_drop",
        (
            f"{words}: R {number(resistance)}, X {number(reactance)} ohm per 1000 ft for all sets",
            f"R × cosθ + X × sinθ at power factor {number(factor)} = {number(effective)} ohm per 1000 ft",
            f"{multiplier} × {amperes(current)} × {number(effective)} × {feet(length)} / 1000 = {volts(drop)}",
            f"{volts(drop)} of {volts(line)} = {percent(value)}; the note advises 3 % for a feeder, 5 % in all",
        ),
    )


@once
def primary_voltage_drop(site: Site) -> Derived:
    """Voltage drop along the primary conductors [%]. Advice. Section: informational note to 215.2. Raises Missing."""
    return _drop(site, PRIMARY)


@once
def secondary_voltage_drop(site: Site) -> Derived:
    """Voltage drop along the secondary conductors [%]. Advice. Section: informational note to 215.2. Raises Missing."""
    return _drop(site, SECONDARY)


USUAL_INRUSH = (8.0, 12.0)
FIRST_HALF_CYCLE_INRUSH = 25.0


@once
def instantaneous_trip(site: Site) -> Derived:
    """Current at which the primary breaker trips without delay [A]. Section: none, common practice. Raises Missing."""
    rating = site.need(lambda job: job.primary.device.rating)
    multiple = site.need(lambda job: job.primary.device.instantaneous_multiple)
    value = rating * multiple
    step = f"Instantaneous trip: {amperes(rating)} × {number(multiple)} = {amperes(value)}"
    return Derived(value, "A", "transformer_protection", (step,))
