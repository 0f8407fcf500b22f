"""Sizes at the ends of their tables, in the other metal and on systems of other kinds, and the words beside them."""

import pytest

from engine.code import code_for
from engine.derived import (
    bonding_jumpers,
    conductor_ampacity,
    currents,
    electrode_conductors,
    equipment_grounding,
    faults,
    grounded_conductors,
    raceways,
)
from engine.job.missing import Missing
from engine.job.site import Site
from engine.rules import interrupting_ratings, secondary_rule
from tests.engine.checked import checked, found, verdict
from tests.engine.jobs import (
    job,
    nameplate,
    parallel,
    single_phase,
    sound,
    ungrounded_delta,
    with_facts,
)


def _site(data, edition=2023, **facts):
    return Site(job(data, **facts), code_for(edition))


def _phases(size, sets=1, material="copper", **facts):
    """A job whose secondary conductors are known, each set in a raceway of its own."""
    return with_facts(
        nameplate(75, 3, 480, 208, transformer__secondary_system="wye_4_wire"),
        secondary__conductors__size=size,
        secondary__conductors__sets=sets,
        secondary__conductors__raceways=sets,
        secondary__conductors__material=material,
        **facts,
    )


# --- Table 250.102(C)(1) --------------------------------------------------------------------------------------------


def test_beyond_the_table_both_metals_are_said_with_an_eighth_of_their_own_area():
    # 3 × 500 kcmil copper: 12.5 % of 1500 = 187.5 kcmil. Note 2, aluminum that would carry 380 A (Table 310.16): 750 kcmil
    # (385 A), 12.5 % of 2250 = 281.25 kcmil
    minimum = bonding_jumpers.system_bonding_jumper_minimum(_site(_phases("500", 3)))
    assert [(each.metal, each.shown) for each in minimum.alternatives] == [
        ("copper", "187.5 kcmil"),
        ("aluminum", "281.2 kcmil"),
    ]
    assert "In aluminum: 281.2 kcmil." in minimum.steps
    assert not any(step.startswith("In copper") for step in minimum.steps)


def test_in_the_table_the_other_metal_is_said_too():
    # Table 250.102(C)(1), over 3/0 to 350 kcmil copper: 2 AWG copper or 1/0 AWG aluminum
    steps = bonding_jumpers.system_bonding_jumper_minimum(_site(_phases("4/0"))).steps
    assert steps[0] == "Largest derived ungrounded conductor: 4/0 AWG"
    assert "In aluminum: 1/0 AWG." in steps
    assert not any(step.startswith("In copper") for step in steps)
    # two sets: 2 × 105.6 = 211.2 kcmil (Chapter 9, Table 8)
    twice = bonding_jumpers.system_bonding_jumper_minimum(_site(_phases("1/0", 2))).steps
    assert twice[0] == "Derived ungrounded conductors: 2 × 1/0 AWG = 211.2 kcmil in total"


def test_the_electrode_conductor_names_the_other_metal_once_and_no_limit_among_the_metals():
    # Table 250.66, over 3/0 to 350 kcmil copper: 2 AWG copper or 1/0 AWG aluminum
    data = _phases("4/0", electrode__used="building_steel")
    minimum = electrode_conductors.grounding_electrode_conductor_minimum(_site(data))
    assert [step for step in minimum.steps if step.startswith("In ")] == ["In aluminum: 1/0 AWG."]
    assert minimum.steps[-1].startswith("To building steel: the size of the table")
    none = electrode_conductors.grounding_electrode_conductor_minimum(
        _site(data, electrode__used="none")
    )
    assert not any(step.startswith("To ") for step in none.steps)


def test_where_no_size_of_the_other_metal_carries_as_much_the_area_grows_with_what_is_missing():
    # Table 310.16 at 75 °C, 2000 kcmil: copper 665 A, aluminum 560 A. Note 2 of Table 250.102(C)(1), two sets of
    # copper with an aluminum jumper: 2 × 2000 × 665 / 560 = 4750 kcmil, 12.5 % of it = 594 kcmil
    data = _phases("2000", 2, bonding__system_bonding_jumper__material="aluminum")
    minimum = bonding_jumpers.system_bonding_jumper_minimum(_site(data))
    copper, aluminum = (_site(data).code.ampacity("2000", m, 75) for m in ("copper", "aluminum"))
    assert (copper, aluminum) == (665, 560)
    assert minimum.value == pytest.approx(0.125 * 2 * 2000 * 665 / 560)


def test_an_ungrounded_system_has_no_jumper_unless_the_code_asks_for_it_to_be_grounded():
    # 250.20(B)(1): what can be grounded at 150 V to ground or less must be; a delta of 480 V need not be
    known = {
        "secondary__conductors__size": "4/0",
        "secondary__conductors__sets": 1,
        "secondary__conductors__material": "copper",
    }
    data = with_facts(ungrounded_delta(), **known)
    assert bonding_jumpers.system_bonding_jumper_minimum(_site(data)) is None
    assert grounded_conductors.grounded_conductor_minimum(_site(data)) is None
    low = with_facts(data, transformer__secondary_volts=120)
    assert bonding_jumpers.system_bonding_jumper_minimum(_site(low)).size == "2"
    wye = with_facts(data, transformer__secondary_system="wye_4_wire")
    assert bonding_jumpers.system_bonding_jumper_minimum(_site(wye)).size == "2"


# --- limits of electrodes, only where they matter -------------------------------------------------------------------


def test_the_limit_of_a_rod_is_nothing_to_ask_about_where_the_table_asks_no_more():
    # Table 250.66: 1 or 1/0 AWG copper, 6 AWG; 250.66(A): no larger than 6 AWG to a rod
    data = _phases("1/0", electrode__used="rod", electrode__sole_connection=None)
    minimum = electrode_conductors.grounding_electrode_conductor_minimum(_site(data))
    assert minimum.size == "6"
    assert not any(
        each.metal == "copper" and "rod" in each.condition for each in minimum.alternatives
    )


def test_the_size_of_a_ring_is_nothing_to_ask_about_where_the_table_asks_for_no_more_than_the_least_ring():
    # 250.52(A)(4): a ring is 2 AWG or larger; Table 250.66, over 3/0 to 350 kcmil: 2 AWG
    data = _phases("4/0", electrode__used="ring", electrode__ring_size=None)
    assert electrode_conductors.grounding_electrode_conductor_minimum(_site(data)).size == "2"


# --- equipment grounding conductor ----------------------------------------------------------------------------------


def test_the_equipment_grounding_conductor_says_the_other_metal_and_no_increase_where_there_is_none():
    # Table 250.122, 125 A device: 6 AWG copper or 4 AWG aluminum. 1 AWG copper (130 A, Table 310.16) is the smallest
    # whose ampacity reaches 125 A without rounding up
    data = with_facts(sound(), primary__device__rating=125, primary__conductors__size="1")
    minimum = equipment_grounding.primary_equipment_grounding_minimum(_site(data))
    assert minimum.size == "6"
    assert "6 AWG copper (in aluminum: 4 AWG)" in minimum.steps[0]
    assert not any("increased in proportion" in step for step in minimum.steps)
    assert any(step.startswith("Not counted as increased") for step in minimum.steps)
    assert not any("parallel raceway" in step for step in minimum.steps)


@pytest.mark.parametrize("edition", [2023, 2026])
def test_in_parallel_raceways_each_has_the_whole_equipment_grounding_conductor(edition):
    # Table 250.122, 800 A: 1/0 AWG copper in each (250.122(F)(1)); below the phases there, so nothing limits it
    data = with_facts(
        parallel(),
        edition=edition,
        primary__device__rating=800,
        primary__conductors__size="500",
        primary__conductors__sets=2,
        primary__conductors__raceways=2,
        primary__conductors__current_carrying=3,
    )
    minimum = equipment_grounding.primary_equipment_grounding_minimum(_site(data, edition))
    assert any(step.startswith("Full size in each parallel raceway") for step in minimum.steps)
    assert minimum.size == "1/0"


# --- Table 450.3(A) -------------------------------------------------------------------------------------------------


def test_above_1000_volts_a_primary_device_alone_needs_supervision_and_no_impedance():
    # Table 450.3(A): primary protection only is for supervised locations; its percentages hold at any impedance
    high = nameplate(
        500, 3, 4160, 480, primary__device__kind=None, transformer__impedance_percent=None
    )
    plain = _site(high, transformer__supervised=False)
    assert currents.primary_device_maximum(plain) is None
    watched = _site(high, transformer__supervised=True, primary__device__kind="fuse")
    # 500 kVA / (1.732 × 4160 V) = 69.4 A × 250 %
    assert currents.primary_device_maximum(watched).amount >= 173.4


# --- steps of faults and voltage drop -------------------------------------------------------------------------------


@pytest.mark.parametrize(("phases", "words"), [(3, "1.732 ×"), (1, " 2 ×")])
def test_the_voltage_drop_says_its_multiplier(phases, words):
    # 1.732 for three phases, 2 for a single phase, there and back
    data = with_facts(
        nameplate(50, phases, 480, 240),
        secondary__conductors__size="4/0",
        secondary__conductors__sets=1,
        secondary__conductors__material="copper",
        secondary__conductors__length_feet=50,
        secondary__raceway__type="EMT",
        secondary__load__continuous_amperes=80,
        secondary__load__noncontinuous_amperes=20,
        secondary__load__power_factor=0.9,
    )
    steps = faults.secondary_voltage_drop(_site(data)).steps
    assert any(words in f" {step}" for step in steps)


def test_the_usual_fault_current_runs_from_the_highest_impedance_to_the_lowest():
    # from memory, the usual range of the size; 208.2 A / z (infinite bus), 3 % to 6 %
    site = _site(nameplate(75, 3, 480, 208))
    least, most = site.code.normal_impedance_range(3, 75)
    words = faults._usual_fault(site, 208.2)
    low, high = (208.2 / z * 100 / 1000 for z in (most, least))
    assert low < high
    assert f"usual {least:g} % to {most:g} %" in words
    assert f"{low:.2f} kA to {high:.2f} kA" in words


def test_conductors_without_a_row_for_alternating_current_go_by_resistance_alone():
    # Chapter 9, Table 9 ends at 1000 kcmil; Table 8, 1250 kcmil copper: 0.0106 ohm per 1000 ft at 75 °C
    data = with_facts(
        sound(), secondary__conductors__size="1250", secondary__conductors__material="copper"
    )
    resistance, reactance, _ = faults._conductor_impedance(_site(data), faults.SECONDARY)
    assert (resistance, reactance) == (pytest.approx(0.01033, rel=0.05), 0)


# --- what a raceway holds -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("phases", "system", "open_", "number"),
    [
        (3, "delta_3_wire", None, 3),
        (3, "wye_3_wire", None, 3),
        (3, "wye_4_wire", False, 4),
        (3, "wye_4_wire", True, 3),
        (1, "single_phase_2_wire", None, 2),
        (1, "single_phase_3_wire", False, 3),
        (1, "single_phase_3_wire", True, 2),
    ],
)
def test_a_primary_raceway_holds_the_conductors_of_its_system(phases, system, open_, number):
    # Chapter 9, Table 1: every conductor counts, and none is run to a neutral point that is left open
    data = with_facts(
        nameplate(50, phases, 480, 240),
        transformer__primary_system=system,
        observations__supplied_neutral_open=open_,
        primary__conductors__size="1",
        primary__conductors__insulation="THWN-2",
        primary__conductors__sets=1,
        primary__equipment_grounding__kind="raceway",
    )
    (content,) = raceways.primary_contents(_site(data))
    assert content.number == number


def test_one_set_has_one_grounded_conductor_where_nobody_counted_them():
    site = _site(sound(), secondary__conductors__sets=1, secondary__grounded_conductor__sets=None)
    assert [c.number for c in raceways.secondary_contents(site)][:2] == [3, 1]


def test_a_value_that_is_no_limit_between_ratings_is_shown_plainly():
    # 75 kVA, 480 V: 90.2 A
    assert (
        checked(job(nameplate(75, 3, 480, 208))).values["full_load_current_primary"].shown
        == "90.2 A"
    )


@pytest.mark.parametrize(
    ("used", "available", "expected", "remedy"),
    [
        ("building_steel", ["building_steel"], "meets", ""),
        ("water_pipe", ["water_pipe"], "meets", ""),
        ("rod", ["rod"], "meets", ""),
        ("rod", ["rod", "building_steel"], "does_not_meet", "Connect to building steel."),
        (
            "rod",
            ["rod", "building_steel", "water_pipe"],
            "does_not_meet",
            "Connect to the nearer of building steel and metal water pipe.",
        ),
    ],
)
def test_in_2014_steel_or_water_pipe_is_the_electrode_where_there_is_one(
    used, available, expected, remedy
):
    # 250.30(A)(4) of 2014: the nearest of the two; other electrodes only where neither is available
    check = checked(
        job(
            sound(),
            edition=2014,
            electrode__used=used,
            electrode__available=available,
        )
    )
    (line,) = (each for each in check.checks if each.id == "grounding_electrode")
    assert line.verdict == expected
    assert line.remedy == remedy


def test_a_rating_just_below_a_fault_current_is_below_it():
    # 110.9 and 110.10: not less than the available fault current; infinite bus: rated current / impedance
    known = nameplate(
        75,
        3,
        480,
        208,
        transformer__impedance_percent=3,
        transformer__impedance_tested=True,
        transformer__secondary_system="wye_4_wire",
    )
    site = _site(known)
    ceiling = faults.secondary_fault_current(site).amount / 1000
    assert interrupting_ratings._against_fault(site, ceiling, "It").verdict == "meets"
    with pytest.raises(Missing) as open_:
        interrupting_ratings._against_fault(site, ceiling * 0.9995, "It")
    assert open_.value.path == "primary.source_fault_kiloamperes"
    with pytest.raises(Missing) as open_:
        interrupting_ratings._against_fault(site, 5, "It")
    assert open_.value.found == "5.00 kA"
    behind = _site(sound(), transformer__impedance_percent=3, primary__source_fault_kiloamperes=10)
    most = faults.secondary_fault_current_at_most(behind).amount / 1000
    least = faults.secondary_fault_current_at_least(behind).amount / 1000
    assert least < most < ceiling
    for rating, expected in (
        (most, "meets"),
        (most * 0.9995, "cannot_tell"),
        (least, "cannot_tell"),
        (least * 0.9995, "does_not_meet"),
    ):
        assert interrupting_ratings._against_fault(behind, rating, "It").verdict == expected


def test_the_limit_of_small_conductors_is_for_devices_and_not_for_the_rated_current():
    # 240.21(C)(3)(1): ampacity not below the rated secondary current. 7.9 kVA, 208 V: 21.9 A; 12 AWG copper at 75 °C:
    # 25 A (Table 310.16), protected at 20 A at most (240.4(D))
    site = _site(
        sound(),
        transformer__kva=7.9,
        secondary__rule="industrial_25_ft",
        secondary__conductors__size="12",
    )
    assert secondary_rule._rated_current(site).verdict == "meets"
    assert conductor_ampacity.secondary_protectable_ampacity(site).amount == 20


def test_to_a_center_tap_a_rating_needs_more_and_just_below_that_it_is_not_enough():
    # common practice: from one line to the center tap up to 1.67 times the current from line to line
    one = nameplate(
        50,
        1,
        480,
        240,
        transformer__impedance_percent=3,
        transformer__impedance_tested=True,
        transformer__secondary_system="single_phase_3_wire",
    )
    site = _site(one)
    ceiling = faults.secondary_fault_current(site).amount / 1000
    for rating, expected in (
        (1.67 * ceiling, "meets"),
        (1.67 * ceiling * 0.9995, "cannot_tell"),
        (ceiling, "cannot_tell"),
    ):
        assert interrupting_ratings._against_fault(site, rating, "It").verdict == expected
    assert interrupting_ratings._against_fault(site, 10, "It").found == "10.00 kA"
    behind = _site(
        single_phase(), transformer__impedance_percent=3, primary__source_fault_kiloamperes=10
    )
    most = faults.secondary_fault_current_at_most(behind).amount / 1000
    ceiling = faults.secondary_fault_current(behind).amount / 1000
    assert most < ceiling
    assert interrupting_ratings._against_fault(behind, most, "It").verdict == "cannot_tell"


# --- 450.3(B) -------------------------------------------------------------------------------------------------------

TOO_LARGE = {"primary__device__rating": 600, "transformer__coordinated_thermal_protection": False}


def test_a_primary_device_is_held_against_both_rows_of_the_table_in_words_and_steps():
    # Table 450.3(B), 90.2 A: 125 % rounded up to 125 A (note 1, 240.6(A)); 250 % = 225.5 A
    check = found("primary_device", sound(), **TOO_LARGE)
    assert check.verdict == "does_not_meet"
    assert check.required == "at most 125 A alone, at most 225.5 A with secondary protection"
    assert any("× 250 % = 225.5 A" in step for step in check.steps)
    assert check.section.startswith("Table 450.3(B)")
    high = nameplate(
        500,
        3,
        4160,
        480,
        transformer__supervised=False,
        transformer__impedance_percent=5,
        primary__device__kind="fuse",
        primary__device__rating=1000,
        transformer__coordinated_thermal_protection=False,
    )
    assert found("primary_device", high).section.startswith("Table 450.3(A)")


def test_one_device_on_record_does_not_stand_for_a_group():
    # note 2 of Table 450.3(B): the ratings of all count together; one alone is no group
    data = with_facts(
        sound(),
        primary__device__rating=225,
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[225],
    )
    assert verdict("primary_device", data) == "cannot_tell"
    assert verdict("primary_device", data, secondary__protection__ratings=[]) != "meets"


def test_thermal_protection_has_an_end_whatever_stands_on_the_secondary():
    # note 3 of Table 450.3(B), from memory: 600 % of 90.2 A = 541.3 A up to 6 % impedance
    data = with_facts(
        sound(),
        transformer__coordinated_thermal_protection=True,
        transformer__impedance_percent=5,
        secondary__protection__kind="main_lugs_only",
    )
    over = found("primary_device", data, primary__device__rating=600)
    assert over.verdict == "does_not_meet"
    assert any("× 600 %" in step for step in over.steps)
    assert verdict("primary_device", data, primary__device__rating=500) == "cannot_tell"


def test_a_load_above_the_device_fails_without_asking_how_it_is_rated():
    # 215.3: a device rated for 100 % carries at most its rating
    check = found(
        "secondary_load",
        sound(),
        secondary__protection__rating=150,
        secondary__protection__continuous_percent=None,
        secondary__load__continuous_amperes=100,
        secondary__load__noncontinuous_amperes=60,
    )
    assert (check.verdict, check.even_if) == ("does_not_meet", [])
    assert "whole rating" not in check.remedy


# --- 450.13(B), 450.22 ----------------------------------------------------------------------------------------------


def test_in_a_hollow_space_the_size_alone_can_fail():
    # 450.13(B): not over 50 kVA, of a dry type
    above = with_facts(sound(), observations__above_ceiling=True, transformer__construction=None)
    assert verdict("hollow_space", above, transformer__kva=75) == "does_not_meet"
    assert verdict("hollow_space", above, transformer__kva=45) == "cannot_tell"


def test_a_liquid_filled_unit_outdoors_is_outside_of_this_tool_and_never_passes():
    # 450.22 is about dry types; 450.27 asks other things of oil
    wet = with_facts(
        sound(),
        transformer__construction="liquid",
        transformer__location="outdoors",
        observations__weatherproof_enclosure=False,
    )
    assert verdict("dry_type_outdoors", wet) == "cannot_tell"
