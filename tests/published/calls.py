"""What an example may ask of the engine below a whole job: one table, or one formula."""

from collections.abc import Callable
from typing import Any, Literal

from engine.code import SIZES, Code
from engine.physics.fault_current import (
    fault_current_through,
    source_impedance,
    transformer_fault_current,
)
from engine.physics.full_load_current import full_load_current
from engine.physics.raceway_fill import fill_percent, number_that_fits, total_area
from engine.physics.voltage_drop import effective_impedance, voltage_drop

Kind = Literal["breaker", "fuse"]
Side = Literal["primary", "secondary_over_1000", "secondary_1000_or_less"]
Conduit = Literal["PVC", "Al", "steel"]
Answer = float | int | str | None


def _known(amount: float | None) -> float:
    """What the tables hold, and fail the example where they do not."""
    assert amount is not None
    return amount


def _smallest_size_for(code: Code, *, amperes: float, material: str, column: int) -> Answer:
    return next(size for size in SIZES if (code.ampacity(size, material, column) or 0) >= amperes)


def _area(code: Code, conductors: list[list[Any]]) -> float:
    return total_area(
        (count, code.conductor_area(size, insulation) or 0)
        for count, size, insulation in conductors
    )


def _allowed_percent(code: Code, count: int, nipple: bool) -> float:
    return code.nipple_fill_percent if nipple else code.fill_percent(count)


def _raceway_minimum(code: Code, *, type: str, conductors: list[list[Any]], nipple: bool) -> Answer:
    allowed = _allowed_percent(code, sum(count for count, _, _ in conductors), nipple)
    for trade_size in code.raceway_trade_sizes(type):
        area = code.raceway_area(type, trade_size)
        if (
            area
            and fill_percent(conductors_area=_area(code, conductors), raceway_area=area) <= allowed
        ):
            return trade_size
    return None


def _number_that_fits(
    code: Code, *, type: str, trade_size: str, size: str, insulation: str, nipple: bool
) -> Answer:
    return number_that_fits(
        raceway_area=_known(code.raceway_area(type, trade_size)),
        percent=_allowed_percent(code, 3, nipple),
        conductor_area=_known(code.conductor_area(size, insulation)),
        round_up_decimal=code.fill_round_up_decimal,
    )


def _effective_impedance_of(
    code: Code, *, size: str, material: str, conduit: Conduit, power_factor: float
) -> Answer:
    found = code.ac_impedance(size, material, conduit)
    assert found is not None
    resistance, reactance = found
    return effective_impedance(
        resistance=resistance, reactance=reactance, power_factor=power_factor
    )


def _percent_over_1000(
    code: Code,
    *,
    supervised: bool,
    impedance_percent: float,
    side: Side,
    kind: Kind,
    secondary_protection: bool,
) -> Answer:
    found = code.transformer_protection_percent_over_1000(
        "supervised" if supervised else "any",
        "primary_and_secondary" if secondary_protection else "primary_only",
        impedance_percent,
        kind,
        side,
    )
    assert found is not None
    return found.percent


def _fault_current_with_source(
    code: Code,
    *,
    kva: float,
    phases: int,
    primary_volts: float,
    secondary_volts: float,
    impedance_percent: float,
    source_fault_amperes: float,
) -> Answer:
    full_load = full_load_current(kva=kva, volts=secondary_volts, phases=phases)
    behind_it = transformer_fault_current(
        full_load_amperes=full_load, impedance_percent=impedance_percent
    )
    seen = source_fault_amperes * primary_volts / secondary_volts
    own = source_impedance(volts=secondary_volts, fault_amperes=behind_it, phases=phases)
    upstream = source_impedance(volts=secondary_volts, fault_amperes=seen, phases=phases)
    return fault_current_through(
        volts=secondary_volts, phases=phases, resistance_ohms=0, reactance_ohms=own + upstream
    )


def _ac_resistance(code: Code, *, size: str, material: str, conduit: Conduit) -> Answer:
    found = code.ac_impedance(size, material, conduit)
    return found and found[0]


def _equipment_grounding(code: Code, *, rating: float, material: str) -> Answer:
    return code.equipment_grounding(rating, material)


def _parallel_minimum_size(code: Code) -> Answer:
    return code.parallel_minimum_size


def _formula(formula: Callable[..., float]) -> Callable[..., Answer]:
    """A formula that no edition changes."""

    def call(_: Code, **given: Any) -> Answer:
        return formula(**given)

    return call


CALLS: dict[str, Callable[..., Answer]] = {
    "ampacity": Code.ampacity,
    "ambient_factor": Code.ambient_factor,
    "adjustment_factor": Code.adjustment_factor,
    "smallest_size_for": _smallest_size_for,
    "next_standard_rating": Code.next_standard_rating,
    "grounding_electrode_conductor": Code.grounding_electrode_conductor,
    "common_grounding_electrode_conductor": Code.common_grounding_electrode_conductor,
    "equipment_grounding": _equipment_grounding,
    "parallel_minimum_size": _parallel_minimum_size,
    "area_kcmil": Code.area_kcmil,
    "conductor_area": Code.conductor_area,
    "total_area": _area,
    "raceway_minimum": _raceway_minimum,
    "number_that_fits": _number_that_fits,
    "ac_resistance": _ac_resistance,
    "dc_resistance": Code.dc_resistance,
    "effective_impedance_of": _effective_impedance_of,
    "protection_percent_over_1000": _percent_over_1000,
    "full_load_current": _formula(full_load_current),
    "effective_impedance": _formula(effective_impedance),
    "voltage_drop": _formula(voltage_drop),
    "transformer_fault_current": _formula(transformer_fault_current),
    "fault_current_with_source": _fault_current_with_source,
    "fault_current_through": _formula(fault_current_through),
}
