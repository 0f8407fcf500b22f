"""What both sides of a transformer have: conductors, their raceway, their load."""

from typing import Annotated, Literal

from pydantic import Field

from engine.code.sizes import FlexibleType, Insulation, Material, RacewayType, Size, TradeSize
from engine.job.base import Record
from engine.job.kinds import (
    Celsius,
    Count,
    Feet,
    InsulationVolts,
    LoadAmperes,
    Sets,
    WireCovering,
)


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
    flexible_type: FlexibleType | None = None
    """Printed along the flexible piece. Several kinds: one that is not permitted there counts, else the one that is fullest."""
    flexible_trade_size: TradeSize | None = None
    """Printed along the flexible piece, or on its connector. Several sizes: the smallest."""
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
