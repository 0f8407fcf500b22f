"""The secondary runs, each with its first disconnect."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from engine.code.sizes import Insulation, Material, Size
from engine.job.base import OrEmpty, Record, unread
from engine.job.conductors import Conductors, Load, Raceway
from engine.job.kinds import (
    Amperes,
    Celsius,
    DeviceKind,
    Kiloamperes,
    LoadAmperes,
    ProtectionKind,
    RatingBasis,
    SecondaryRule,
    Sets,
    WireCovering,
    none_when_null,
)


class SecondaryProtection(Record):
    """The overcurrent protection at the load end of the secondary conductors."""

    kind: ProtectionKind | None = None
    """Look at what they land on. On the bus lugs it is main lugs only, whatever branch breakers there are."""
    one_enclosure: bool | None = None
    """All of them behind one door or cover is a yes. Separate switches side by side are a no."""
    back_fed: bool | None = None
    """The supply wires land on a breaker that plugs onto the bus like a branch breaker. A main bolted in at the lugs is a no."""
    held_down: bool | None = None
    """Look for a screw, clip or kit that holds the back-fed breaker in, so that a pull alone does not release it."""
    rating: Amperes | None = None
    """On its handle or fuse label [A]; for an adjustable trip, the highest setting. Not the bus rating."""
    ratings: list[Amperes] | None = None
    """The rating on each handle or fuse label [A], including those switched off. They are added up."""
    adjustable: bool | None = None
    """Whether the long-time trip can be adjusted. Look for a dial or plug marked LT or Ir."""
    rating_basis: RatingBasis | None = None
    """What the rating you entered is based on. Restricted: behind a sealed cover, a bolted door, or a lock for qualified persons."""
    highest_rating: Amperes | None = None
    """The highest its trip can be set to, or the largest fuse its switch takes [A]; with several devices, the largest. See the rating plug or the label."""
    device_kind: DeviceKind | None = None
    """A switch with fuses in it counts as fuses: read its label. Do not open it to look."""
    termination_celsius: Celsius | None = None
    """Temperature marked for the terminals at the load end [°C]. No mark: 60 up to 100 A, else 75."""
    continuous_percent: Literal[80, 100] | None = None
    """Percent of its rating that the main may carry continuously [%]. 80, unless the label says suitable for 100 %."""
    interrupting_kiloamperes: Kiloamperes | None = None
    """Interrupting rating [kA]. Marked AIR, AIC or IR. Read it at the secondary voltage; if there are several devices, the lowest."""
    ground_fault_protection: bool | None = None
    """Matters at 1000 A and above. Look for a relay or trip marked GF on this side of the transformer; one on the primary does not count."""
    ground_fault_protection_tested: bool | None = None
    """Set at 1200 A or less, opening within 1 s at 3000 A and more, and a written record says that it was tested where it is installed."""
    arc_energy_reduction: bool | None = None
    """Matters at 1200 A and above. A maintenance switch, zone interlocking, an arc-flash relay, or a trip or fuse that clears fast enough."""


class Panelboard(Record):
    """The panelboard that the secondary conductors supply."""

    present: bool | None = None
    """Also a yes where a disconnect is ahead of the panelboard. No where they feed only a machine or a switchboard."""
    rating: Amperes | None = None
    """Rating of the bus [A]. On the panelboard's own label, not on its main breaker."""
    fed_by_two_mains: bool | None = None
    """Follow the wires from each device: both must end on the bus. A breaker that the bus feeds is a branch breaker."""
    at_most_42_poles: bool | None = None
    """Count the poles the two mains feed: a 2-pole breaker is two, a 3-pole breaker is three. 42 is still a yes."""
    short_circuit_kiloamperes: Kiloamperes | None = None
    """Short-circuit current rating [kA]. On the label; a panelboard is only as good as its lowest-rated device."""


class GroundedConductor(Record):
    """The grounded conductor (neutral, or the grounded phase) between the source and the first disconnect."""

    present: bool | None = None
    """Look for the neutral, or the grounded phase, with the phases. A bare or green wire does not count."""
    size: Size | None = None
    """Printed along it (AWG or kcmil), of one conductor. It may be smaller or larger than the phases."""
    material: Material | None = None
    """On its own insulation (CU or AL): it may differ from the phases. If you can't see it, leave it blank."""
    insulation: Insulation | None = None
    """Printed on it; it may differ from the phases. If there are several, the one that applies where the conductor runs."""
    sets: Sets | None = None
    """Count those in all raceways together. Look at each raceway: one may lack its own."""
    current_carrying: bool | None = None
    """Whether it counts as current-carrying: yes where most of the load is electronic, or on a two-wire circuit."""


class SupplySideBondingJumper(Record):
    """The bonding conductor between the transformer's enclosure and the first disconnect's."""

    kind: Literal["wire", "raceway", "none"] | None = None
    """Follow it from case to case: a wire in each raceway, or rigid metal all the way. Not the primary's grounding wire."""
    size: Size | None = None
    """The wire in each raceway (AWG or kcmil), not the sum. Printed along it; measure bare wire with a wire gauge, de-energized."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""
    insulation: WireCovering | None = None
    """Printed along it; bare where it has no insulation. Used for raceway fill only."""


class RunFacts(Record):
    """What each secondary run has of its own, from the terminals to its first disconnect."""

    rule: SecondaryRule | None = None
    """Ask the installer or check the drawings. Tape the conductors first: most of these rules end at 10 ft or 25 ft."""
    protection: OrEmpty[SecondaryProtection] = unread(SecondaryProtection)
    panelboard: OrEmpty[Panelboard] = unread(Panelboard)
    conductors: OrEmpty[Conductors] = unread(Conductors)
    grounded_conductor: OrEmpty[GroundedConductor] = unread(GroundedConductor)
    raceway: OrEmpty[Raceway] = unread(Raceway)
    load: OrEmpty[Load] = unread(Load)
    neutral_load_amperes: LoadAmperes | None = None
    """From the load calculation or the drawings [A]. A clamp-meter reading taken today does not count."""
    enclosed_in_raceway: bool | None = None
    """Follow it from the transformer's case to where they end. An open stretch at either end is a no."""
    protected_from_damage: bool | None = None
    """RMC, IMC, guards or location protect it. Where it can be hit, PVC Schedule 40, ENT and flex don't. Look where the run is low, or passes doors and traffic."""
    qualified_persons_only: bool | None = None
    """Ask the owner who services it, and for the written procedure. A sign on the door does not prove it."""
    first_disconnect_separate: bool | None = None
    """No only where it is built into the transformer's own case. If a raceway runs to it, it is separate."""


class RunObservations(Record):
    """What was seen of one further run: each answer as in `Observations`, which is of the first run."""

    parallel_sets_alike: bool | None = None
    circuit_grouped: bool | None = None
    insulating_fittings: bool | None = None
    tapped_ahead_of_device: bool | None = None
    ends_at_equipment_supplied: bool | None = None
    supplies_switchboard: bool | None = None
    outdoors_all_the_way: bool | None = None
    outside_disconnect_placed: bool | None = None
    torque_recorded: bool | None = None
    lugs_marked_for_metal: bool | None = None
    voltage_ratings_enough: bool | None = None
    device_height_within_reach: bool | None = None
    high_handle_beside_equipment_supplied: bool | None = None
    dedicated_space_clear: bool | None = None
    straight_rated_devices: bool | None = None
    knockouts_bonded: bool | None = None
    grounding_connections_sound: bool | None = None
    phases_in_order: bool | None = None
    high_leg_on_b: bool | None = None
    high_leg_labeled: bool | None = None
    no_parallel_neutral_path: bool | None = None
    ungrounded_marked: bool | None = None
    ungrounded_labeled: bool | None = None
    high_leg_orange: bool | None = None
    high_leg_free_of_neutral_loads: bool | None = None
    grounded_phase_identified: bool | None = None
    source_marked: bool | None = None
    fault_current_marked: bool | None = None
    arc_flash_marked: bool | None = None
    short_circuit_rating_marked: bool | None = None
    arc_flash_label_complete: bool | None = None
    device_in_each_line: bool | None = None
    line_side_barriers: bool | None = None
    outdoor_enclosures_weatherproof: bool | None = None
    grounded_conductor_identified: bool | None = None
    nonlinear_load: bool | None = None


class SecondaryRun(RunFacts):
    """A further run: conductors of their own from the same secondary terminals to a first disconnect of their own."""

    supply_side_bonding_jumper: OrEmpty[SupplySideBondingJumper] = unread(SupplySideBondingJumper)
    neutral_bonded_downstream: bool | None = None
    """Whether neutral and ground are joined again anywhere past this run's first disconnect."""
    in_first_enclosure: bool | None = None
    """Behind the same door or cover as the first run is a yes. In a panel next to it is a no."""
    beside_first_run: bool | None = None
    """Grouped means in one location. In another room or on another wall is a no."""
    observations: OrEmpty[RunObservations] = unread(RunObservations)


MOST_FURTHER_RUNS = 5


class Secondary(RunFacts):
    """Everything from the secondary terminals to the first disconnect, and the runs beside the first one."""

    class_1_2_3_circuits_only: bool | None = None
    """Matters up to 1 kVA. Check the drawings or labels: Class 1, 2 or 3 control circuits and no other load is a yes."""
    further_runs: Annotated[
        list[SecondaryRun], BeforeValidator(none_when_null), Field(max_length=MOST_FURTHER_RUNS)
    ] = Field(default=[])
    """Runs beside the first one, each with conductors of its own to its own panelboard or disconnect."""
