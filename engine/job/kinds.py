"""The kinds of a fact: what may be chosen, and the bounds within which a number can be a reading."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticKnownError

from engine.code.sizes import Insulation

Purpose = Literal["installation", "grounding", "replacement"]
WireCovering = Literal["bare", Insulation]
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
# The present setting is what was entered, and not the highest.
PRESENT_SETTING = ("setting_restricted", "setting_open")
Faces = Literal["nothing_grounded", "grounded", "live"]


def not_yes(value: Any) -> Any:
    """A number as it is; yes and no are no number of phases. Unit: none. Section: none."""
    # True equals 1 in Python, so the choice alone would let it pass for single-phase.
    if isinstance(value, bool):
        raise PydanticKnownError("literal_error", {"expected": "1 or 3"})
    return value


def none_when_null(value: Any) -> Any:
    """An empty list for null. Unit: none. Section: none."""
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
Phases = Annotated[Literal[1, 3], BeforeValidator(not_yes)]
TapPercent = Annotated[float, Field(ge=0, le=25)]
Pounds = Annotated[float, Field(gt=0, le=100000)]
Inches = Annotated[float, Field(gt=0, le=500)]
Kiloamperes = Annotated[float, Field(gt=0, le=300)]
Count = Annotated[int, Field(ge=1, le=100)]
MOST_SETS = 24
Sets = Annotated[int, Field(ge=1, le=MOST_SETS)]
ReadVolts = Annotated[float, Field(ge=0, le=1500)]
Words = Annotated[str, Field(max_length=4000)]
