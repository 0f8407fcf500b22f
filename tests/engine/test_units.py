"""Units through pint, a general library for quantities: every formula keeps its dimensions, every display its factor."""

import pint
import pytest

from engine.evaluation.evaluate import evaluate
from engine.physics.fault_current import (
    fault_current_through,
    source_impedance,
    transformer_fault_current,
)
from engine.physics.full_load_current import full_load_current
from engine.physics.raceway_fill import fill_percent
from engine.physics.voltage_drop import voltage_drop
from engine.wizard.questions import catalogue
from tests.engine.jobs import BUILDERS, job

UNITS = pint.UnitRegistry()
Q = UNITS.Quantity
# What the tool writes, as pint reads it.
AS_PINT = {
    "°C": "degC",
    "°F": "degF",
    "%Z": "percent",
    "%": "percent",
    "in.": "inch",
    "×": "",
    "": "",
    "in2": "inch**2",
    "megohm": "megaohm",
}
NO_AMOUNT = ("AWG or kcmil", "trade size")
UNITS.define("kcmil = 1000 * circular_mil")


def test_full_load_current_has_the_dimension_of_a_current() -> None:
    expected = Q(75, "kilovolt_ampere") / (Q(480, "volt") * 3**0.5)
    assert full_load_current(kva=75, volts=480, phases=3) == pytest.approx(
        expected.to("ampere").magnitude
    )
    single = Q(25, "kilovolt_ampere") / Q(480, "volt")
    assert full_load_current(kva=25, volts=480, phases=1) == pytest.approx(
        single.to("ampere").magnitude
    )


def test_fault_current_has_the_dimension_of_a_current() -> None:
    expected = Q(208.2, "ampere") / Q(5, "percent")
    ours = transformer_fault_current(full_load_amperes=208.2, impedance_percent=5)
    assert ours == pytest.approx(expected.to("ampere").magnitude)
    ohms = Q(480, "volt") / 3**0.5 / Q(20, "kiloampere")
    assert source_impedance(volts=480, fault_amperes=20000, phases=3) == pytest.approx(
        ohms.to("ohm").magnitude
    )
    amperes = Q(208, "volt") / 3**0.5 / Q(0.01, "ohm")
    through = fault_current_through(
        volts=208, phases=3, resistance_ohms=0.006, reactance_ohms=0.008
    )
    assert through == pytest.approx(amperes.to("ampere").magnitude)


def test_voltage_drop_has_the_dimension_of_a_voltage() -> None:
    expected = 3**0.5 * Q(100, "ampere") * Q(0.2, "ohm") / Q(1000, "foot") * Q(150, "foot")
    ours = voltage_drop(amperes=100, length_feet=150, ohms_per_1000_feet=0.2, phases=3)
    assert ours == pytest.approx(expected.to("volt").magnitude)
    single = 2 * Q(16, "ampere") * Q(1.2, "ohm") / Q(1000, "foot") * Q(50, "foot") / 2
    half = voltage_drop(amperes=16, length_feet=50, ohms_per_1000_feet=1.2, phases=1, sets=2)
    assert half == pytest.approx(single.to("volt").magnitude)


def test_fill_has_no_dimension() -> None:
    share = (Q(1, "inch**2") / Q(4, "inch**2")).to("percent").magnitude
    assert fill_percent(conductors_area=1, raceway_area=4) == pytest.approx(share)


@pytest.mark.parametrize(
    "question", [q for q in catalogue() if q["metric"]], ids=lambda q: q["path"]
)
def test_the_metric_display_is_pints_conversion(question) -> None:
    metric = question["metric"]
    for value in (0.0, 10.0, 30.0, 100.0):
        shown = value * metric["per_unit"] + metric.get("offset", 0)
        own, other = (AS_PINT.get(u, u) for u in (question["unit"], metric["unit"]))
        assert shown == pytest.approx(Q(value, own).to(other).magnitude, abs=1e-9)


@pytest.mark.parametrize("unit", sorted({q["unit"] for q in catalogue() if q["unit"]}))
def test_every_unit_of_a_question_is_a_unit(unit: str) -> None:
    UNITS.parse_units(AS_PINT.get(unit, unit))


# What each value is, as a dimension.
DIMENSION = {
    "A": "[current]",
    "%": "",
    "kcmil": "[length] ** 2",
    "ohm": "[resistance]",
    "V": "[electric_potential]",
}


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_every_value_carries_a_unit_that_is_one(name: str) -> None:
    for id_, value in evaluate(job(BUILDERS[name]()), compare_editions=False).values.items():
        if value.unit in NO_AMOUNT:
            assert isinstance(value.value, str), id_
            continue
        assert isinstance(value.value, float), id_
        unit = UNITS.parse_units(AS_PINT.get(value.unit, value.unit))
        assert UNITS.get_dimensionality(unit) == UNITS.get_dimensionality(DIMENSION[value.unit]), (
            id_
        )


def test_circular_mils_are_areas() -> None:
    # 500 kcmil is a solid circle of √500000 mil diameter, 0.3927 in² (definition of the circular mil)
    assert Q(500, "kcmil").to("inch**2").magnitude == pytest.approx(0.3927, rel=1e-3)
