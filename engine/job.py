"""What was read, measured and seen on site.

Every field but a few may be None, and None means *not known*: no rule may read a field except through
`engine.missing.need`. An empty list means *looked, and found none*. The text under a field tells where to find it on
site; the wizard shows it as help.
"""

from typing import Annotated, Any, Literal, cast

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticKnownError

from engine.base import OrEmpty, Record, unread
from engine.editions import DEFAULT_EDITION, Edition

Purpose = Literal["installation", "grounding", "replacement"]
Material = Literal["copper", "aluminum"]
Insulation = Literal[
    "THHN", "THWN", "THWN-2", "XHHW", "XHHW-2", "THW", "THW-2", "THHW", "TW", "RHH", "RHW", "RHW-2",
]  # fmt: skip
WireCovering = Literal[
    "bare", "THHN", "THWN", "THWN-2", "XHHW", "XHHW-2", "THW", "THW-2", "THHW", "TW", "RHH", "RHW", "RHW-2",
]  # fmt: skip
Size = Literal[
    "18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0", "250", "300", "350", "400",
    "500", "600", "700", "750", "800", "900", "1000", "1250", "1500", "1750", "2000",
]  # fmt: skip
TradeSize = Literal[
    "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6"
]
RacewayType = Literal["RMC", "IMC", "EMT", "PVC40", "PVC80", "FMC", "LFMC", "LFNC", "ENT"]
PrimarySystem = Literal[
    "delta_3_wire", "wye_3_wire", "wye_4_wire", "single_phase_2_wire", "single_phase_3_wire"
]
SecondarySystem = Literal[
    "wye_4_wire",
    "wye_3_wire",
    "delta_3_wire_ungrounded",
    "delta_corner_grounded",
    "delta_high_leg",
    "single_phase_2_wire",
    "single_phase_3_wire",
]
SecondaryRule = Literal[
    "primary_device", "10_ft", "industrial_25_ft", "outside", "feeder_tap_25_ft", "25_ft"
]
ProtectionKind = Literal["main_device", "main_lugs_only", "grouped_devices"]
JumperLocation = Literal["source", "first_disconnect", "both", "none"]
Electrode = Literal[
    "building_steel", "water_pipe", "concrete_encased", "rod", "pipe", "plate", "ring"
]
DeviceKind = Literal["breaker", "fuse"]
Celsius = Literal[60, 75, 90]
InsulationVolts = Literal[600, 1000, 2000]
Enclosure = Literal[
    "open", "ventilated", "ventilated_with_weather_shield", "totally_enclosed", "encapsulated"
]
Provenance = Literal["read", "measured", "told", "assumed"]
SupplySystem = Literal[
    "solidly_grounded_wye",
    "single_phase_grounded",
    "high_leg",
    "corner_grounded",
    "ungrounded",
    "impedance_grounded",
]
# No dial or trip curve goes above it: times the rating.
HIGHEST_INSTANTANEOUS_MULTIPLE = 50
RatingBasis = Literal["highest_setting", "setting_restricted", "setting_open"]
Faces = Literal["nothing_grounded", "grounded", "live"]


def _not_yes(value: Any) -> Any:
    # True equals 1 in Python, so the choice alone would let it pass for single-phase.
    if isinstance(value, bool):
        raise PydanticKnownError("literal_error", {"expected": "1 or 3"})
    return value


def _none_when_null(value: Any) -> Any:
    return [] if value is None else value


# The four facts without which there is nothing to work out.
NAMEPLATE = frozenset(
    {
        "transformer.kva",
        "transformer.phases",
        "transformer.primary_volts",
        "transformer.secondary_volts",
    }
)

Amperes = Annotated[float, Field(gt=0, le=20000)]
LoadAmperes = Annotated[float, Field(ge=0, le=20000)]
Feet = Annotated[float, Field(gt=0, le=5000)]
Volts = Annotated[float, Field(ge=6, le=69000)]
Phases = Annotated[Literal[1, 3], BeforeValidator(_not_yes)]
TapPercent = Annotated[float, Field(ge=0, le=25)]
Pounds = Annotated[float, Field(gt=0, le=100000)]
Inches = Annotated[float, Field(gt=0, le=500)]
Kiloamperes = Annotated[float, Field(gt=0, le=300)]
Count = Annotated[int, Field(ge=1, le=100)]
MOST_SETS = 24
Sets = Annotated[int, Field(ge=1, le=MOST_SETS)]
ReadVolts = Annotated[float, Field(ge=0, le=1500)]
Words = Annotated[str, Field(max_length=4000)]


class Transformer(Record):
    """The nameplate, and where the transformer stands."""

    kva: Annotated[float, Field(ge=0.001, le=10000)]
    """Rated power [kVA]. Marked kVA on the nameplate itself; a panel label or a drawing may be for another unit."""
    phases: Phases
    """Number of phases. Marked PH or 1Ø / 3Ø on the nameplate."""
    primary_volts: Volts
    """Rated primary voltage, line to line [V]. The side that is fed: usually H on the nameplate, X when fed in reverse."""
    secondary_volts: Annotated[float, Field(ge=6, le=1000)]
    """Rated secondary voltage, line to line [V]: 208 of 208Y/120; for single-phase 3-wire, the outer pair. Usually the X side."""
    primary_system: PrimarySystem | None = None
    """How the primary is connected. The winding diagram on the nameplate, H side."""
    secondary_system: SecondarySystem | None = None
    """How the secondary is connected. The winding diagram on the nameplate, X side, and which terminal is bonded."""
    impedance_percent: Annotated[float, Field(ge=0.1, le=25)] | None = None
    """Impedance [%]. Marked %Z or IMP on the nameplate; units below 25 kVA may lawfully lack it."""
    impedance_tested: bool | None = None
    """Yes only if a test report or the nameplate says that this unit itself was tested. A design value may be off."""
    construction: Literal["dry", "cast_resin", "liquid"] | None = None
    """The nameplate names the liquid if there is one. Cast-resin windings are solid blocks."""
    location: Literal["indoors", "outdoors"] | None = None
    """Where the case is, not where the run goes. A case made for outdoors may be indoors."""
    autotransformer: bool | None = None
    """The winding diagram on the nameplate shows a single winding with taps. Zigzag counts too."""
    coordinated_thermal_protection: bool | None = None
    """If it is built in by the manufacturer, the nameplate says so. A breaker or fuse added on site does not count."""
    supervised: bool | None = None
    """Ask the owner; it is written in their procedures. A lock on the door does not prove it."""
    nameplate_primary_amperes: Amperes | None = None
    """Rated primary current as printed [A]. Do not calculate it: it is used to catch a misread kVA or voltage."""
    nameplate_secondary_amperes: Amperes | None = None
    """Rated secondary current as printed [A]. Do not calculate it: it is used to catch a misread kVA or voltage."""
    temperature_rise_celsius: Literal[55, 65, 80, 115, 130, 150] | None = None
    """Temperature rise [°C]. Marked RISE on the nameplate; the insulation class is a different, higher number."""
    insulation_class_celsius: Literal[105, 130, 150, 155, 180, 185, 200, 220] | None = None
    """Insulation system temperature class [°C]. Marked CLASS or INSULATION on the nameplate."""
    k_factor: Annotated[float, Field(ge=1, le=50)] | None = None
    """K-factor. Marked K-4, K-13 and so on; a plain transformer is K-1."""
    taps_above_percent: TapPercent | None = None
    """How far its full-capacity taps reach above nominal [%]. Marked FCAN; two steps of 2.5 make 5; none is 0."""
    taps_below_percent: TapPercent | None = None
    """How far its full-capacity taps reach below nominal [%]. Marked FCBN; four steps of 2.5 make 10; none is 0."""
    enclosure: Enclosure | None = None
    """What is around the core and coils: nothing, a case with vents, or a case without vents. Read the nameplate or look."""
    weight_pounds: Pounds | None = None
    """Weight [lb]. On the nameplate, or on the manufacturer's data sheet."""
    width_inches: Inches | None = None
    """Overall width of the case [in.]. Tape it, or use the manufacturer's data sheet."""
    height_inches: Inches | None = None
    """Overall height of the case [in.], feet included. Tape it, or use the manufacturer's data sheet."""
    depth_inches: Inches | None = None
    """Overall depth [in.], from the side whose cover comes off to the back. Tape it, or use the manufacturer's data sheet."""
    primary_terminal_celsius: Celsius | None = None
    """Temperature marked for the wires at the primary (H) terminals [°C]. On the nameplate or the lugs. No mark: 60 up to 100 A, else 75."""
    secondary_terminal_celsius: Celsius | None = None
    """Temperature marked for the wires at the secondary (X) terminals [°C]. On the nameplate or the lugs. No mark: 60 up to 100 A, else 75."""


class PrimaryDevice(Record):
    """The overcurrent device ahead of the primary conductors."""

    rating: Amperes | None = None
    """Rating [A]. The number on the breaker handle or the fuse label; for an adjustable trip, its highest setting."""
    kind: DeviceKind | None = None
    """A switch with fuses in it counts as fuses: read its label. Do not open it to look."""
    adjustable: bool | None = None
    """Whether the long-time trip can be adjusted. Look for a dial or plug marked LT or Ir."""
    rating_basis: RatingBasis | None = None
    """What the rating you entered is based on. Restricted: behind a sealed cover, a bolted door, or a lock for qualified persons."""
    highest_rating: Amperes | None = None
    """The highest its trip can be set to, or the largest fuse its switch takes [A]. See the rating plug or frame, or the switch's label."""
    straight_rated: bool | None = None
    """One voltage on its label (480 V) is straight-rated; two with a slash (480Y/277 V) is not."""
    ground_fault_protection: bool | None = None
    """Matters at 1000 A and above. Look for a relay or trip marked GF on this device, or ahead of it on the same system."""
    arc_energy_reduction: bool | None = None
    """Matters at 1200 A and above. A maintenance switch, zone interlocking, an arc-flash relay, or a trip or fuse that clears fast enough."""
    termination_celsius: Celsius | None = None
    """Temperature marked on the device for its wire terminals [°C], on the side label. No mark: 60 up to 100 A, else 75."""
    continuous_percent: Literal[80, 100] | None = None
    """Percent of its rating that the device may carry continuously [%]. 80, unless the label says suitable for 100 %."""
    instantaneous_multiple: (
        Annotated[float, Field(gt=0, le=HIGHEST_INSTANTANEOUS_MULTIPLE)] | None
    ) = None
    """Instantaneous trip as a multiple of the rating. The dial marked INST, or the manufacturer's trip curve."""
    interrupting_kiloamperes: Kiloamperes | None = None
    """Interrupting rating at this voltage [kA]. Marked AIR, AIC or IR with the voltage beside it."""


class Conductors(Record):
    """The ungrounded conductors of one side."""

    size: Size | None = None
    """Size (AWG or kcmil). Printed along the insulation every few feet."""
    material: Material | None = None
    """Copper or aluminum. Printed on the insulation (CU or AL); aluminum also shows as AA-8000."""
    insulation: Insulation | None = None
    """Type letters. Printed on the insulation; if there are several, the one that applies where the conductor runs."""
    insulation_volts: InsulationVolts | None = None
    """Printed on the insulation, after the letters [V]. Read every conductor of the run, the neutral too: the lowest counts."""
    sets: Sets | None = None
    """Count the conductors that land on one phase at one end. One per phase is 1."""
    raceways: Sets | None = None
    """Count the raceways at one end that hold these conductors. All sets in one raceway is 1."""
    length_feet: Feet | None = None
    """Length of the conductor itself from terminal to terminal [ft], not of the raceway alone."""
    ambient_celsius: Annotated[float, Field(ge=-60, le=150)] | None = None
    """Highest air temperature along the run [°C], not only where you are."""
    current_carrying: Count | None = None
    """Those of other circuits in the same raceway count too. The equipment grounding conductor does not."""
    termination_celsius: Celsius | None = None
    """Lowest temperature marked on the other terminals, such as the transformer's lugs [°C]. No mark: 60 up to 100 A, else 75."""
    outer_covering: bool | None = None
    """Look at a cut end for a second, thin layer over the insulation. With it, RHH, RHW and RHW-2 take more room in the raceway."""
    wet_location: bool | None = None
    """Whether any part of the run is outdoors, underground or otherwise wet inside the raceway."""


class EquipmentGrounding(Record):
    """The equipment grounding conductor run with the primary conductors."""

    kind: Literal["wire", "raceway", "none"] | None = None
    """If there is a wire, choose the wire. The raceway counts if it is metal to metal from case to case, with tight fittings."""
    size: Size | None = None
    """The wire in each raceway (AWG or kcmil), not the sum. Printed along it; measure bare wire with a wire gauge, de-energized."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""
    insulation: WireCovering | None = None
    """Printed along it; bare where it has no insulation. Used for raceway fill only."""


class Raceway(Record):
    """One raceway of the run; all raceways of a parallel run are alike."""

    type: RacewayType | None = None
    """Type of raceway. Stamped or printed along it."""
    trade_size: TradeSize | None = None
    """Trade size. Stamped or printed along it."""
    nipple: bool | None = None
    """Tape it from enclosure to enclosure. A short piece at the end of a longer run is not a nipple."""
    length_feet: Feet | None = None
    """From enclosure to enclosure, along its bends [ft]. Tape or pace it; the conductors inside are longer."""
    on_sunny_rooftop: bool | None = None
    """Whether any part of the raceway is on or above a roof in direct sun. Under a roof or always shaded is a no."""
    height_above_roof_inches: Annotated[float, Field(ge=0, le=500)] | None = None
    """From the roof to the bottom of the raceway, at its lowest point in the sun [in.]. Lying on the roof is 0."""
    flexible_length_feet: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Add up every flexible piece, whips included [ft]. Enter 0 only where you saw the whole run."""
    flexibility_needed: bool | None = None
    """Also a yes where it takes up vibration, as a whip at a transformer may."""
    fittings_listed_for_grounding: bool | None = None
    """Printed on the fitting or its carton. If you see neither, leave it blank; one that looks the same may not be listed."""


class Load(Record):
    """The calculated load of the feeder."""

    continuous_amperes: LoadAmperes | None = None
    """Load that lasts three hours or more [A]. From the load calculation or the drawings."""
    noncontinuous_amperes: LoadAmperes | None = None
    """Load that lasts less than three hours [A], in amperes on this side. Enter 0 if all of it is continuous."""
    power_factor: Annotated[float, Field(gt=0, le=1)] | None = None
    """From the load calculation or a power meter. Used for voltage drop only, which is advice."""


class Primary(Record):
    """Everything ahead of the transformer."""

    device: OrEmpty[PrimaryDevice] = unread(PrimaryDevice)
    conductors: OrEmpty[Conductors] = unread(Conductors)
    equipment_grounding: OrEmpty[EquipmentGrounding] = unread(EquipmentGrounding)
    raceway: OrEmpty[Raceway] = unread(Raceway)
    load: OrEmpty[Load] = unread(Load)
    protected_from_damage: bool | None = None
    """From the device or the tapped feeder to the transformer. RMC, IMC, guards or location protect it. Where it can be hit, PVC Schedule 40, ENT and flex don't. Look where the run is low or near traffic."""
    source_fault_kiloamperes: Kiloamperes | None = None
    """Available fault current at the primary device [kA]. From the study, or the label on the upstream gear."""
    supply_system: SupplySystem | None = None
    """The system that feeds the primary, not the primary winding. See the nameplate of its source, the study, or the label on its gear."""


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
    high_leg_orange: bool | None = None
    high_leg_free_of_neutral_loads: bool | None = None
    grounded_phase_identified: bool | None = None
    source_marked: bool | None = None
    fault_current_marked: bool | None = None
    arc_flash_marked: bool | None = None
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
        list[SecondaryRun], BeforeValidator(_none_when_null), Field(max_length=MOST_FURTHER_RUNS)
    ] = Field(default=[])
    """Runs beside the first one, each with conductors of its own to its own panelboard or disconnect."""


class SystemBondingJumper(Record):
    """The connection between the grounded conductor and the metal: one only."""

    factory_furnished: bool | None = None
    """The equipment's label or instructions name it. A wire, or just any screw that fits, does not count."""
    location: JumperLocation | None = None
    """Look for it in both enclosures, where they are open already. A meter cannot prove it."""
    in_each_enclosure: bool | None = None
    """Look in every first disconnect that this transformer feeds, where it is open already. If one has no jumper, answer no."""
    size: Size | None = None
    """Not needed for a furnished strap or screw. Otherwise printed along the wire (AWG or kcmil); measure bare wire with a gauge, de-energized."""
    material: Material | None = None
    """Not needed for a furnished strap or screw. Otherwise printed on the wire (CU or AL), or by the color of the bare metal."""


class AreaBond(Record):
    """A bonding jumper to metal in the area that the transformer serves."""

    present: bool | None = None
    """Whether it is bonded: by a jumper to where the electrode conductor connects, or to the steel or pipe that is the electrode here."""
    size: Size | None = None
    """The jumper itself (AWG or kcmil), not the electrode conductor. Printed along it; measure bare wire with a wire gauge."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""
    metal_in_area: bool | None = None
    """The area is where its loads are, not only its room: the panel directories show how far it goes."""
    to_common_conductor: bool | None = None
    """Look for a jumper from it to the shared electrode conductor, in the area this transformer serves."""


class Bonding(Record):
    """The bonding jumpers."""

    system_bonding_jumper: OrEmpty[SystemBondingJumper] = unread(SystemBondingJumper)
    supply_side_bonding_jumper: OrEmpty[SupplySideBondingJumper] = unread(SupplySideBondingJumper)
    neutral_bonded_downstream: bool | None = None
    """Whether neutral and ground are joined again anywhere past the one bonding point: straps, green screws, receptacles."""
    water_pipe_bond: OrEmpty[AreaBond] = unread(AreaBond)
    structural_steel_bond: OrEmpty[AreaBond] = unread(AreaBond)


class ElectrodeConductor(Record):
    """The grounding electrode conductor."""

    size: Size | None = None
    """Printed along it (AWG or kcmil); measure bare wire with a wire gauge. To a shared conductor: the size of the tap."""
    material: Material | None = None
    """Printed on the insulation (CU or AL); if bare, by the color of the metal. If you can't see it, leave it blank."""


class GroundingElectrode(Record):
    """The electrodes that exist, the one in use, and the conductor to it."""

    available: list[Electrode] | None = None
    """All that are at this building, in use or not. Leave all unchecked only if you looked and found none."""
    used: (
        Literal[
            "building_steel",
            "water_pipe",
            "concrete_encased",
            "rod",
            "pipe",
            "plate",
            "ring",
            "none",
        ]
        | None
    ) = None
    """Follow it to its last clamp. A panel, a conduit or a shared conductor is on the way, not the electrode."""
    sole_connection: bool | None = None
    """Look past the clamp for a wire that goes on to steel, water pipe or another kind. Rod to rod is the same kind."""
    joined_to_building_system: bool | None = None
    """Look for the wire from it to steel, water pipe or the service's electrodes. If you can't see one, leave it blank: that is not a no."""
    nearest_of_steel_and_water: bool | None = None
    """Compare the distance to the steel and to where the water pipe enters. Matters in the 2014 edition only."""
    supplemented: bool | None = None
    """For a single rod, pipe or plate, a second one at least 6 ft away counts. For a water pipe, any other kind of electrode."""
    resistance_ohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Of the single rod, pipe or plate [ohm], by a ground-resistance tester. Ask for the test record."""
    conductor: OrEmpty[ElectrodeConductor] = unread(ElectrodeConductor)
    connected_at: Literal["source", "first_disconnect"] | None = None
    """See in which enclosure its upper end lands. It must match the location of the system bonding jumper."""
    common_conductor: bool | None = None
    """Look for one wire along the building that each transformer taps to. If this transformer's own wire runs straight to building steel or a water pipe, answer no and enter that as the electrode."""
    common_conductor_size: Size | None = None
    """Printed along it (AWG or kcmil). The conductor that the taps land on, not this transformer's tap."""
    common_conductor_material: Material | None = None
    """The metal of the conductor the taps land on: printed on it (CU or AL), or by the color of the bare metal."""
    ring_size: Size | None = None
    """The ring in the earth, not the conductor that comes up (AWG or kcmil). Buried: by the drawings, or leave it blank."""


class Readings(Record):
    """Meter readings, taken by a qualified person."""

    line_to_line_volts: list[ReadVolts] | None = None
    """At the secondary terminals, loads off [V]: A-B, B-C, C-A, all three. Single-phase: the outer pair."""
    line_to_neutral_volts: list[ReadVolts] | None = None
    """From each line to the neutral at the transformer, in the order A, B, C, loads off [V]. The high leg of a delta counts too."""
    line_to_ground_volts: list[ReadVolts] | None = None
    """From each line to bare metal of the case, in the order A, B, C [V]. Readings that drift, or one near zero, show what line to neutral hides."""
    neutral_to_ground_volts: ReadVolts | None = None
    """From the neutral terminal to bare metal of the case, loads off [V]. Near zero does not prove the jumper."""
    neutral_to_ground_far_volts: ReadVolts | None = None
    """At an outlet far away, with load on it [V]. About 1 V to 2 V is usual; almost none suggests a second bond nearby."""
    bonding_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Clamp around the supply-side bonding jumper alone, or the whole raceway, loads on [A]. About zero proves nothing."""
    electrode_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Clamp around the grounding electrode conductor alone, loads on [A]. Loops through steel and pipe show here too."""
    neutral_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Insulation tester, de-energized [megohm]. It covers only what was connected. Reinstall the system bonding jumper afterward."""
    winding_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Each winding to the other and to ground, 1 min each, de-energized, X0 lifted [megohm]. Reconnect X0 afterward."""
    insulation_test_volts: Literal[250, 500, 1000] | None = None
    """The tester's setting [V dc]. The table used here has 1000 for windings up to 600 V."""
    bonding_path_ohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """From the case to the first disconnect, de-energized, with a low-resistance ohmmeter [ohm]. A thin path can read low too."""
    rotation_matches_record: bool | None = None
    """Rotation meter on the secondary, leads in the same order as before the change. If there is no record, leave it blank."""
    turns_ratio_deviation_percent: Annotated[float, Field(ge=0, le=100)] | None = None
    """From the turns-ratio tester: the worst of all phases and taps read, without its sign [%]."""
    turns_ratio_taps_read: bool | None = None
    """Only the tap in use is a no. Move links only when de-energized, and put them back where they were."""


class OldTransformer(Record):
    """The nameplate of the transformer that was taken out."""

    kva: Annotated[float, Field(ge=0.001, le=10000)] | None = None
    """On its own nameplate, or a photo of it [kVA]. A panel label or a drawing may be for an even older one."""
    phases: Phases | None = None
    """Number of phases of the old transformer. If you leave it blank, its connection decides."""
    primary_volts: Volts | None = None
    """Rated line to line, from its own nameplate [V], not a meter reading. What feeds it was sized for this."""
    secondary_volts: Annotated[float, Field(ge=6, le=1000)] | None = None
    """Rated line to line, from its own nameplate [V]: 208 of 208Y/120. What it feeds was made for this."""
    secondary_system: SecondarySystem | None = None
    """Its winding diagram, X side. Which terminal was grounded shows on photos and the wires left, not on the diagram."""
    primary_system: PrimarySystem | None = None
    """See its winding diagram, H side, on the nameplate or a photo of it."""
    impedance_percent: Annotated[float, Field(ge=0.1, le=25)] | None = None
    """Marked %Z or IMP on its nameplate [%]. At the same kVA, a lower figure on the new one means more fault current."""
    temperature_rise_celsius: Literal[55, 65, 80, 115, 130, 150] | None = None
    """Marked RISE on its nameplate [°C]; the insulation class is a different, higher number."""
    k_factor: Annotated[float, Field(ge=1, le=50)] | None = None
    """Marked K-4, K-13 and so on, on its nameplate; a plain transformer is K-1."""
    made_before_2016: bool | None = None
    """By the date code on its nameplate, not by the year it was installed. Newer ones often draw more inrush."""
    taps_above_percent: TapPercent | None = None
    """Add up the steps marked FCAN on its nameplate [%]: two of 2.5 make 5; none is 0. Not the tap it was set on."""
    taps_below_percent: TapPercent | None = None
    """Add up the steps marked FCBN on its nameplate [%]: four of 2.5 make 10; none is 0. Not the tap it was set on."""
    enclosure: Enclosure | None = None
    """Look for vents in the old case, or on a photo of it; a weather shield over them makes it another kind."""
    weight_pounds: Pounds | None = None
    """On its nameplate or the manufacturer's data sheet [lb]. What holds it up is known to have carried this weight, and no more."""
    width_inches: Inches | None = None
    """Overall width of the old case [in.], not only of its feet. Tape it before it goes, or use the manufacturer's data sheet."""
    height_inches: Inches | None = None
    """Overall height of the old case [in.], feet included. Tape it before it goes, or use the manufacturer's data sheet."""
    depth_inches: Inches | None = None
    """From the side whose cover came off to the back [in.]. Tape it before it goes, or use the manufacturer's data sheet."""
    primary_terminal_celsius: Celsius | None = None
    """Marked for the wires, on its H lugs or nameplate [°C]: read it before it goes. No mark: 60 up to 100 A, else 75."""
    secondary_terminal_celsius: Celsius | None = None
    """Marked for the wires, on its X lugs or nameplate [°C]: read it before it goes. No mark: 60 up to 100 A, else 75."""

    @property
    def known_phases(self) -> Literal[1, 3] | None:
        """Phases as read, else as the connection tells; None when neither is known. Unit: none. Section: none."""
        if self.phases is not None or self.secondary_system is None:
            return self.phases
        return 1 if self.secondary_system.startswith("single_phase") else 3


class Replacement(Record):
    """What a replacement changes."""

    old: OrEmpty[OldTransformer] = unread(OldTransformer)
    taps_alike_on_all_phases: bool | None = None
    """Compare the tap links of all phases, de-energized, and only where it is open already. Different links give unequal voltages."""
    frequency_matches: bool | None = None
    """Marked Hz on the new nameplate; from outside, units for 50 and 60 look the same."""
    bonds_refitted: bool | None = None
    """System and supply-side jumpers, electrode conductor, pipe and steel bonds, primary grounding: compare old photos."""
    isolated_both_sides: bool | None = None
    """It can also be fed from the load side: generator, UPS, solar. Ask who locked out each side and who tested it dead."""


class Observations(Record):
    """What was seen around the transformer. Yes, no, or not looked."""

    ventilation_clear: bool | None = None
    """Tape the distance from the vents to walls and stored goods; the nameplate gives the minimum."""
    top_free_of_storage: bool | None = None
    """Boxes, cables and rags count. Look from above at a unit that is mounted high."""
    top_marked: bool | None = None
    """Look for the words on the top itself. Where the top is not flat, or is out of reach, answer yes."""
    terminal_bar_used: bool | None = None
    """Grounding and bonding conductors land on a terminal bar bolted to the enclosure, not on vent slots or studs."""
    wire_leads_joined_and_bonded: bool | None = None
    """Yes only if its own connections are wire leads, not terminals, and listed connectors join the grounding wires and bond them to the case."""
    terminal_bar_clear_of_vents: bool | None = None
    """Shine a light through the vents from outside: if the bar covers them, you see it behind them. Keep your hands out."""
    conductors_clear_of_vents: bool | None = None
    """See where it enters the case: a knockout with a bushing is an entry, a vent slot is not."""
    readily_accessible: bool | None = None
    """Reached without tools, ladders or climbing. Also a yes: a dry type up to 1000 V in the open on a wall, column or structure."""
    above_ceiling: bool | None = None
    """The space above a drop ceiling counts, even if its tiles lift out. Under an open deck with no ceiling is a no."""
    hollow_space_open: bool | None = None
    """Yes if tiles lift out, or an access door is large enough. Permanently closed in, such as by a hard lid of gypsum board, is a no."""
    ceiling_moves_air: bool | None = None
    """Return-air grilles without ducts on them show that the space itself carries the air."""
    case_suits_air_space: bool | None = None
    """A metal case is a yes; a plastic one only if it is listed for an air-handling space."""
    disconnect_in_sight: bool | None = None
    """A disconnect for the transformer is visible and not more than 50 ft away."""
    disconnect_lockable_and_marked: bool | None = None
    """Both, or it is a no: a place for a lock on the disconnect, and a marking on the transformer that says where it is."""
    combustibles_clear: bool | None = None
    """Tape to wood, cardboard and stored goods. A barrier counts only if it is fire-resistant and heat-insulating."""
    fire_resistant_room: bool | None = None
    """Matters above 112.5 kVA. Check the drawings, or the fire rating of the door and walls; a lock does not make it one."""
    far_from_combustibles: bool | None = None
    """Matters above 112.5 kVA. Tape to ceiling and goods too. A barrier: only fire-resistant and heat-insulating."""
    completely_enclosed_except_vents: bool | None = None
    """A case on all sides with no opening except the vents. A missing cover or an open knockout is a no."""
    live_parts_guarded: bool | None = None
    """Yes if a locked room or vault, a permanent fence or screen, or a height of 8 ft (up to 300 V) or 8 ft 6 in. keeps people away."""
    weatherproof_enclosure: bool | None = None
    """Outdoors: the enclosure is marked for it (3R or better)."""
    working_space_clear: bool | None = None
    """Stand where live parts would be worked on and check depth, width and height. Stored goods, shelves and pipes in it count."""
    working_space_depth_inches: Inches | None = None
    """Tape it from the front of the case straight out to whatever is there [in.]."""
    working_space_faces: Faces | None = None
    """Concrete, brick and tile walls count as grounded; so do pipes and metal cases. Wood and gypsum board do not."""
    dedicated_space_clear: bool | None = None
    """As wide and deep as the gear, up to 6 ft above it or to the structural ceiling: no pipes, ducts or other foreign equipment."""
    high_handle_beside_equipment_supplied: bool | None = None
    """Yes only if each handle that is too high is right beside what it supplies, such as a transformer hung high, and a ladder reaches it."""
    device_height_within_reach: bool | None = None
    """Tape from the floor to the center of the grip in its highest position. Check both the primary device and the first disconnect."""
    voltage_ratings_enough: bool | None = None
    """Read each label. The voltage on it must not be below the voltage of the side it serves."""
    reverse_fed: bool | None = None
    """Follow the supply to its terminals. On X, the low-voltage side, it is a yes, whatever the drawings call the primary."""
    reverse_feed_marked: bool | None = None
    """Only what is printed, on the nameplate or in the instructions. That it has run so for years does not count."""
    supplied_neutral_open: bool | None = None
    """Look at X0 (or H0) of the winding that is fed. Yes only if nothing lands on it: no supply neutral, no strap to the case."""
    torque_recorded: bool | None = None
    """Whether terminations were tightened to the marked torque by an approved means, on record or on someone's word. Do not re-torque to check."""
    lugs_marked_for_metal: bool | None = None
    """Look at the stamp on each lug where aluminum lands: AL or AL/CU. CU alone, or no stamp, is a no."""
    parallel_sets_alike: bool | None = None
    """The same length, metal, size, insulation and terminations: compare what is printed on each, and the lugs."""
    circuit_grouped: bool | None = None
    """Count at each raceway: every phase, the neutral, and the grounding or bonding wire."""
    tapped_ahead_of_device: bool | None = None
    """Look at the transformer's lugs and along the run: a wire that goes off to controls, lights or a meter is a tap."""
    ends_at_equipment_supplied: bool | None = None
    """No where wires go on from the lugs they land on, or a splice takes them to another panel."""
    supplies_switchboard: bool | None = None
    """Read the label of what they end at. A panelboard, however large, is a no."""
    outdoors_all_the_way: bool | None = None
    """Only the point where they end may be inside. A stretch through an attic, crawl space or basement is a no."""
    outside_disconnect_placed: bool | None = None
    """If it is inside, find where they come in: conductors that run on to a handier location are a no."""
    aluminum_clear_of_earth: bool | None = None
    """Aluminum electrode conductor or bond: outdoors not terminated within 18 in. of the earth, and not bare against earth or masonry."""
    straight_rated_devices: bool | None = None
    """Yes if the label has one voltage, or no wire here has more to ground than the lower of its two. Where nothing is grounded, only one voltage will do."""
    electrode_conductor_protected: bool | None = None
    """Follow it end to end: a splice, a loose stretch, or a spot where carts or mowers can hit it is a no."""
    ferrous_raceway_bonded: bool | None = None
    """A magnet sticks to steel. Bonded at only one end is a no. If no steel is around it, answer yes."""
    electrode_at_outdoor_source: bool | None = None
    """Look at the transformer for a wire to a rod, ring or other electrode. One only at the building does not count."""
    water_pipe_near_entry: bool | None = None
    """Tape along the pipe from where it enters. Farther in, it is a yes only where all of the pipe is in sight and only qualified persons service it."""
    small_electrode_conductor_enclosed: bool | None = None
    """RMC, IMC, PVC, RTRC, EMT or cable armor, from one end to the other. Stapled to a joist is a no."""
    grounding_connections_sound: bool | None = None
    """Grounding and bonding lugs, clamps and bars, on bare metal. Sheet-metal screws, solder alone, or paint under a lug is a no."""
    knockouts_bonded: bool | None = None
    """Concentric or eccentric rings left in a knockout need a bonding bushing and jumper, unless the box is listed without. If no rings are left, answer yes."""
    insulating_fittings: bool | None = None
    """At each raceway end where 4 AWG or larger enters, look for a bushing, an insulated throat, or a smooth threaded hub."""
    phases_in_order: bool | None = None
    """By their colors: A, B, C from front to back, top to bottom or left to right. Another order is a yes only if it is marked."""
    high_leg_on_b: bool | None = None
    """The orange conductor lands on the middle bus. In the same section as a meter it may be on C: that is a yes."""
    high_leg_labeled: bool | None = None
    """A lasting label that says which phase, and its voltage to ground. An orange wire alone is a no."""
    no_parallel_neutral_path: bool | None = None
    """A metal raceway, cable sheath, water pipe or steel between the two ends is such a path. Yes: there is none."""
    ground_detector: bool | None = None
    """Look near the transformer and the first device for permanent lamps, meters or a relay. A handheld meter does not count."""
    ungrounded_marked: bool | None = None
    """At the transformer or on the first disconnect, with the voltage. A note on the drawings does not count."""
    high_leg_orange: bool | None = None
    """High-leg delta: the leg with the higher voltage to ground must be orange wherever the neutral is present."""
    high_leg_free_of_neutral_loads: bool | None = None
    """Look for single-pole breakers on the high leg: what they feed is connected to the neutral."""
    grounded_phase_identified: bool | None = None
    """White or gray at its ends, and solid through a fused switch: a fuse in that pole is a no."""
    enclosure_bonded: bool | None = None
    """Look for a wire, strap or bar on bare metal of the case. “Isolated ground” on the drawings never means the case."""
    anchored: bool | None = None
    """Look for bolts into the floor, a wall, a bracket or rods. Held by its own weight, or on pads alone, is a no."""
    shipping_parts_removed: bool | None = None
    """The manufacturer's instructions say which brackets come out. Look only inside what is open; debris in it is a no."""
    source_marked: bool | None = None
    """On its front or inside its door: what feeds it, not only its own name."""
    fault_current_marked: bool | None = None
    """Both: the figure, and the date it was calculated. The panelboard's own short-circuit rating does not count."""
    arc_flash_marked: bool | None = None
    """On the equipment itself; a sign on the door of the room does not count."""
    grounded_conductor_identified: bool | None = None
    """Look at both ends. Also a no where the phases do not keep their own colors or marks."""
    nonlinear_load: bool | None = None
    """Drives, computers and LED lighting are electronic; heaters and across-the-line motors are not."""


class Job(Record):
    """One transformer, as found. Section: the contract platepath.job/1."""

    format: Literal["platepath.job/1"]
    name: Annotated[str, Field(max_length=200)] = ""
    """What you will look for in the list, such as the transformer's tag or its room."""
    place: Annotated[str, Field(max_length=200)] = ""
    """Building, room, panel: where the transformer is."""
    date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """The day of the readings, not of the report."""
    person: Annotated[str, Field(max_length=200)] = ""
    """Whoever read and measured. The name is printed in the report."""
    licence: Annotated[str, Field(max_length=200)] = ""
    """As it is on the card. Leave it empty if the report does not need it."""
    permit: Annotated[str, Field(max_length=200)] = ""
    """On the permit card at the site, or from the authority. Leave it empty if there is none."""
    permit_date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """Existing work is normally judged by the edition in force on that day."""
    notes: Words = ""
    """Anything no question asked: covers left closed, who said what. It is printed in the report."""
    purpose: Purpose = "installation"
    """What this visit is for."""
    edition: Edition = DEFAULT_EDITION
    """On the permit, or ask the authority: it may not be the newest. Existing work normally goes by its permit date."""
    transformer: Transformer
    primary: OrEmpty[Primary] = unread(Primary)
    secondary: OrEmpty[Secondary] = unread(Secondary)
    bonding: OrEmpty[Bonding] = unread(Bonding)
    electrode: OrEmpty[GroundingElectrode] = unread(GroundingElectrode)
    readings: OrEmpty[Readings] = unread(Readings)
    observations: OrEmpty[Observations] = unread(Observations)
    replacement: OrEmpty[Replacement] = unread(Replacement)
    provenance: OrEmpty[dict[str, Provenance]] = Field(default={})
    """How a fact is known, by its path: read, measured, told or assumed."""

    @model_validator(mode="before")
    @classmethod
    def _null_settings_are_missing(cls, data: object) -> object:
        if not isinstance(data, dict):
            return data
        given = cast("dict[object, object]", data)
        return {k: v for k, v in given.items() if v is not None or k in ("format", "transformer")}
