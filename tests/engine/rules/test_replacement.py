"""What a replacement changes, old nameplate against new."""

import pytest

from tests.engine.checked import checked, found, verdict
from tests.engine.jobs import job, nameplate, sound

OLD = "replacement__old__"


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({"primary_volts": 600}, "does_not_meet"),
        ({"secondary_volts": 240}, "does_not_meet"),
        ({"secondary_system": "delta_high_leg"}, "does_not_meet"),
        ({"secondary_system": None}, "cannot_tell"),
        ({"secondary_system": None, "primary_volts": 600}, "does_not_meet"),
        # a delta for a star, or the other way round, feeds the same loads and changes what neutral and faults do
        ({"primary_system": "wye_3_wire"}, "cannot_tell"),
        ({"primary_system": None}, "cannot_tell"),
        ({"primary_system": None, "secondary_volts": 240}, "does_not_meet"),
    ],
)
def test_voltages_and_connection_are_those_of_the_old_one(facts, expected):
    data = {f"{OLD}{name}": value for name, value in facts.items()}
    assert verdict("replacement_voltages", sound(), **data) == expected


@pytest.mark.parametrize(
    ("kva", "expected"),
    [(75, "meets"), (112.5, "does_not_meet"), (45, "cannot_tell"), (None, "cannot_tell")],
)
def test_another_kva_is_worked_through(kva, expected):
    assert verdict("replacement_capacity", sound(), replacement__old__kva=kva) == expected


@pytest.mark.parametrize(
    ("impedance", "expected"),
    # infinite bus: 75 kVA at 4.5 % now; a lower old impedance gave more before, a higher one less
    [(4.5, "meets"), (4.4, "meets"), (4.6, "cannot_tell"), (None, "cannot_tell")],
)
def test_a_higher_fault_current_asks_for_every_rating_downstream(impedance, expected):
    assert (
        verdict("replacement_fault_current", sound(), replacement__old__impedance_percent=impedance)
        == expected
    )


def test_more_kva_with_the_same_impedance_raises_the_fault_current():
    check = found("replacement_fault_current", sound(), replacement__old__kva=45)
    assert check.verdict == "cannot_tell"
    # More than the old unit gave is no conflict by itself: the equipment may bear it, and no one fact settles that.
    assert check.reason.startswith("Fault current higher than before") and not check.missing
    assert "2.78 kA before, 4.63 kA now" in check.found  # 45 kVA: 124.9 A / 4.5 %


@pytest.mark.parametrize(
    ("old", "expected"), [(True, "cannot_tell"), (False, "meets"), (None, "cannot_tell")]
)
def test_an_older_unit_may_have_had_less_inrush(old, expected):
    # IAEI Magazine, "High-efficiency transformers and the electrical distribution system" (2016)
    assert (
        verdict("replacement_inrush", sound(), replacement__old__made_before_2016=old) == expected
    )


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({"transformer__k_factor": 3.9}, "does_not_meet"),
        ({"transformer__k_factor": 13}, "meets"),
        ({"replacement__old__temperature_rise_celsius": 115}, "does_not_meet"),
        ({"transformer__temperature_rise_celsius": 115}, "meets"),
        ({"transformer__k_factor": None}, "cannot_tell"),
    ],
)
def test_harmonic_rating_and_rise_are_kept(facts, expected):
    assert verdict("replacement_k_factor", sound(), **facts) == expected


def test_the_old_one_is_reckoned_with_its_own_phases_and_volts():
    # own arithmetic: 75 kVA × 1000 / 208 V / 4.5 % = 8.01 kA single-phase, / (1.732 × 240 V) / 4.5 % = 4.01 kA
    single = found(
        "replacement_fault_current",
        sound(),
        **{
            f"{OLD}phases": 1,
            f"{OLD}primary_system": "single_phase_2_wire",
            f"{OLD}secondary_system": "single_phase_3_wire",
        },
    )
    assert "8.01 kA before" in single.found
    other = found("replacement_fault_current", sound(), **{f"{OLD}secondary_volts": 240})
    assert (other.verdict, other.found[:14]) == ("cannot_tell", "4.01 kA before")
    unknown = found("replacement_fault_current", sound(), **{f"{OLD}secondary_volts": None})
    assert unknown.missing == ["replacement.old.secondary_volts"]


def test_phases_that_were_not_read_are_those_of_the_connection_or_unknown():
    told = found("replacement_fault_current", sound(), **{f"{OLD}phases": None})
    assert (told.verdict, told.even_if) == ("meets", [])
    unknown = {f"{OLD}phases": None, f"{OLD}secondary_system": None}
    bounded = found("replacement_fault_current", sound(), **unknown)
    assert bounded.verdict == "meets" and "Old phases not known" in bounded.even_if[0]
    open_ = found(
        "replacement_fault_current", sound(), **unknown, replacement__old__impedance_percent=5
    )
    # 208.2 A / 5 % = 4.16 kA three-phase is less than 4.63 kA now, 360.6 A / 5 % = 7.21 kA single-phase is more
    assert (open_.verdict, open_.missing) == ("cannot_tell", ["replacement.old.phases"])


def test_another_number_of_phases_is_another_system():
    single = {f"{OLD}phases": 1, f"{OLD}primary_system": None, f"{OLD}secondary_system": None}
    check = found("replacement_voltages", sound(), **single)
    assert check.verdict == "does_not_meet"
    assert "Different number of phases" in check.reason


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # common practice, no source: a tap that the old unit stood on must be there again
        ({}, "meets"),
        ({"transformer__taps_above_percent": 7.5}, "meets"),
        ({"transformer__taps_above_percent": 2.5}, "does_not_meet"),
        ({"transformer__taps_below_percent": 5}, "does_not_meet"),
        ({f"{OLD}taps_below_percent": 5}, "meets"),
        ({f"{OLD}taps_above_percent": 0, "transformer__taps_above_percent": 0}, "meets"),
        ({f"{OLD}taps_above_percent": None}, "cannot_tell"),
        ({"transformer__taps_below_percent": None}, "cannot_tell"),
        (
            {"transformer__taps_below_percent": None, "transformer__taps_above_percent": 0},
            "does_not_meet",
        ),
    ],
)
def test_the_taps_reach_as_far_as_the_old_ones(facts, expected):
    check = found("replacement_tap_range", sound(), **facts)
    assert (check.verdict, check.severity) == (expected, "advice")


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # common practice, no source; that a weather shield is an addition to a ventilated case, which makes it 3R:
        # forums.mikeholt.com thread 13758
        ("ventilated", "ventilated", "meets"),
        ("open", "ventilated", "meets"),
        ("ventilated", "ventilated_with_weather_shield", "meets"),
        ("ventilated", "encapsulated", "meets"),
        ("ventilated", "open", "does_not_meet"),
        ("ventilated_with_weather_shield", "ventilated", "does_not_meet"),
        ("totally_enclosed", "ventilated", "does_not_meet"),
        ("encapsulated", "ventilated_with_weather_shield", "does_not_meet"),
        ("ventilated_with_weather_shield", "totally_enclosed", "cannot_tell"),
        ("encapsulated", "totally_enclosed", "cannot_tell"),
        (None, "encapsulated", "cannot_tell"),
        ("open", None, "cannot_tell"),
    ],
)
def test_the_case_is_not_more_open_than_the_old_one(old, new, expected):
    facts = {f"{OLD}enclosure": old, "transformer__enclosure": new}
    check = found("replacement_enclosure", sound(), **facts)
    assert (check.verdict, check.severity) == (expected, "advice")


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    # common practice, no source: a support is known to bear what it bore, and no more
    [
        (640, 640, "meets"),
        (640, 600, "meets"),
        (640, 640.5, "cannot_tell"),
        (None, 600, "cannot_tell"),
        (640, None, "cannot_tell"),
    ],
)
def test_a_heavier_one_asks_for_its_support(old, new, expected):
    facts = {f"{OLD}weight_pounds": old, "transformer__weight_pounds": new}
    check = found("replacement_weight", sound(), **facts)
    assert (check.verdict, check.severity) == (expected, "advice")
    assert ("Heavier by 0.5 lb" in check.reason) == (new == 640.5)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 110.26(A): depth, width and height of the working space; 450.9: the clearance marked. From memory.
        ({}, "meets"),
        ({"transformer__depth_inches": 22.5}, "meets"),
        (
            {"transformer__depth_inches": 22.5, "observations__working_space_clear": False},
            "does_not_meet",
        ),
        (
            {"transformer__width_inches": 29, "observations__ventilation_clear": False},
            "does_not_meet",
        ),
        (
            {"transformer__width_inches": 29, "observations__ventilation_clear": None},
            "cannot_tell",
        ),
        ({"observations__working_space_clear": None}, "meets"),
        ({"transformer__height_inches": None}, "cannot_tell"),
        ({f"{OLD}depth_inches": None}, "cannot_tell"),
    ],
)
def test_a_larger_one_leaves_working_space_and_vents_clear(facts, expected):
    check = found("replacement_size", sound(), **facts)
    assert (check.verdict, check.severity) == (expected, "advice")


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 110.14(C): the lowest-rated terminal of the circuit governs. EC&M, "Electrical connections", article 21274530
        ({}, "meets"),
        ({"transformer__primary_terminal_celsius": 60}, "does_not_meet"),
        ({"transformer__secondary_terminal_celsius": 60}, "does_not_meet"),
        ({"transformer__secondary_terminal_celsius": 90}, "meets"),
        # 110.14(C)(1): lugs marked 90 °C are used at 75 °C
        ({"secondary__conductors__termination_celsius": 90}, "meets"),
        ({"transformer__secondary_terminal_celsius": None}, "cannot_tell"),
        # whatever the lugs are marked, no column above 75 °C is used
        ({"primary__conductors__termination_celsius": None}, "meets"),
        (
            {
                "transformer__primary_terminal_celsius": 60,
                "primary__conductors__termination_celsius": None,
            },
            "cannot_tell",
        ),
        (
            {
                "transformer__primary_terminal_celsius": 60,
                "primary__conductors__termination_celsius": 60,
            },
            "meets",
        ),
        # above 1000 V the primary conductors are not judged by this tool
        (
            {"transformer__primary_volts": 4160, "transformer__primary_terminal_celsius": 60},
            "meets",
        ),
    ],
)
def test_kept_conductors_are_judged_no_hotter_than_the_new_terminals(facts, expected):
    check = found("replacement_terminals", sound(), **facts)
    assert (check.verdict, check.severity) == (expected, "violation")


def test_conductors_judged_at_60_hold_on_terminals_that_nobody_read():
    check = found(
        "replacement_terminals",
        sound(),
        transformer__primary_terminal_celsius=None,
        primary__conductors__termination_celsius=60,
    )
    assert check.verdict == "meets"
    assert "Primary terminals (H) not known" in check.even_if[0]


@pytest.mark.parametrize(
    ("id_", "fact"),
    [
        ("replacement_isolation", "isolated_both_sides"),
        ("replacement_taps", "taps_alike_on_all_phases"),
        ("replacement_frequency", "frequency_matches"),
        ("replacement_bonds", "bonds_refitted"),
    ],
)
def test_what_must_have_been_done(id_, fact):
    for answer, expected in ((True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")):
        assert verdict(id_, sound(), **{f"replacement__{fact}": answer}) == expected


def test_only_a_replacement_looks_at_these():
    asked = {c.id: c.asked for c in checked(job(nameplate(75, 3, 480, 208))).checks}
    assert not any(looked for id_, looked in asked.items() if id_.startswith("replacement_"))
    asked = {
        c.id: c.asked
        for c in checked(job(nameplate(75, 3, 480, 208, purpose="replacement"))).checks
    }
    assert all(looked for id_, looked in asked.items() if id_.startswith("replacement_"))


def test_a_bond_that_was_not_found_is_not_back_on_anyones_word():
    # 250.30(A)(1) and (2): who says that all is back may be wrong
    def bonds(**facts):
        return found("replacement_bonds", sound(), replacement__bonds_refitted=True, **facts)

    assert bonds().verdict == "meets"
    for facts in (
        {"bonding__system_bonding_jumper__location": "none"},
        {
            "bonding__supply_side_bonding_jumper__kind": "none",
            "secondary__raceway__type": "PVC40",
        },
        {"electrode__used": "none"},
    ):
        check = bonds(**facts)
        assert (check.verdict, check.severity) == ("does_not_meet", "danger"), facts
        assert "but no" in check.reason
    assert bonds(bonding__system_bonding_jumper__location=None).verdict == "cannot_tell"
