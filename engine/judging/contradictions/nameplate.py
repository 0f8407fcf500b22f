"""The nameplate against itself, and against what supplies the transformer."""

from collections.abc import Callable

from engine.code.limits import WITHOUT_NEUTRAL_POINT
from engine.job import Job
from engine.judging.contradictions.entry import SIDES, Contradiction
from engine.physics.full_load_current import full_load_current

# A share that a printed current may be off what kVA and voltage give, beside its last printed digit: a step of the usual
# kVA ratings, and most steps of the usual voltages, are more than this. Common practice, no source.
PRINTED_CURRENT_SHARE = 0.05


def _last_digit(printed: float) -> float:
    """One step of the last digit of a current as it is printed [A]: 1 of 6, 0.1 of 6.3; plates round, or cut off."""
    _, _, decimals = f"{printed:.10f}".rstrip("0").partition(".")
    return 10.0 ** -len(decimals)


def _printed_current(side: str) -> Callable[[Job], bool]:
    """Whether the printed current [A] of a side is off what kVA and voltage give by more than its rounding."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        printed = plate.nameplate_primary_amperes if primary else plate.nameplate_secondary_amperes
        if printed is None:
            return False
        line_volts = plate.primary_volts if primary else plate.secondary_volts
        worked_out = full_load_current(kva=plate.kva, volts=line_volts, phases=plate.phases)
        off = abs(printed - worked_out)
        return off > PRINTED_CURRENT_SHARE * worked_out and off > _last_digit(printed)

    return found


# What is marked behind the Y of 208Y/120, 480Y/277 and 600Y/347 V. No three-phase wye of these voltages line to line is
# usual: common practice, no source.
_TO_NEUTRAL = (120.0, 277.0, 347.0)


def _line_to_neutral_entered(side: str) -> Callable[[Job], bool]:
    """Whether the voltage [V] of a three-phase wye is that of a line to its neutral, and no printed current bears it out."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        system = plate.primary_system if primary else plate.secondary_system
        printed = plate.nameplate_primary_amperes if primary else plate.nameplate_secondary_amperes
        return (
            plate.phases == 3
            and (plate.primary_volts if primary else plate.secondary_volts) in _TO_NEUTRAL
            and system in ("wye_3_wire", "wye_4_wire")
            and printed is None
        )

    return found


def _three_phases_from_a_single_phase(job: Job) -> bool:
    return job.transformer.phases == 3 and job.primary.supply_system == "single_phase_grounded"


def _hotter_than_its_insulation(job: Job) -> bool:
    """Rise above an ambient of 40 °C, without a hot spot [°C]. Source: the ambient of IEEE C57.12.01, from memory."""
    rise, limit = job.transformer.temperature_rise_celsius, job.transformer.insulation_class_celsius
    return rise is not None and limit is not None and rise + 40 > limit


def _fed_at_its_higher_voltage(job: Job) -> bool:
    plate = job.transformer
    return bool(job.observations.reverse_fed) and plate.primary_volts > plate.secondary_volts


def _neutral_of_no_neutral(job: Job) -> bool:
    """Whether something is said to land on the neutral point of a fed winding that has none."""
    return (
        job.observations.supplied_neutral_open is False
        and job.transformer.primary_system in WITHOUT_NEUTRAL_POINT
    )


NEUTRAL_OF_NO_NEUTRAL: tuple[Contradiction, ...] = (
    Contradiction(
        "neutral_of_no_neutral",
        ("transformer.primary_system", "observations.supplied_neutral_open"),
        "One answer says that a supply neutral or a bonding strap lands on the neutral point of the winding that is "
        "supplied; the other says that this winding has no neutral point. Check its X0 or H0 terminal again.",
        _neutral_of_no_neutral,
    ),
)
PRINTED_CURRENTS = tuple(
    Contradiction(
        f"printed_{side}_current",
        (
            *("transformer.kva", "transformer.phases", f"transformer.{side}_volts"),
            f"transformer.nameplate_{side}_amperes",
        ),
        "The printed current does not agree with the kVA, phases and voltage. One of them was misread, and "
        "every limit depends on them.",
        _printed_current(side),
    )
    for side in SIDES
)
RISE_AND_REVERSE_FEED: tuple[Contradiction, ...] = (
    Contradiction(
        "rise_above_insulation_class",
        ("transformer.temperature_rise_celsius", "transformer.insulation_class_celsius"),
        "The temperature rise plus a 40 °C ambient is above the insulation class.",
        _hotter_than_its_insulation,
    ),
    Contradiction(
        "reverse_fed_at_the_higher_voltage",
        (
            "transformer.primary_volts",
            "transformer.secondary_volts",
            "observations.reverse_fed",
        ),
        "Reverse fed means supplied at the low-voltage side: then the primary voltage is the lower one.",
        _fed_at_its_higher_voltage,
    ),
)
THREE_PHASES_FROM_A_SINGLE_PHASE: tuple[Contradiction, ...] = (
    Contradiction(
        "three_phases_from_a_single_phase",
        ("transformer.phases", "primary.supply_system"),
        "A single-phase supply cannot feed a three-phase transformer.",
        _three_phases_from_a_single_phase,
    ),
)
VOLTS_TO_NEUTRAL = tuple(
    Contradiction(
        f"{side}_volts_to_neutral",
        (f"transformer.{side}_volts", f"transformer.{side}_system"),
        "This is the line-to-neutral voltage of a common three-phase wye. Enter the line-to-line voltage. If the "
        "nameplate gives this voltage as line to line, enter the current printed there too.",
        _line_to_neutral_entered(side),
    )
    for side in SIDES
)
