"""The nameplate of the transformer, and of the one that it replaces."""

from typing import Annotated, Literal

from pydantic import Field

from engine.job.base import OrEmpty, Record, unread
from engine.job.kinds import (
    Amperes,
    Celsius,
    Enclosure,
    Inches,
    Phases,
    Pounds,
    PrimarySystem,
    SecondarySystem,
    TapPercent,
    Volts,
)


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
