"""What a ground fault at the transformer drives back through the primary equipment grounding conductor."""

from math import sqrt

from engine.derived import conductor_ampacity
from engine.derived.derived import Derived
from engine.derived.faults import conduit_of
from engine.job.site import Site, once
from engine.physics.fault_current import ground_fault_current
from engine.physics.quantities import amperes, feet, number, size, volts


def _impedance(site: Site, size_: str, material: str) -> tuple[float, float]:
    """Resistance and reactance of one conductor [ohm per 1000 ft]. Section: Chapter 9, Table 9, then Table 8."""
    type_ = site.need(lambda job: job.primary.raceway.type)
    pair = site.code.ac_impedance(size_, material, conduit_of(type_))
    return pair or (site.code.dc_resistance(size_, material), 0.0)


@once
def primary_ground_fault_current(site: Site) -> Derived:
    """Most that a fault to the transformer's case drives back over the wire of the primary run [A].

    The source has no impedance here, so the true current is smaller. Section: for 250.4(A)(5). Raises Missing;
    NotInTables above 1000 V.
    """
    conductor_ampacity.within_1000_volts(site)
    length = site.need(lambda job: job.primary.conductors.length_feet)
    phase = site.need(lambda job: job.primary.conductors.size)
    metal = site.need(lambda job: job.primary.conductors.material)
    sets = site.need(lambda job: job.primary.conductors.sets)
    ground = site.need(lambda job: job.primary.equipment_grounding.size)
    ground_metal = site.need(lambda job: job.primary.equipment_grounding.material)
    wires = 1 if sets == 1 else site.need(lambda job: job.primary.conductors.raceways)
    resistance, reactance = _impedance(site, phase, metal)
    back_resistance, back_reactance = _impedance(site, ground, ground_metal)
    transformer = site.job.transformer
    # How the supply is grounded is not asked; single-phase at most the whole voltage drives the fault.
    to_ground = transformer.primary_volts / (sqrt(3) if transformer.phases == 3 else 1)
    value = ground_fault_current(
        volts_to_ground=to_ground,
        phase_ohms=(resistance / sets * length / 1000, reactance / sets * length / 1000),
        return_ohms=(
            back_resistance / wires * length / 1000,
            back_reactance / wires * length / 1000,
        ),
    )
    steps = (
        f"{size(phase, metal)}: R {number(resistance)}, X {number(reactance)} ohm per 1000 ft"
        f"{f', {sets} in parallel' if sets > 1 else ''}; back over {size(ground, ground_metal)}: R "
        f"{number(back_resistance)}, X {number(back_reactance)}{f', {wires} in parallel' if wires > 1 else ''} "
        f"({site.section('ac_resistance_and_reactance')})",
        f"{volts(to_ground)} to ground at most, {feet(length)} out and back, no other impedance counted: {amperes(value)}",
    )
    return Derived(value, "A", "effective_ground_fault_path", steps)
