"""The primary disconnect and its run."""

from typing import Annotated, Literal

from pydantic import Field

from engine.job.base import OrEmpty, Record, unread
from engine.job.conductors import Conductors, EquipmentGrounding, Load, Raceway
from engine.job.kinds import (
    HIGHEST_INSTANTANEOUS_MULTIPLE,
    Amperes,
    Celsius,
    DeviceKind,
    Kiloamperes,
    RatingBasis,
    SupplySystem,
)


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
    ground_fault_protection_tested: bool | None = None
    """Set at 1200 A or less, opening within 1 s at 3000 A and more, and a written record says that it was tested where it is installed."""
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
