"""What was read, measured and seen on site.

Every field but a few may be None, and None means *not known*: no rule may read a field except through
`engine.missing.need`. An empty list means *looked, and found none*. The text under a field tells where to find it on
site; the wizard shows it as help.
"""

from typing import Annotated, Any, Literal, cast

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticKnownError

from engine.base import OrEmpty, Record, unread

Edition = Literal[2014, 2017, 2020, 2023, 2026]
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
Enclosure = Literal[
    "open", "ventilated", "ventilated_with_weather_shield", "totally_enclosed", "encapsulated"
]
Provenance = Literal["read", "measured", "told", "assumed"]


def _not_yes(value: Any) -> Any:
    # True equals 1 in Python, so the choice alone would let it pass for single-phase.
    if isinstance(value, bool):
        raise PydanticKnownError("literal_error", {"expected": "1 or 3"})
    return value


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
Sets = Annotated[int, Field(ge=1, le=24)]
ReadVolts = Annotated[float, Field(ge=0, le=1500)]
Words = Annotated[str, Field(max_length=4000)]


class Transformer(Record):
    """The nameplate, and where the transformer stands."""

    kva: Annotated[float, Field(ge=0.001, le=10000)]
    """Rated power [kVA]. The largest number on the nameplate's first lines, marked kVA."""
    phases: Phases
    """Number of phases. Marked PH or 1Ø / 3Ø on the nameplate."""
    primary_volts: Volts
    """Rated primary voltage, line to line [V]. The high-voltage or H side of the nameplate; the side that is supplied."""
    secondary_volts: Annotated[float, Field(ge=6, le=1000)]
    """Rated secondary voltage, line to line [V]; for a single-phase three-wire secondary the outer pair. The X side."""
    primary_system: PrimarySystem | None = None
    """How the primary is connected. The winding diagram on the nameplate, H side."""
    secondary_system: SecondarySystem | None = None
    """How the secondary is connected. The winding diagram on the nameplate, X side, and which terminal is bonded."""
    impedance_percent: Annotated[float, Field(ge=0.1, le=25)] | None = None
    """Impedance [%]. Marked %Z or IMP on the nameplate; units below 25 kVA may lawfully lack it."""
    construction: Literal["dry", "cast_resin", "liquid"] | None = None
    """Dry type, cast resin or liquid-filled. The nameplate names the liquid if there is one."""
    location: Literal["indoors", "outdoors"] | None = None
    """Where the transformer stands."""
    autotransformer: bool | None = None
    """Whether one winding serves both sides (buck-boost, zigzag). The winding diagram shows a tapped single winding."""
    coordinated_thermal_protection: bool | None = None
    """Whether the manufacturer built in a coordinated thermal overload protection. The nameplate says so if it has one."""
    supervised: bool | None = None
    """Whether only qualified persons monitor and service the installation. Ask the owner; it is written in their procedures."""
    nameplate_primary_amperes: Amperes | None = None
    """Rated primary current as printed on the nameplate [A], if it is printed."""
    nameplate_secondary_amperes: Amperes | None = None
    """Rated secondary current as printed on the nameplate [A], if it is printed."""
    temperature_rise_celsius: Literal[55, 65, 80, 115, 130, 150] | None = None
    """Temperature rise [°C]. Marked RISE on the nameplate."""
    insulation_class_celsius: Literal[105, 130, 150, 155, 180, 185, 200, 220] | None = None
    """Insulation system temperature class [°C]. Marked CLASS or INSULATION on the nameplate."""
    k_factor: Annotated[float, Field(ge=1, le=50)] | None = None
    """K-factor. Marked K-4, K-13 and so on; a plain transformer is K-1."""
    taps_above_percent: TapPercent | None = None
    """How far its full-capacity taps reach above nominal [%]. Marked FCAN; two steps of 2.5 make 5; none is 0."""
    taps_below_percent: TapPercent | None = None
    """How far its full-capacity taps reach below nominal [%]. Marked FCBN; four steps of 2.5 make 10; none is 0."""
    enclosure: Enclosure | None = None
    """What is around core and coils: nothing, a case with vents, or a case without. On the nameplate, or by look."""
    weight_pounds: Pounds | None = None
    """Weight [lb]. On the nameplate, or on the maker's data sheet."""
    width_inches: Inches | None = None
    """Width of the case over all [in.]. Tape it, or take it from the maker's data sheet."""
    height_inches: Inches | None = None
    """Height of the case over all [in.]."""
    depth_inches: Inches | None = None
    """Depth of the case over all, front to back [in.]."""
    primary_terminal_celsius: Celsius | None = None
    """Temperature marked for the wires at the primary (H) terminals [°C]. On the nameplate or the lugs. No mark: 60 up to 100 A, else 75."""
    secondary_terminal_celsius: Celsius | None = None
    """Temperature marked for the wires at the secondary (X) terminals [°C]. On the nameplate or the lugs. No mark: 60 up to 100 A, else 75."""


class PrimaryDevice(Record):
    """The overcurrent device ahead of the primary conductors."""

    rating: Amperes | None = None
    """Rating [A]. The number on the breaker handle or the fuse label; of an adjustable trip its highest setting."""
    kind: DeviceKind | None = None
    """Breaker or fuses."""
    adjustable: bool | None = None
    """Whether the long-time trip can be set. A dial or plug marked LT or Ir."""
    termination_celsius: Celsius | None = None
    """Temperature marked on the device for its wire terminals [°C], on the side label. No mark: 60 up to 100 A, else 75."""
    continuous_percent: Literal[80, 100] | None = None
    """Share of the rating that the device may carry continuously [%]. 80, unless the label says suitable for 100 %."""
    instantaneous_multiple: Annotated[float, Field(gt=0, le=50)] | None = None
    """Instantaneous trip as a multiple of the rating. The setting dial marked INST, or the maker's curve."""
    interrupting_kiloamperes: Kiloamperes | None = None
    """Interrupting rating at this voltage [kA]. Marked AIR, AIC or IR with the voltage beside it."""


class Conductors(Record):
    """The ungrounded conductors of one side."""

    size: Size | None = None
    """Size (AWG or kcmil). Printed along the insulation every few feet."""
    material: Material | None = None
    """Copper or aluminum. Printed on the insulation (CU or AL); aluminum also shows as AA-8000."""
    insulation: Insulation | None = None
    """Type letters. Printed on the insulation; of several, the one that holds where the conductor runs."""
    sets: Sets | None = None
    """Number of conductors in parallel for each phase."""
    raceways: Sets | None = None
    """Number of raceways over which the parallel sets share out."""
    length_feet: Feet | None = None
    """Length of the conductor itself from terminal to terminal [ft], not of the raceway alone."""
    ambient_celsius: Annotated[float, Field(ge=-60, le=150)] | None = None
    """Highest air temperature along the run [°C], not only where you stand."""
    current_carrying: Count | None = None
    """Number of current-carrying conductors in the same raceway. The equipment grounding conductor does not count."""
    termination_celsius: Celsius | None = None
    """Lowest temperature marked on the other terminals, such as the transformer's lugs [°C]. No mark: 60 up to 100 A, else 75."""
    wet_location: bool | None = None
    """Whether any part of the run is outdoors, underground or otherwise wet inside the raceway."""


class EquipmentGrounding(Record):
    """The equipment grounding conductor run with the primary conductors."""

    kind: Literal["wire", "raceway", "none"] | None = None
    """A wire, the metal raceway itself, or nothing found."""
    size: Size | None = None
    """Size of the wire in each raceway (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""
    insulation: WireCovering | None = None
    """Its covering, or bare. Counts for the raceway fill."""


class Raceway(Record):
    """One raceway of the run; all raceways of a parallel run are alike."""

    type: RacewayType | None = None
    """Type of raceway. Stamped or printed along it."""
    trade_size: TradeSize | None = None
    """Trade size. Stamped or printed along it."""
    nipple: bool | None = None
    """Whether it is a nipple of not more than 24 in. between the two enclosures."""
    length_feet: Feet | None = None
    """Length of the raceway [ft]."""
    flexible_length_feet: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Flexible raceway in this run, whips included [ft]; 0 when there is none."""
    flexibility_needed: bool | None = None
    """For flexible raceways: whether it must move or take up vibration after installation."""
    fittings_listed_for_grounding: bool | None = None
    """For flexible raceways: whether the fittings are listed for grounding. Printed on the carton or the fitting."""


class Load(Record):
    """The calculated load of the feeder."""

    continuous_amperes: LoadAmperes | None = None
    """Load that lasts three hours or more [A]. From the load calculation or the drawings."""
    noncontinuous_amperes: LoadAmperes | None = None
    """The other load [A]. Enter 0 when all of it is continuous."""
    power_factor: Annotated[float, Field(gt=0, le=1)] | None = None
    """Power factor of the load. For the voltage drop only."""


class Primary(Record):
    """Everything ahead of the transformer."""

    device: OrEmpty[PrimaryDevice] = unread(PrimaryDevice)
    conductors: OrEmpty[Conductors] = unread(Conductors)
    equipment_grounding: OrEmpty[EquipmentGrounding] = unread(EquipmentGrounding)
    raceway: OrEmpty[Raceway] = unread(Raceway)
    load: OrEmpty[Load] = unread(Load)
    source_fault_kiloamperes: Kiloamperes | None = None
    """Available fault current at the primary device [kA]. From the study, or the label on the upstream gear."""


class SecondaryProtection(Record):
    """The overcurrent protection at the load end of the secondary conductors."""

    kind: ProtectionKind | None = None
    """A main breaker or main fuses, main lugs only, or several devices grouped in one place."""
    rating: Amperes | None = None
    """Rating of the main device [A]."""
    ratings: list[Amperes] | None = None
    """Ratings of the grouped devices [A], each one."""
    device_kind: DeviceKind | None = None
    """Breaker or fuses."""
    termination_celsius: Celsius | None = None
    """Temperature marked for the terminals at the load end [°C]. No mark: 60 up to 100 A, else 75."""
    continuous_percent: Literal[80, 100] | None = None
    """Share of the rating that the main may carry continuously [%]. 80, unless the label says suitable for 100 %."""
    interrupting_kiloamperes: Kiloamperes | None = None
    """Interrupting rating at the secondary voltage [kA]."""


class Panelboard(Record):
    """The panelboard that the secondary conductors supply."""

    present: bool | None = None
    """Whether the secondary conductors supply a panelboard at all."""
    rating: Amperes | None = None
    """Rating of the bus [A]. On the panelboard's own label, not on its main breaker."""
    fed_by_two_mains: bool | None = None
    """Two grouped devices: both stand ahead of the bus as its mains, none of them a branch breaker."""
    short_circuit_kiloamperes: Kiloamperes | None = None
    """Short-circuit current rating [kA]. On the label; a panelboard is only as good as its lowest-rated device."""


class GroundedConductor(Record):
    """The grounded conductor (neutral, or the grounded phase) between the source and the first disconnect."""

    present: bool | None = None
    """Whether a grounded conductor is run to the first disconnect."""
    size: Size | None = None
    """Size (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""
    insulation: Insulation | None = None
    """Type letters."""
    sets: Sets | None = None
    """Number in parallel."""
    current_carrying: bool | None = None
    """Whether it counts as current-carrying: yes where most of the load is electronic, or on a two-wire circuit."""


class Secondary(Record):
    """Everything from the secondary terminals to the first disconnect."""

    rule: SecondaryRule | None = None
    """Which rule for unprotected secondary conductors the installation relies on."""
    protection: OrEmpty[SecondaryProtection] = unread(SecondaryProtection)
    panelboard: OrEmpty[Panelboard] = unread(Panelboard)
    conductors: OrEmpty[Conductors] = unread(Conductors)
    grounded_conductor: OrEmpty[GroundedConductor] = unread(GroundedConductor)
    raceway: OrEmpty[Raceway] = unread(Raceway)
    load: OrEmpty[Load] = unread(Load)
    neutral_load_amperes: LoadAmperes | None = None
    """Calculated neutral load [A]."""
    enclosed_in_raceway: bool | None = None
    """Whether the secondary conductors run in a raceway for their whole length."""
    protected_from_damage: bool | None = None
    """Whether they are protected from physical damage, in a raceway or otherwise."""
    qualified_persons_only: bool | None = None
    """Industrial: whether only qualified persons service the system. Ask the owner."""
    first_disconnect_separate: bool | None = None
    """Whether the first disconnect is in an enclosure of its own, apart from the transformer."""


class SystemBondingJumper(Record):
    """The connection between the grounded conductor and the metal: one only."""

    factory_furnished: bool | None = None
    """Whether it is the identified strap or screw that came with the equipment for this purpose."""
    location: JumperLocation | None = None
    """Where it is: at the transformer, at the first disconnect, at both, or nowhere. Look; a meter cannot prove it."""
    size: Size | None = None
    """Size (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""


class SupplySideBondingJumper(Record):
    """The bonding conductor between the transformer's enclosure and the first disconnect's."""

    kind: Literal["wire", "raceway", "none"] | None = None
    """A wire in the raceway, the metal raceway itself, or nothing found."""
    size: Size | None = None
    """Size of the wire in each raceway (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""
    insulation: WireCovering | None = None
    """Its covering, or bare. Counts for the raceway fill."""


class AreaBond(Record):
    """A bonding jumper to metal in the area that the transformer serves."""

    present: bool | None = None
    """Whether it is bonded: by a jumper to where the electrode conductor connects, or to the steel or pipe that is the electrode here."""
    size: Size | None = None
    """Size (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""
    metal_in_area: bool | None = None
    """Whether there is such metal in the area served by this transformer."""


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
    """Size (AWG or kcmil)."""
    material: Material | None = None
    """Copper or aluminum."""


class GroundingElectrode(Record):
    """The electrodes that exist, the one in use, and the conductor to it."""

    available: list[Electrode] | None = None
    """Which electrodes exist at this building. None ticked means: looked, and found none."""
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
    """Which electrode the conductor of this transformer goes to."""
    sole_connection: bool | None = None
    """Whether the conductor ends there and does not go on to another kind of electrode."""
    joined_to_building_system: bool | None = None
    """For a rod, pipe, plate or ring: whether it is bonded to the building's other electrodes."""
    conductor: OrEmpty[ElectrodeConductor] = unread(ElectrodeConductor)
    connected_at: Literal["source", "first_disconnect"] | None = None
    """Where the electrode conductor connects to the system: at the transformer or at the first disconnect."""
    common_conductor: bool | None = None
    """Whether this is a tap to a conductor shared by several transformers."""
    common_conductor_size: Size | None = None
    """Size of the shared conductor (AWG or kcmil)."""
    common_conductor_material: Material | None = None
    """Copper or aluminum."""
    ring_size: Size | None = None
    """Size of the ground ring's own conductor (AWG or kcmil)."""


class Readings(Record):
    """Meter readings, taken by a qualified person."""

    line_to_line_volts: list[ReadVolts] | None = None
    """Secondary voltages line to line, no load [V]: A-B, B-C, C-A (single-phase: the outer pair)."""
    line_to_neutral_volts: list[ReadVolts] | None = None
    """Secondary voltages line to neutral, no load [V]: A, B, C."""
    line_to_ground_volts: list[ReadVolts] | None = None
    """Secondary voltages line to ground [V]: A, B, C."""
    neutral_to_ground_volts: ReadVolts | None = None
    """Neutral to ground at the transformer [V]."""
    neutral_to_ground_far_volts: ReadVolts | None = None
    """Neutral to ground at a loaded outlet far from the transformer [V]."""
    bonding_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Current on the supply-side bonding jumper or the raceway, clamped, under load [A]."""
    electrode_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Current on the grounding electrode conductor, clamped, under load [A]."""
    neutral_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Neutral to ground, dead, with the system bonding jumper lifted [megohm]."""
    winding_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Lowest insulation resistance of the windings to each other and to ground, 1 min, X0 lifted [megohm]."""
    insulation_test_volts: Literal[250, 500, 1000] | None = None
    """Voltage of that insulation test [V dc]."""
    bonding_path_ohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Resistance of the bonding path from the transformer case to the first disconnect, dead [ohm]."""
    rotation_matches_record: bool | None = None
    """Whether the phase rotation matches the record taken before the change."""
    turns_ratio_deviation_percent: Annotated[float, Field(ge=0, le=100)] | None = None
    """Largest deviation of the turns ratio from the calculated one [%]."""
    turns_ratio_taps_read: bool | None = None
    """Whether the turns ratio was taken on every tap."""


class OldTransformer(Record):
    """The nameplate of the transformer that was taken out."""

    kva: Annotated[float, Field(ge=0.001, le=10000)] | None = None
    """Rated power [kVA] of the old transformer."""
    phases: Phases | None = None
    """Number of phases of the old transformer. Left open, its connection tells."""
    primary_volts: Volts | None = None
    """Rated primary voltage, line to line [V]."""
    secondary_volts: Annotated[float, Field(ge=6, le=1000)] | None = None
    """Rated secondary voltage, line to line [V]."""
    secondary_system: SecondarySystem | None = None
    """How the secondary was connected."""
    impedance_percent: Annotated[float, Field(ge=0.1, le=25)] | None = None
    """Impedance [%]."""
    temperature_rise_celsius: Literal[55, 65, 80, 115, 130, 150] | None = None
    """Temperature rise [°C]."""
    k_factor: Annotated[float, Field(ge=1, le=50)] | None = None
    """K-factor; a plain transformer is K-1."""
    made_before_2016: bool | None = None
    """Whether it was made before 2016, when efficiency levels and with them inrush went up."""
    taps_above_percent: TapPercent | None = None
    """How far its full-capacity taps reached above nominal [%]; none is 0."""
    taps_below_percent: TapPercent | None = None
    """How far its full-capacity taps reached below nominal [%]; none is 0."""
    enclosure: Enclosure | None = None
    """What was around core and coils of the old one."""
    weight_pounds: Pounds | None = None
    """Weight of the old one [lb]."""
    width_inches: Inches | None = None
    """Width of the old case over all [in.]."""
    height_inches: Inches | None = None
    """Height of the old case over all [in.]."""
    depth_inches: Inches | None = None
    """Depth of the old case over all, front to back [in.]."""
    primary_terminal_celsius: Celsius | None = None
    """Temperature that was marked for the wires at the old primary (H) terminals [°C]."""
    secondary_terminal_celsius: Celsius | None = None
    """Temperature that was marked for the wires at the old secondary (X) terminals [°C]."""

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
    """Whether the tap links stand in the same position on every phase."""
    frequency_matches: bool | None = None
    """Whether the nameplate frequency is that of the supply."""
    bonds_refitted: bool | None = None
    """Whether every bond and the electrode conductor were refitted after the change."""
    isolated_both_sides: bool | None = None
    """Whether both sides were isolated, locked and tested dead before the work."""


class Observations(Record):
    """What was seen around the transformer. Yes, no, or not looked."""

    ventilation_clear: bool | None = None
    """Tape the distance from the vents to walls and goods; the nameplate gives the least."""
    top_free_of_storage: bool | None = None
    """Nothing lies on top of the transformer."""
    terminal_bar_used: bool | None = None
    """Grounding and bonding conductors land on a terminal bar bolted to the enclosure, not on vent slots or studs."""
    terminal_bar_clear_of_vents: bool | None = None
    """The terminal bar does not cover ventilation openings."""
    conductors_clear_of_vents: bool | None = None
    """No grounding electrode conductor passes through a ventilation opening."""
    readily_accessible: bool | None = None
    """Can be reached without tools, ladders or climbing; or stands in the open and is small enough for the allowance."""
    above_ceiling: bool | None = None
    """Whether the transformer is in a hollow space above a ceiling."""
    disconnect_in_sight: bool | None = None
    """A disconnect for the transformer is visible and not more than 50 ft away."""
    disconnect_lockable_and_marked: bool | None = None
    """If not in sight: it can be locked open, and its place is marked on the transformer."""
    combustibles_clear: bool | None = None
    """Combustible material is 12 in. or more away, or a fire-resistant heat-insulating barrier stands between."""
    fire_resistant_room: bool | None = None
    """For the larger dry types indoors: stands in a fire-resistant transformer room."""
    far_from_combustibles: bool | None = None
    """For the larger dry types indoors: 6 ft across and 12 ft up from what burns, or a fire-resistant heat-insulating barrier."""
    completely_enclosed_except_vents: bool | None = None
    """For the larger dry types indoors: completely enclosed but for the ventilating openings."""
    weatherproof_enclosure: bool | None = None
    """Outdoors: the enclosure is marked for it (3R or better)."""
    working_space_clear: bool | None = None
    """The working space in front of parts likely to be worked on live is free: depth, width, height."""
    reverse_fed: bool | None = None
    """Whether the low-voltage side is the supplied one."""
    reverse_feed_marked: bool | None = None
    """Whether the nameplate or the instructions allow feeding it in reverse."""
    torque_recorded: bool | None = None
    """Whether terminations were tightened to the marked torque with an approved means, by record or word. Do not re-torque to check."""
    lugs_marked_for_metal: bool | None = None
    """Whether each lug is marked for the conductor's metal (AL, CU or AL/CU)."""
    parallel_sets_alike: bool | None = None
    """Whether parallel conductors are alike: length, metal, size, insulation, terminations."""
    circuit_grouped: bool | None = None
    """Whether all conductors of the circuit, with their grounding or bonding wire, share each raceway."""
    tapped_ahead_of_device: bool | None = None
    """Whether anything is tapped off the secondary conductors before the first device."""
    ends_at_equipment_supplied: bool | None = None
    """Whether the secondary conductors end at the equipment they supply and do not go on past it."""
    supplies_switchboard: bool | None = None
    """Industrial rule: the secondary conductors supply switchgear or a switchboard, not a panelboard."""
    outdoors_all_the_way: bool | None = None
    """Outdoor rule: the conductors are outdoors all the way, but for the point where they end."""
    outside_disconnect_placed: bool | None = None
    """Outdoor rule: the disconnect is outside, or inside nearest the point of entry."""
    aluminum_clear_of_earth: bool | None = None
    """Aluminum electrode conductor: outdoors not ended within 18 in. of the earth, and bare nowhere against earth or masonry."""
    straight_rated_devices: bool | None = None
    """On a high leg, a corner-grounded or an ungrounded system breakers are straight-rated (240, 480), not slash-rated (120/240)."""
    electrode_conductor_protected: bool | None = None
    """Whether the electrode conductor is unspliced, fastened, and protected where it could be damaged."""
    ferrous_raceway_bonded: bool | None = None
    """Whether a steel raceway around the electrode conductor is bonded to it at both ends."""
    electrode_at_outdoor_source: bool | None = None
    """Outdoors: a grounding electrode connection is made at the transformer itself."""
    no_parallel_neutral_path: bool | None = None
    """Outdoors with a jumper at both ends: whether no other metal path runs beside the neutral."""
    ground_detector: bool | None = None
    """Ungrounded system: ground detectors are installed and as close as practicable to the source."""
    ungrounded_marked: bool | None = None
    """Ungrounded system: the first disconnect is marked as such."""
    high_leg_orange: bool | None = None
    """High-leg delta: the leg with the higher voltage to ground is orange wherever the neutral is present."""
    high_leg_free_of_neutral_loads: bool | None = None
    """High-leg delta: nothing is connected between the high leg and the neutral."""
    grounded_phase_identified: bool | None = None
    """Corner-grounded delta: the grounded phase is identified as a grounded conductor and no fuse stands in it."""
    enclosure_bonded: bool | None = None
    """The transformer's case itself is bonded, whatever the drawings call isolated."""
    anchored: bool | None = None
    """Firmly fastened to the surface it stands or hangs on."""
    shipping_parts_removed: bool | None = None
    """Shipping brackets are out, isolation pads in, no debris inside what is open."""
    source_marked: bool | None = None
    """The panelboard says where it is fed from."""
    fault_current_marked: bool | None = None
    """The available fault current and its date are marked at the panelboard."""
    arc_flash_marked: bool | None = None
    """An arc-flash warning is on the equipment."""
    grounded_conductor_identified: bool | None = None
    """The grounded conductor is white or gray, and the phases keep their colors or marks."""
    nonlinear_load: bool | None = None
    """Whether most of the load is electronic: drives, computers, LED lighting."""


class Job(Record):
    """One transformer, as found. Section: the contract platepath.job/1."""

    format: Literal["platepath.job/1"]
    name: Annotated[str, Field(max_length=200)] = ""
    """What you call this job."""
    place: Annotated[str, Field(max_length=200)] = ""
    """Building, room, panel: where the transformer is."""
    date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """Date of the visit, as year-month-day."""
    person: Annotated[str, Field(max_length=200)] = ""
    """Who looked."""
    licence: Annotated[str, Field(max_length=200)] = ""
    """License or badge number, if the report needs it."""
    permit: Annotated[str, Field(max_length=200)] = ""
    """Permit number, if there is one."""
    permit_date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """Date of the permit: existing work is normally judged by the edition then in force."""
    notes: Words = ""
    """Anything else worth keeping."""
    purpose: Purpose = "installation"
    """What this visit is for."""
    edition: Edition = 2023
    """Edition of the code that the authority enforces for this work."""
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
