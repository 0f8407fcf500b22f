"""Values by hand arithmetic, each from the published cell that its line names.

Ampacities: Table 310.16 (2018 IRC Table E3705.1): copper at 75 °C 3 AWG 100, 1 AWG 130, 3/0 AWG 200, 4/0 AWG 230,
250 kcmil 255, 300 kcmil 285, 350 kcmil 310 A. Impedance: Chapter 9, Table 9 (manufacturer's engineering data, studylib.net),
ohm per 1000 ft in steel conduit: 1 AWG R 0.16 X 0.057; 4/0 AWG R 0.063 X 0.051; 500 kcmil R 0.029 X 0.048.
"""

from math import hypot, sqrt

import pytest

from engine import evaluate
from engine.code import code_for
from engine.derived.conductor_runs import current_carrying, is_nipple, sets_in_one_raceway
from engine.derived.faults import secondary_fault_current_at_least
from engine.derived.sides import PRIMARY, SECONDARY
from engine.job.missing import Missing
from engine.job.site import Site
from tests.engine.checked import checked, found, value_of, verdict
from tests.engine.jobs import (
    corner_grounded,
    high_leg,
    job,
    nameplate,
    parallel,
    single_phase,
    sound,
    ungrounded_delta,
    with_facts,
)
from tests.engine.rules.test_secondary import TWO_WIRE


def site(data, **facts):
    made = job(data, **facts)
    return Site(made, code_for(made.edition))


# --- voltage drop: √3 (or 2) × I × (R cosθ + X sinθ) × ft / 1000 (Chapter 9, Table 9, note 2) ----------------------------


def test_the_drop_of_a_three_phase_primary():
    # 102 A, 60 ft, power factor 0.9
    z = 0.16 * 0.9 + 0.057 * sqrt(1 - 0.81)
    volts = sqrt(3) * 102 * z * 60 / 1000
    assert value_of("primary_voltage_drop", sound()) == pytest.approx(100 * volts / 480)


def test_the_drop_of_a_three_phase_secondary_counts_its_own_volts():
    z = 0.063 * 0.9 + 0.051 * sqrt(1 - 0.81)
    volts = sqrt(3) * 170 * z * 18 / 1000
    assert value_of("secondary_voltage_drop", sound()) == pytest.approx(100 * volts / 208)


def test_the_drop_of_a_single_phase_run_goes_out_and_back():
    z = 0.16 * 0.9 + 0.057 * sqrt(1 - 0.81)
    volts = 2 * 95 * z * 18 / 1000
    assert value_of("secondary_voltage_drop", single_phase()) == pytest.approx(100 * volts / 240)


def test_parallel_sets_share_the_drop():
    z = (0.029 * 0.9 + 0.048 * sqrt(1 - 0.81)) / 4
    volts = sqrt(3) * 1000 * z * 18 / 1000
    assert value_of("secondary_voltage_drop", parallel()) == pytest.approx(100 * volts / 208)


def test_without_a_power_factor_the_drop_rests_on_the_usual_one():
    value = checked(job(sound(), primary__load__power_factor=None)).values["primary_voltage_drop"]
    assert value.assumed
    assert any("0.85" in step for step in value.steps)


@pytest.mark.parametrize(("type_", "z"), [("EMT", (0.063, 0.051)), ("PVC40", (0.062, 0.041))])
def test_steel_and_plastic_have_their_own_columns(type_, z):
    # 4/0 AWG copper in PVC: R 0.062, X 0.041 ohm per 1000 ft (Table 9)
    data = with_facts(sound(), secondary__raceway__type=type_, secondary__load__power_factor=1)
    volts = sqrt(3) * 170 * z[0] * 18 / 1000
    assert value_of("secondary_voltage_drop", data) == pytest.approx(100 * volts / 208)


# --- fault current at the first disconnect ------------------------------------------------------------------------------

COLD = 1 / (
    1 + 0.00330 * 50
)  # Table 8, note 2, with the larger coefficient (aluminum, 0.00330): the lower resistance


def _three_phase():
    own = 208 / sqrt(3) / (75000 / (sqrt(3) * 208) / 0.045)
    upstream = 208 / sqrt(3) / (20000 * 480 / 208)
    return own, upstream


def test_the_upper_bound_joins_the_impedances_at_right_angles():
    own, upstream = _three_phase()
    run = hypot(0.063 * COLD, 0.051) * 18 / 1000
    # From one line to ground of a wye: 3 V / (2 Zs + 3 Zt) (symmetrical components), so two thirds of the source count
    expected = 208 / sqrt(3) / hypot(own, 2 / 3 * upstream, run)
    assert value_of("secondary_fault_current_at_first_disconnect", sound()) == pytest.approx(
        expected
    )


# Hottest conductor 90 °C over 75 °C, by the same coefficient
HOT = 1 + 0.00330 * 15


def test_the_lower_bound_adds_them_as_numbers():
    own, upstream = _three_phase()
    run = HOT * hypot(0.063, 0.051) * 18 / 1000
    # 1 AWG copper in steel: R 0.16, X 0.057 ohm per 1000 ft (Table 9); 60 ft, seen through 480 to 208 V
    ahead = HOT * hypot(0.16, 0.057) * 60 / 1000 * (208 / 480) ** 2
    expected = 208 / sqrt(3) / (own + upstream + run + ahead)
    assert secondary_fault_current_at_least(site(sound())).amount == pytest.approx(expected)


def test_single_phase_counts_the_loop():
    # 25 kVA, 240 V, 2.5 %: 0.0576 ohm; source 20 kA × 480/240; 1 AWG out and back
    own, upstream = 240 / (25000 / 240 / 0.025), 240 / (20000 * 2)
    run = 2 * hypot(0.16 * COLD, 0.057) * 18 / 1000
    # to the center tap up to 1.67 times as much (fuse manufacturer's handbook on the point-to-point method, note 2)
    expected = 1.67 * 240 / hypot(own, upstream, run)
    assert value_of("secondary_fault_current_at_first_disconnect", single_phase()) == pytest.approx(
        expected
    )
    plain = 2 * HOT * hypot(0.16, 0.057) * 18 / 1000
    # 4 AWG copper in steel: R 0.31, X 0.060 ohm per 1000 ft (Table 9); 60 ft out and back, seen through 480 to 240 V
    ahead = 2 * HOT * hypot(0.31, 0.060) * 60 / 1000 / 4
    least = secondary_fault_current_at_least(site(single_phase())).amount
    assert least == pytest.approx(240 / (own + upstream + plain + ahead))


def test_four_sets_have_a_quarter_of_the_impedance():
    own = 208 / sqrt(3) / (500000 / (sqrt(3) * 208) / 0.055)
    upstream = 208 / sqrt(3) / (50000 * 480 / 208)
    run = hypot(0.029 * COLD, 0.048) / 4 * 18 / 1000
    expected = 208 / sqrt(3) / hypot(own, 2 / 3 * upstream, run)
    assert value_of("secondary_fault_current_at_first_disconnect", parallel()) == pytest.approx(
        expected
    )


def test_between_the_bounds_a_rating_takes_a_study():
    read = site(sound(), primary__source_fault_kiloamperes=5)
    least = secondary_fault_current_at_least(read).amount / 1000
    most = (
        value_of(
            "secondary_fault_current_at_first_disconnect",
            sound(),
            primary__source_fault_kiloamperes=5,
        )
        / 1000
    )
    assert least < most
    for rating, expected in (
        (least * 0.999, "does_not_meet"),
        (least * 1.001, "cannot_tell"),
        (most * 0.999, "cannot_tell"),
        (most * 1.001, "meets"),
    ):
        data = with_facts(
            sound(),
            primary__source_fault_kiloamperes=5,
            secondary__panelboard__short_circuit_kiloamperes=rating,
        )
        assert verdict("interrupting_ratings", data) == expected


def test_without_impedance_the_usual_range_is_shown_and_not_judged():
    # 10 CFR 431.192, from memory: 75 kVA three-phase 1.5 % to 5 %: 208.2 A / 5 % to / 1.5 %
    check = found("interrupting_ratings", sound(), transformer__impedance_percent=None)
    assert check.verdict == "cannot_tell"
    assert "usual" in check.required
    assert "4.16 kA" in check.required or "kA" in check.required


# --- the smallest secondary conductor, by the rule relied on (240.21(C)) -----------------------------------------------


@pytest.mark.parametrize(
    ("facts", "least"),
    [
        ({}, "4/0"),  # 225 A
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__ratings": [100, 100],
            },
            "3/0",
        ),
        (
            {"secondary__protection__kind": "main_lugs_only", "secondary__panelboard__rating": 255},
            "250",
        ),
        # 1/3 × 400 A × 480/208 = 307.7 A
        ({"primary__device__rating": 400}, "350"),
        ({"primary__device__rating": 400, "secondary__rule": "feeder_tap_25_ft"}, "350"),
        # 1/10 × 1200 A × 480/208 = 276.9 A
        ({"primary__device__rating": 1200, "secondary__rule": "10_ft"}, "300"),
        # rated secondary current 208.2 A, devices 180 A
        (
            {
                "secondary__rule": "industrial_25_ft",
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__ratings": [90, 90],
            },
            "4/0",
        ),
        # outdoors only the device counts
        ({"primary__device__rating": 1200, "secondary__rule": "outside"}, "4/0"),
        ({"secondary__protection__rating": 130}, "1"),  # 1/3 × 125 A × 480/208 = 96.2 A is less
    ],
)
def test_the_smallest_secondary_conductor_by_its_rule(facts, least):
    assert value_of("secondary_conductor_minimum", sound(), **facts) == least


def test_behind_a_primary_device_the_ratio_counts():
    # 50 A × 480/240 = 100 A: 3 AWG
    assert value_of("secondary_conductor_minimum", TWO_WIRE) == "3"


def test_a_primary_conductor_carries_its_load_and_is_protected():
    # 125 A device: 110 A of ampacity or less rounds up to 110 A only; 2 AWG has 115 A, next rating 125 A; load 124.5 A: 1 AWG
    assert value_of("primary_conductor_minimum", sound()) == "1"
    light = with_facts(sound(), primary__load__continuous_amperes=60)
    assert value_of("primary_conductor_minimum", light) == "2"
    # no load: protection alone, 115 A
    none = with_facts(
        light, primary__load__continuous_amperes=0, primary__load__noncontinuous_amperes=0
    )
    assert value_of("primary_conductor_minimum", none) == "2"
    # the load before correction: 2 AWG in 60 °C terminals carries 95 A, 1 AWG 110 A, 1/0 125 A
    cold = with_facts(sound(), primary__conductors__termination_celsius=60)
    assert value_of("primary_conductor_minimum", cold) == "1/0"


@pytest.mark.parametrize("purpose", ["installation", "grounding", "replacement"])
def test_the_transformers_own_lugs_hold_the_ampacity_down(purpose):
    # 110.14(C)(1); Table 310.16: 4/0 copper 230 A at 75 °C, 195 A at 60 °C, behind a main of 225 A
    data = with_facts(sound(), purpose=purpose, transformer__secondary_terminal_celsius=60)
    assert value_of("secondary_conductor_ampacity", data) == pytest.approx(195)
    assert verdict("secondary_conductors", data) == "does_not_meet"


def test_unread_lugs_of_a_new_transformer_count_as_unmarked_ones():
    # 110.14(C)(1): above 100 A as 75 °C; Table 310.16: 4/0 copper 230 A
    data = with_facts(sound(), purpose="replacement", transformer__secondary_terminal_celsius=None)
    value = checked(job(data)).values["secondary_conductor_ampacity"]
    assert value.assumed
    assert value.value == pytest.approx(230)


def test_unread_lugs_of_a_new_transformer_leave_kept_conductors_open():
    # 4/0 copper carries the 225 A of its main at 75 °C alone
    check = found(
        "secondary_conductors",
        sound(),
        purpose="replacement",
        transformer__secondary_terminal_celsius=None,
    )
    assert check.verdict == "cannot_tell"
    assert "transformer.secondary_terminal_celsius" in check.missing


def test_parallel_primary_conductors_are_1_0_or_larger_and_add_up():
    # 800 A device, two sets: 2 × 380 A (500 kcmil) rounds up to 800 A; 400 × 125 % + 50 = 550 A
    assert value_of("primary_conductor_minimum", parallel()) == "500"
    light = with_facts(
        parallel(), primary__device__rating=250, primary__load__continuous_amperes=100
    )
    assert value_of("primary_conductor_minimum", light) == "1/0"


def test_the_load_of_parallel_conductors_counts_all_sets():
    # 760 A at the terminals: 600 × 125 % = 750 A
    data = with_facts(
        parallel(), primary__load__continuous_amperes=600, primary__load__noncontinuous_amperes=0
    )
    assert verdict("primary_conductors", data) == "meets"
    assert (
        verdict("primary_conductors", data, primary__load__noncontinuous_amperes=11)
        == "does_not_meet"
    )


def test_after_correction_the_rest_of_the_load_counts_too():
    # 3 AWG THWN-2 at 46 to 50 °C: 115 × 0.82 = 94.3 A; 60 + 35 = 95 A, before correction 75 + 35 = 110 A with a 100 % device 95 A
    data = with_facts(
        sound(),
        primary__conductors__size="3",
        primary__conductors__ambient_celsius=50,
        primary__device__continuous_percent=100,
        primary__load__continuous_amperes=60,
    )
    assert verdict("primary_conductors", data, primary__load__noncontinuous_amperes=34) == "meets"
    assert (
        verdict("primary_conductors", data, primary__load__noncontinuous_amperes=35)
        == "does_not_meet"
    )


# --- how many conductors heat each other --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "side", "count"),
    [
        (sound(), PRIMARY, 3),
        (with_facts(sound(), primary__conductors__current_carrying=1), PRIMARY, 3),
        (with_facts(sound(), primary__conductors__current_carrying=7), PRIMARY, 7),
        (with_facts(single_phase(), primary__conductors__current_carrying=1), PRIMARY, 2),
        (with_facts(single_phase(), secondary__conductors__current_carrying=1), SECONDARY, 2),
        (with_facts(sound(), secondary__grounded_conductor__current_carrying=True), SECONDARY, 4),
        (with_facts(sound(), secondary__conductors__current_carrying=9), SECONDARY, 9),
        (with_facts(parallel(), secondary__conductors__raceways=2), SECONDARY, 6),
        (with_facts(parallel(), secondary__conductors__raceways=3), SECONDARY, 6),
        (
            with_facts(
                parallel(),
                secondary__conductors__raceways=2,
                secondary__grounded_conductor__current_carrying=True,
            ),
            SECONDARY,
            8,
        ),
        # 310.15(E)(3): two neutrals to a set count twice, whatever was entered; uncounted ones never do
        (
            with_facts(
                parallel(),
                secondary__conductors__raceways=2,
                secondary__conductors__current_carrying=8,
                secondary__grounded_conductor__sets=8,
                secondary__grounded_conductor__current_carrying=True,
            ),
            SECONDARY,
            10,
        ),
        (
            with_facts(
                parallel(),
                secondary__conductors__raceways=2,
                secondary__grounded_conductor__sets=8,
                secondary__grounded_conductor__current_carrying=False,
            ),
            SECONDARY,
            6,
        ),
        (with_facts(ungrounded_delta(), secondary__conductors__current_carrying=2), SECONDARY, 3),
    ],
)
def test_a_circuit_counts_at_least_itself(data, side, count):
    assert current_carrying(site(data), side) == count


@pytest.mark.parametrize(("raceways", "each"), [(4, 1), (3, 2), (2, 2), (1, 4)])
def test_sets_share_out_over_raceways_and_the_fullest_counts(raceways, each):
    assert (
        sets_in_one_raceway(site(parallel(), secondary__conductors__raceways=raceways), SECONDARY)
        == each
    )
    assert sets_in_one_raceway(site(sound(), secondary__conductors__raceways=None), SECONDARY) == 1


def test_in_a_nipple_nothing_is_adjusted():
    # Chapter 9, Table 1, note 4; 310.15(C)(1)(b): nine conductors 70 % elsewhere (EC&M)
    data = with_facts(
        sound(), secondary__conductors__current_carrying=9, secondary__raceway__length_feet=2
    )
    nipple = with_facts(data, secondary__raceway__nipple=True)
    assert value_of("secondary_conductor_ampacity", nipple) == 230
    assert value_of("secondary_conductor_ampacity", data) == pytest.approx(260 * 0.7)


@pytest.mark.parametrize(
    ("raceway", "run", "known"),
    [(2.1, None, False), (2, None, None), (None, 10, False), (None, None, None), (None, 9.9, None)],
)
def test_a_length_can_rule_a_nipple_out_and_never_in(raceway, run, known):
    read = site(
        sound(),
        secondary__raceway__nipple=None,
        secondary__raceway__length_feet=raceway,
        secondary__conductors__length_feet=run,
    )
    if known is None:
        with pytest.raises(Missing):
            is_nipple(read, SECONDARY)
    else:
        assert is_nipple(read, SECONDARY) is known


# --- what the steps say -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kva", "id_", "words"),
    [
        (4.32, "primary_device_maximum", "Primary only, 9 A or more"),  # 9 A
        (4.3, "primary_device_maximum", "Primary only, 2 A or more, less than 9 A"),
        (0.95, "primary_device_maximum", "Primary only, less than 2 A"),
        (0.96, "primary_device_maximum", "Primary only, 2 A or more"),  # 2 A
        (
            4.3,
            "primary_device_maximum_with_secondary_protection",
            "With secondary protection, any current",
        ),
        (2.16, "secondary_device_maximum", "Secondary device, 9 A or more"),  # 9 A at 240 V
        (2.1, "secondary_device_maximum", "Secondary device, less than 9 A"),
    ],
)
def test_the_band_of_the_table_is_named(kva, id_, words):
    assert any(
        words in step for step in checked(job(nameplate(kva, 1, 480, 240))).values[id_].steps
    )


def test_a_standard_rating_is_named_beside_the_limit():
    values = checked(job(sound())).values
    # 240.6(A): 225.5 A keeps 225 A; 260.2 A may take 300 A
    assert values["primary_device_maximum_with_secondary_protection"].standard_rating == 225
    assert values["secondary_device_maximum"].standard_rating == 300
    steps = values["primary_device_maximum_with_secondary_protection"].steps
    assert any("Not rounded up" in step and "225 A" in step for step in steps)
    exact = checked(job(nameplate(48, 1, 480, 240))).values["primary_device_maximum"].steps
    assert any("itself a standard rating" in step for step in exact)


def test_above_6000_amperes_the_plain_percentage_is_the_limit():
    # 5000 kVA, 480 V: 6014 A × 125 % = 7517 A; the largest standard rating is 6000 A (240.6(A))
    value = checked(job(nameplate(5000, 3, 480, 208))).values["primary_device_maximum"]
    assert value.value == pytest.approx(5000 * 1000 / (sqrt(3) * 480) * 1.25)
    assert value.standard_rating == 6000


def test_1000_volts_is_not_yet_over():
    assert verdict("primary_conductors", sound(), transformer__primary_volts=1000) != "cannot_tell"
    assert verdict("primary_conductors", sound(), transformer__primary_volts=1001) == "cannot_tell"


def test_fuses_have_small_ratings_that_breakers_lack():
    # 1 kVA, 480 V single-phase: 2.08 A × 167 % = 3.48 A: a 3 A fuse, no breaker (240.6(A))
    data = nameplate(1, 1, 480, 120)
    fuse = checked(job(data, primary__device__kind="fuse")).values["primary_device_maximum"]
    breaker = checked(job(data, primary__device__kind="breaker")).values["primary_device_maximum"]
    assert (fuse.standard_rating, breaker.standard_rating) == (3, None)


def test_equipment_grounding_past_the_secondary_device():
    # Table 250.122: 225 A, 4 AWG copper; 100 A 8 AWG; main lugs only have no device
    assert value_of("secondary_equipment_grounding_minimum", sound()) == "4"
    grouped = with_facts(
        sound(),
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[60, 100],
    )
    assert value_of("secondary_equipment_grounding_minimum", grouped) == "8"
    for facts in (
        {"secondary__protection__kind": "main_lugs_only"},
        {"secondary__protection__kind": "grouped_devices", "secondary__protection__ratings": []},
    ):
        assert "secondary_equipment_grounding_minimum" not in checked(job(sound(), **facts)).values


def test_larger_conductors_ask_for_a_larger_equipment_grounding_conductor():
    # 250.122(B), 90 × 1.25 + 12 = 124.5 A: 1 AWG (130 A, 83.69 kcmil); with 1/0 (105.6 kcmil) 6 AWG (26.24) × 1.262 = 33.1:
    # 4 AWG (41.74)
    id_ = "primary_equipment_grounding_minimum"
    assert value_of(id_, sound()) == "6"
    larger = with_facts(sound(), primary__conductors__size="1/0")
    assert value_of(id_, larger) == "4"
    # A smaller load, or an unknown one: 240.4(B) permits 2 AWG (115 A, 66.36 kcmil) behind 125 A, and 26.24 × 105.6 / 66.36 =
    # 41.76 kcmil is 16 circular mils more than 4 AWG has: 3 AWG (52.62)
    unknown = {
        "primary__load__continuous_amperes": None,
        "primary__load__noncontinuous_amperes": None,
    }
    for facts in (unknown, {"primary__load__continuous_amperes": 60}):
        # 1 AWG reaches the rating: a 125 A circuit of it with 6 AWG is called compliant (EC&M, "Practically Speaking: Sizing Up
        # the Equipment Grounding Conductor", April 2022)
        assert value_of(id_, sound(), **facts) == "6"
        assert value_of(id_, larger, **facts) == "3"
        for size, expected in (("4", "does_not_meet"), ("3", "meets")):
            made = with_facts(larger, **facts, primary__equipment_grounding__size=size)
            assert verdict("primary_equipment_grounding", made) == expected


def test_the_primary_minimum_knows_a_device_for_its_whole_rating_and_a_lawful_tap():
    # 215.2(A)(1), exception 1: 110 A continuous. 137.5 A want 1/0 behind 150 A, 110 A alone 1 AWG (130 A, next rating 150 A)
    data = with_facts(
        sound(),
        primary__device__rating=150,
        primary__load__continuous_amperes=110,
        primary__load__noncontinuous_amperes=0,
    )
    id_ = "primary_conductor_minimum"
    assert value_of(id_, data) == "1/0"
    assert value_of(id_, data, primary__device__continuous_percent=100) == "1"
    # 240.21(B)(3): a third of 200 A is 66.7 A, 6 AWG copper at 60 °C 55 A, 4 AWG 85 A at 75 °C; 6 AWG 65 A: 4 AWG
    tap = with_facts(
        sound(),
        secondary__rule="feeder_tap_25_ft",
        primary__conductors__length_feet=7,
        primary__raceway__length_feet=6,
        primary__device__rating=200,
        primary__load__continuous_amperes=30,
        primary__load__noncontinuous_amperes=0,
    )
    assert value_of(id_, tap) == "4"
    assert value_of(id_, with_facts(tap, secondary__rule="25_ft")) == "3/0"
    long = with_facts(tap, primary__conductors__length_feet=26, primary__raceway__length_feet=25)
    assert value_of(id_, long) == "3/0"


def test_above_1000_volts_no_size_is_given_for_the_primary():
    # Table 310.16 ends at 2000 V and the tables of raceways and grounding here are for 1000 V and less
    data = with_facts(sound(), transformer__primary_volts=4160, primary__device__rating=20)
    values = checked(job(data)).values
    assert not {
        "primary_conductor_minimum",
        "primary_conductor_ampacity",
        "primary_equipment_grounding_minimum",
        "primary_raceway_minimum",
        "primary_raceway_fill",
    } & set(values)
    assert "secondary_conductor_minimum" in values
    bare = checked(job(nameplate(75, 3, 4160, 208))).values
    assert not [id_ for id_ in bare if id_.startswith(("primary_conductor", "primary_raceway"))]


def test_an_equipment_grounding_conductor_is_not_required_larger_than_the_circuit():
    # 20 A on 12 AWG: Table 250.122 12 AWG; 60 A tap on 12 AWG: 10 AWG, held to 12 AWG (250.122(A))
    data = with_facts(sound(), primary__conductors__size="12", primary__device__rating=60)
    assert value_of("primary_equipment_grounding_minimum", data) == "12"
    other_metal = with_facts(data, primary__equipment_grounding__material="aluminum")
    assert value_of("primary_equipment_grounding_minimum", other_metal) == "8"


# --- beyond the table -----------------------------------------------------------------------------------------------------


def test_a_jumper_of_the_other_metal_takes_the_area_that_carries_as_much():
    # note 2: 4 × 500 kcmil copper (380 A) as 4 × 750 kcmil aluminum (385 A, Table 310.16): 3000 × 12.5 % = 375 kcmil
    data = with_facts(parallel(), bonding__system_bonding_jumper__material="aluminum")
    assert value_of("system_bonding_jumper_minimum", data) == pytest.approx(375)
    # 4 × 750 kcmil aluminum (385 A) as 4 × 600 kcmil copper (420 A): 2400 × 12.5 % = 300 kcmil
    back = with_facts(
        parallel(), secondary__conductors__material="aluminum", secondary__conductors__size="750"
    )
    assert value_of("system_bonding_jumper_minimum", back) == pytest.approx(300)


def test_a_supply_side_jumper_need_not_be_larger_than_a_single_phase_conductor():
    # 14 AWG phases: the table starts with 8 AWG copper
    data = with_facts(
        sound(),
        secondary__conductors__size="14",
        secondary__grounded_conductor__size="14",
        secondary__protection__rating=15,
        secondary__neutral_load_amperes=10,
    )
    assert value_of("supply_side_bonding_jumper_minimum", data) == "14"
    assert value_of("grounded_conductor_minimum", data) == "14"
    # note 1 of Table 250.102(C)(1) names the jumper without telling its kind
    assert value_of("system_bonding_jumper_minimum", data) == "14"
    aluminum = with_facts(data, bonding__supply_side_bonding_jumper__material="aluminum")
    assert value_of("supply_side_bonding_jumper_minimum", aluminum) == "6"


def test_the_required_text_names_area_and_size():
    # An area that is a size is named once; 12-1/2 % of 3 × 500 kcmil is 187.5 kcmil, and 4/0 AWG has 211.6.
    assert found("system_bonding_jumper", parallel()).required == "250 kcmil copper or larger"
    three = with_facts(parallel(), secondary__conductors__sets=3, secondary__conductors__raceways=3)
    assert (
        found("system_bonding_jumper", three).required == "187.5 kcmil (4/0 AWG copper) or larger"
    )
    assert found("system_bonding_jumper", sound()).required == "2 AWG copper or larger"
    assert (
        found("system_bonding_jumper", sound(), bonding__system_bonding_jumper__size="4").remedy
        == "2 AWG copper or larger."
    )


def test_a_grounded_phase_of_another_metal_carries_as_much():
    # 4/0 copper 230 A: aluminum 300 kcmil 230 A (Table 310.16, 75 °C)
    data = with_facts(corner_grounded(), secondary__grounded_conductor__material="aluminum")
    assert value_of("grounded_conductor_minimum", data) == "300"


def test_a_grounded_phase_of_two_sets_in_a_raceway_counts_both():
    data = with_facts(
        corner_grounded(),
        secondary__conductors__sets=2,
        secondary__conductors__raceways=1,
        secondary__grounded_conductor__sets=2,
    )
    # each of the two has the ampacity of one phase conductor: 4/0, 230 A × 0.8 (310.15(C)(1), four to six)
    assert value_of("grounded_conductor_minimum", data) == "4/0"
    apart = with_facts(data, secondary__conductors__raceways=2)
    assert value_of("grounded_conductor_minimum", apart) == "4/0"


def test_parallel_grounded_conductors_are_1_0_and_larger_in_one_raceway_too():
    # 310.10(G): in parallel 1/0 and larger, wherever they lie; one alone is not in parallel. Two 1/0 a phase in one
    # raceway, 211.2 kcmil: 2 AWG (Table 250.102(C)(1), over 167.8 to 350); Table 250.122, 300 A: 4 AWG
    data = with_facts(
        parallel(),
        secondary__conductors__size="1/0",
        secondary__conductors__sets=2,
        secondary__grounded_conductor__sets=2,
        secondary__protection__rating=300,
        secondary__neutral_load_amperes=20,
    )
    assert value_of("grounded_conductor_minimum", data, secondary__conductors__raceways=1) == "1/0"
    assert value_of("grounded_conductor_minimum", data, secondary__conductors__raceways=2) == "1/0"
    alone = with_facts(
        data, secondary__conductors__raceways=1, secondary__grounded_conductor__sets=1
    )
    assert value_of("grounded_conductor_minimum", alone) == "2"


@pytest.mark.parametrize("build", [single_phase, high_leg])
def test_a_center_tap_has_a_fault_current_of_its_own(build):
    # Fuse manufacturer's handbook on the point-to-point method, note 2: 1.33 to 1.67 times that across the winding
    values = checked(job(build())).values
    across = values["secondary_fault_current"]
    tap = values["secondary_fault_current_to_center_tap"]
    assert tap.value == pytest.approx(1.67 * across.value)
    assert tap.shown in across.steps[-1]


@pytest.mark.parametrize("build", [sound, parallel, single_phase, high_leg])
@pytest.mark.parametrize("tested", [True, False, None])
def test_no_fault_current_at_the_terminals_is_below_one_farther_on(build, tested):
    # The same handbook, note 3: the impedance of a unit may be 10 % off the printed one.
    values = checked(job(build(), transformer__impedance_tested=tested)).values
    at_terminals = values["secondary_fault_current"]
    if not tested:
        assert values["secondary_fault_current_highest"].value == pytest.approx(
            at_terminals.value / 0.9
        )
    names = ("secondary_fault_current_highest", "secondary_fault_current_to_center_tap")
    beside = [values[name] for name in names if name in values]
    most = max(at_terminals.value, *(value.value for value in beside), 0)
    assert values["secondary_fault_current_at_first_disconnect"].value <= most
    # What is shown beside it is in its own steps.
    assert all(any(value.shown in step for step in at_terminals.steps) for value in beside)
    assert "printed impedance" in at_terminals.title
    assert ("secondary_fault_current_highest" in values) is not bool(tested)


def test_a_device_above_1000_volts_of_unknown_kind_takes_the_lower_limit():
    # Table 450.3(A), any location: fuse 300 %, breaker 600 %; 23.1 A × 300 % = 69.4 A, next 70 A (note 1)
    data = nameplate(500, 3, 12470, 208, transformer__impedance_percent=5)
    name = "primary_device_maximum_with_secondary_protection"
    value = checked(job(data)).values[name]
    assert value.assumed and value.value == 70
    least = min(
        checked(job(data, primary__device__kind=kind)).values[name].value
        for kind in ("breaker", "fuse")
    )
    assert value.value == least


BY_ALL_SETS = (
    "system_bonding_jumper_minimum",
    "grounding_electrode_conductor_minimum",
    "water_pipe_bond_minimum",
    "structural_steel_bond_minimum",
)


@pytest.mark.parametrize("id_", BY_ALL_SETS)
def test_unknown_sets_behind_a_large_device_are_not_one(id_):
    # 500 kcmil 380 A (Table 310.16, 75 °C): four sets carry 1500 A and no fewer do
    known = checked(job(parallel())).values[id_]
    unknown = checked(job(parallel(), secondary__conductors__sets=None)).values[id_]
    assert unknown.assumed
    assert unknown.value == known.value
    # 310.10(G): none smaller than 1/0 AWG runs in parallel, so that no number of 4 AWG carries 1500 A
    small = job(parallel(), secondary__conductors__sets=None, secondary__conductors__size="4")
    assert id_ not in checked(small).values


def test_without_a_center_tap_there_is_no_such_value():
    assert "secondary_fault_current_to_center_tap" not in checked(job(sound())).values


def test_the_smallest_conductor_is_large_enough_for_a_lower_insulation_beside_it():
    # Table 310.16, 60 °C column: 4/0 AWG 195, 250 kcmil 215, 300 kcmil 240 A; the main lets 225 A through. 310.14(A)(3).
    data = with_facts(sound(), secondary__grounded_conductor__insulation="TW")
    assert value_of("secondary_conductor_minimum", data) == "300"
    larger = {"secondary__conductors__size": "300", "secondary__raceway__trade_size": "3"}
    assert verdict("secondary_conductors", data) == "cannot_tell"
    assert verdict("secondary_conductors", data, **larger) == "meets"
    # 60 °C column: 1 AWG 110, 1/0 AWG 125 A; the primary device lets 125 A through
    data = with_facts(sound(), primary__equipment_grounding__insulation="TW")
    assert value_of("primary_conductor_minimum", data) == "1/0"
    assert value_of("primary_conductor_minimum", sound()) == "1"


def test_a_value_of_a_raceway_that_holds_other_circuits_is_refused():
    # Chapter 9, Table 1, note 3: all conductors count, and of the other ones no size is on record
    for side in ("primary", "secondary"):
        data = with_facts(sound(), **{f"{side}__conductors__current_carrying": 9})
        values = evaluate(job(data)).values
        assert f"{side}_raceway_minimum" not in values
        assert f"{side}_raceway_fill" not in values
        unknown = evaluate(
            job(with_facts(data, **{f"{side}__conductors__current_carrying": None}))
        ).values
        assert unknown[f"{side}_raceway_minimum"].assumed


def test_a_wire_beyond_a_neutral_that_does_not_count_is_of_another_circuit():
    # 310.15(E): a neutral that does not count is none of those counted
    data = with_facts(sound(), secondary__conductors__current_carrying=4)
    assert verdict("secondary_raceway", data) == "cannot_tell"
    assert "secondary_raceway_fill" not in evaluate(job(data)).values
    counts = {"secondary__grounded_conductor__current_carrying": True}
    assert verdict("secondary_raceway", data, **counts) == "meets"
    assert (
        verdict("secondary_raceway", data, secondary__grounded_conductor__current_carrying=None)
        == "cannot_tell"
    )
