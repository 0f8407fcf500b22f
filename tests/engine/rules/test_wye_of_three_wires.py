"""A wye of three wires whose neutral is run all the same: it is held to what a wye of four wires is."""

import pytest

from tests.engine.checked import checked, found, verdict
from tests.engine.jobs import job, sound, two_runs, with_facts

ELECTRONIC = {
    "transformer__secondary_system": "wye_3_wire",
    "observations__nonlinear_load": True,
    "transformer__k_factor": 13,
}
WYES = ("wye_3_wire", "wye_4_wire")


@pytest.mark.parametrize("system", WYES)
def test_a_neutral_that_counts_takes_from_the_ampacity(system):
    # 310.15(E)(3) and Table 310.15(C)(1): four conductors, 0.8; 4/0 THWN-2 copper at 90 degrees 260 A, × 0.8 = 208 A
    facts = {
        **ELECTRONIC,
        "transformer__secondary_system": system,
        "secondary__grounded_conductor__current_carrying": True,
    }
    check = found("secondary_conductors", sound(), **facts)
    assert check.verdict == "does_not_meet"
    assert "208 A" in check.found
    # 250 kcmil: 290 A × 0.8 = 232 A
    value = checked(job(sound(), **facts)).values["secondary_conductor_minimum"]
    assert value.value == "250"


@pytest.mark.parametrize(
    ("present", "size", "counted", "expected"),
    # 310.15(E)(3): it counts where most of the load is nonlinear
    [
        (True, "4/0", False, "does_not_meet"),
        (True, "4/0", None, "cannot_tell"),
        (None, "4/0", False, "does_not_meet"),
        (True, None, True, "meets"),
        (None, None, False, "cannot_tell"),
        (False, None, None, "does_not_apply"),
    ],
)
def test_where_most_of_the_load_is_electronic_it_counts(present, size, counted, expected):
    facts = {
        **ELECTRONIC,
        "secondary__grounded_conductor__present": present,
        "secondary__grounded_conductor__size": size,
        "secondary__grounded_conductor__current_carrying": counted,
    }
    assert verdict("neutral_counted", sound(), **facts) == expected


def test_the_neutral_of_a_further_run_counts_in_that_run():
    data = with_facts(
        two_runs(),
        **ELECTRONIC,
        secondary__grounded_conductor__current_carrying=True,
        secondary__further_runs__0__observations__nonlinear_load=True,
        secondary__further_runs__0__grounded_conductor__current_carrying=False,
    )
    check = found("neutral_counted", data)
    assert check.verdict == "does_not_meet"


def test_no_part_of_an_electronic_load_is_left_out():
    # 220.61(C)(2)
    facts = {**ELECTRONIC, "secondary__neutral_load_amperes": 0}
    assert verdict("grounded_conductor_load", sound(), **facts) == "cannot_tell"


@pytest.mark.parametrize(
    ("present", "readings", "expected"),
    # ANSI C84.1 range A: 120 V within 5 %
    [
        (True, [140, 120, 95], "does_not_meet"),
        (True, [277, 277, 277], "does_not_meet"),
        (True, [120, 121, 120], "meets"),
        (True, None, "cannot_tell"),
        # the neutral point is there to be read at, wherever the wires go
        (False, [140, 120, 95], "does_not_meet"),
        (False, None, "does_not_apply"),
    ],
)
def test_readings_to_its_neutral(present, readings, expected):
    facts = {
        "transformer__secondary_system": "wye_3_wire",
        "secondary__grounded_conductor__present": present,
        "readings__line_to_line_volts": None,
        "readings__line_to_ground_volts": None,
        "readings__line_to_neutral_volts": readings,
    }
    assert verdict("line_to_neutral_reading", sound(), **facts) == expected


@pytest.mark.parametrize("system", WYES)
def test_a_neutral_smaller_than_its_phases_is_asked_about(system):
    facts = {
        **ELECTRONIC,
        "transformer__secondary_system": system,
        "secondary__grounded_conductor__size": "2/0",
    }
    asked = checked(job(sound(), **facts)).written_questions
    assert any("The neutral is" in question for question in asked)
