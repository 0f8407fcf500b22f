"""Interrupting ratings and inrush.

Fault current on an infinite bus: rated current × 100 / %Z ("Percent impedance", BCcampus open textbook). 75 kVA, 208 V:
208.18 A × 100 / 4.5 = 4626 A. Inrush: 8 to 12 times rated current, up to about 25 times (common practice, no source).
"""

import pytest

from engine.code import code_for
from engine.derived import faults
from engine.job.site import Site
from tests.engine.checked import checked, found, value_of, verdict
from tests.engine.jobs import job, nameplate, single_phase, sound, with_facts

BUS = "secondary__panelboard__short_circuit_kiloamperes"
DEVICE = "secondary__protection__interrupting_kiloamperes"
SOURCE = "primary__source_fault_kiloamperes"


def test_the_ceiling_is_rated_current_over_impedance():
    assert value_of("secondary_fault_current", sound()) == pytest.approx(4626.2, abs=0.5)


@pytest.mark.parametrize(
    ("id_", "name"), [("interrupting_ratings", BUS), ("secondary_device_interrupting", DEVICE)]
)
def test_a_rating_above_the_ceiling_meets_whatever_the_source(id_, name):
    assert verdict(id_, sound(), **{name: 4.63, SOURCE: None}) == "meets"


@pytest.mark.parametrize(
    ("id_", "name"), [("interrupting_ratings", BUS), ("secondary_device_interrupting", DEVICE)]
)
def test_a_rating_below_the_ceiling_is_not_condemned_without_the_source(id_, name):
    # 208.18 A × 100 / 2 = 10,409 A
    check = found(id_, sound(), **{name: 8, SOURCE: None}, transformer__impedance_percent=2)
    assert (check.verdict, check.found) == ("cannot_tell", "8.00 kA")
    assert check.missing == ["primary.source_fault_kiloamperes"]


def test_a_known_weak_source_can_pass_it():
    # 1 kA at 480 V is 2.308 kA at 208 V; from line to ground 1.5 times that, and no combination gives more
    assert verdict("interrupting_ratings", sound(), **{BUS: 3.47, SOURCE: 1}) == "meets"
    assert verdict("interrupting_ratings", sound(), **{BUS: 2.31, SOURCE: 1}) == "cannot_tell"


def test_a_rating_far_below_any_combination_does_not_meet():
    check = found("interrupting_ratings", sound(), **{BUS: 0.5})
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")


@pytest.mark.parametrize("fact", ["transformer__impedance_percent", BUS])
def test_without_impedance_or_rating_nothing_can_be_told(fact):
    assert verdict("interrupting_ratings", sound(), **{fact: None}) == "cannot_tell"


def test_main_lugs_have_no_interrupting_rating():
    assert (
        verdict(
            "secondary_device_interrupting", sound(), secondary__protection__kind="main_lugs_only"
        )
        == "does_not_apply"
    )


def test_a_center_tap_may_see_more_than_line_to_line():
    # up to 1.67 times at the center tap (point-to-point method, note 2, of a fuse manufacturer's handbook)
    # 25 kVA, 240 V, 2.5 %: 104.17 A × 40 = 4167 A; × 1.67 = 6958 A
    assert verdict("interrupting_ratings", single_phase(), **{BUS: 6.96}) == "meets"
    check = found("interrupting_ratings", single_phase(), **{BUS: 6.9})
    assert (check.verdict, check.found) == ("cannot_tell", "6.90 kA")


@pytest.mark.parametrize(
    ("rating", "source", "expected"),
    [
        (22, 22, "meets"),
        (21.9, 22, "does_not_meet"),
        (None, 22, "cannot_tell"),
        (22, None, "cannot_tell"),
    ],
)
def test_the_primary_device_interrupts_the_current_at_its_place(rating, source, expected):
    # 110.9
    data = with_facts(sound(), primary__device__interrupting_kiloamperes=rating, **{SOURCE: source})
    assert verdict("primary_interrupting_rating", data) == expected


@pytest.mark.parametrize(
    ("multiple", "expected"),
    [
        # 125 A device, rated current 90.21 A: 25 × 90.21 = 2255 A (18.04 × 125 A), 12 × = 1082.5 A (8.66 ×), 8 × = 721.7 A
        (18.05, "meets"),
        (8.67, "meets"),
        (8.65, "does_not_meet"),
        (5, "does_not_meet"),
        (None, "cannot_tell"),
    ],
)
def test_inrush_is_advice_by_the_usual_band(multiple, expected):
    check = found("inrush", sound(), primary__device__instantaneous_multiple=multiple)
    assert check.verdict == expected
    assert check.severity == "advice"


def test_between_the_band_and_the_worst_first_half_cycle_it_may_trip_now_and_then():
    assert (
        "not expected"
        in found("inrush", sound(), primary__device__instantaneous_multiple=18.05).reason
    )
    assert (
        "now and then"
        in found("inrush", sound(), primary__device__instantaneous_multiple=18).reason
    )


def test_below_the_whole_band_it_trips_often():
    assert "often" in found("inrush", sound(), primary__device__instantaneous_multiple=5).reason
    assert (
        "usual range" in found("inrush", sound(), primary__device__instantaneous_multiple=7).reason
    )


def test_fuses_depend_on_their_curve():
    check = found("inrush", sound(), primary__device__kind="fuse")
    assert check.verdict == "cannot_tell"
    assert "1,082.5 A" in check.reason


def test_a_legal_small_device_draws_a_written_question():
    # 45 kVA, 480 V: 54.1 A; at most 70 A; an existing 50 A device is legal (common practice, no source)
    data = with_facts(
        nameplate(45, 3, 480, 208), primary__device__rating=50, primary__device__adjustable=False
    )
    result = checked(job(data))
    assert next(c for c in result.checks if c.id == "primary_device").verdict == "meets"
    assert any(
        "50 A" in text and "54.1 A" in text and "70 A" in text for text in result.written_questions
    )


# --- tolerance of a printed impedance -----------------------------------------------------------------------------------


def test_an_impedance_that_was_not_tested_may_be_a_tenth_lower():
    # Electrical plan review, point-to-point method, Fault #1: 300 kVA, 208 V, 2 %Z taken as 1.8 %: 833 A × 55.55 = 46,273 A
    made = job(
        nameplate(300, 3, 480, 208, transformer__impedance_percent=2),
        transformer__secondary_system="wye_4_wire",
    )
    highest = faults.secondary_fault_current_highest(Site(made, code_for(2023)))
    assert highest.amount == pytest.approx(46273, rel=0.001)


@pytest.mark.parametrize(
    ("tested", "rating", "expected"),
    [
        # 75 kVA, 208 V, 2.1 %: 208.18 A / 0.021 = 9,913 A; a tenth lower 11,015 A
        (True, 10, "meets"),
        (False, 10, "cannot_tell"),
        (None, 10, "cannot_tell"),
        (None, 11.02, "meets"),
        (False, 11.02, "meets"),
        (False, 11.01, "cannot_tell"),
    ],
)
@pytest.mark.parametrize(
    ("id_", "name"), [("interrupting_ratings", BUS), ("secondary_device_interrupting", DEVICE)]
)
def test_within_the_tolerance_only_a_tested_figure_tells(id_, name, tested, rating, expected):
    check = found(
        id_,
        sound(),
        transformer__impedance_percent=2.1,
        transformer__impedance_tested=tested,
        **{name: rating, SOURCE: None},
    )
    assert check.verdict == expected
    if tested is None and expected == "cannot_tell":
        assert check.missing == ["transformer.impedance_tested"]


# --- source, runs and line to ground ------------------------------------------------------------------------------------


def test_from_line_to_ground_a_wye_can_carry_more_than_from_line_to_line():
    # Symmetrical components: 3 V / (2 Zs + 3 Zt). 75 kVA, 1.5 %, 2 kA at 480 V: Zs 0.02602, Zt 0.008653 ohm, in one angle
    # 3 × 120.09 / 0.07800 = 4,619 A, where three phases give 120.09 / 0.03467 = 3,463 A and at right angles 4,380 A
    behind = {
        "transformer__impedance_percent": 1.5,
        SOURCE: 2,
        "secondary__conductors__length_feet": 0.01,
    }
    assert value_of("secondary_fault_current_at_first_disconnect", sound(), **behind) > 4619
    assert verdict("interrupting_ratings", sound(), **behind, **{BUS: 4.4}) == "cannot_tell"


def test_nothing_is_condemned_without_the_primary_run():
    # A long primary run leaves less: 110.9 asks for the fault current that is available at the place
    data = with_facts(
        sound(),
        transformer__impedance_percent=2,
        primary__conductors__size="4",
        primary__conductors__length_feet=400,
        **{BUS: 5},
    )
    assert verdict("interrupting_ratings", data) == "cannot_tell"
    short = with_facts(data, primary__conductors__length_feet=5)
    assert verdict("interrupting_ratings", short) == "does_not_meet"
    check = found("interrupting_ratings", short, primary__conductors__length_feet=None)
    assert (check.verdict, check.missing) == ("cannot_tell", ["primary.conductors.length_feet"])
    high = with_facts(short, transformer__primary_volts=4160)
    assert verdict("interrupting_ratings", high) == "cannot_tell"


@pytest.mark.parametrize(
    ("rating", "expected"),
    [
        # 4,626 A and motors of 4 × 208.18 A = 833 A (point-to-point method, 100 % motor load): 5,459 A
        (5.46, "meets"),
        (5.45, "cannot_tell"),
        (4.63, "cannot_tell"),
        (None, "cannot_tell"),
    ],
)
def test_motors_need_room_above_the_ceiling(rating, expected):
    check = found("motor_contribution", sound(), **{BUS: rating})
    assert (check.verdict, check.severity) == (expected, "advice")


def test_without_equipment_there_is_nothing_for_motors_to_burst():
    assert (
        verdict(
            "motor_contribution",
            sound(),
            secondary__panelboard__present=False,
            secondary__panelboard__short_circuit_kiloamperes=None,
            observations__supplies_switchboard=False,
            secondary__protection__kind="main_lugs_only",
        )
        == "does_not_apply"
    )


# --- ground-fault protection of equipment and arc energy ----------------------------------------------------------------


def wye_480(**facts):
    """A large unit from 480 V to 480Y/277 V, both devices of 1200 A."""
    large = with_facts(
        sound(),
        transformer__kva=1000,
        transformer__secondary_volts=480,
        primary__device__rating=1200,
        secondary__protection__rating=1200,
        primary__device__ground_fault_protection=True,
        secondary__protection__ground_fault_protection=True,
        primary__device__ground_fault_protection_tested=True,
        secondary__protection__ground_fault_protection_tested=True,
        primary__device__arc_energy_reduction=True,
        secondary__protection__arc_energy_reduction=True,
    )
    return with_facts(large, **facts)


GROUND_FAULT = [
    ("primary_ground_fault_protection", "primary__device"),
    ("secondary_ground_fault_protection", "secondary__protection"),
]
ARC_ENERGY = [
    ("primary_arc_energy", "primary__device", "kind"),
    ("secondary_arc_energy", "secondary__protection", "device_kind"),
]


@pytest.mark.parametrize(("id_", "device"), GROUND_FAULT)
def test_from_1000_amperes_a_grounded_wye_has_ground_fault_protection(id_, device):
    # 215.10, 230.95, 240.13: 1000 A and more, solidly grounded wye, above 150 V to ground
    has = f"{device}__ground_fault_protection"
    assert verdict(id_, wye_480()) == "meets"
    assert found(id_, wye_480(), **{has: False}).verdict == "does_not_meet"
    assert found(id_, wye_480(), **{has: None}).missing == [has.replace("__", ".")]
    # 230.95(A) and (C): at most 1200 A, 1 s at 3000 A, a written record of the test (EC&M; ecmag.com)
    assert verdict(id_, wye_480(), **{f"{has}_tested": False}) == "does_not_meet"
    untold = found(id_, wye_480(), **{f"{has}_tested": None})
    assert untold.missing == [f"{has}_tested".replace("__", ".")]
    assert verdict(id_, wye_480(), **{has: False, f"{device}__rating": 1000}) == "does_not_meet"
    assert verdict(id_, wye_480(), **{has: None, f"{device}__rating": 999}) == "does_not_apply"
    assert verdict(id_, wye_480(), **{f"{device}__rating": None}) == "cannot_tell"


def test_a_208_volt_wye_needs_no_ground_fault_protection():
    data = with_facts(sound(), secondary__protection__rating=1600)
    assert verdict("secondary_ground_fault_protection", data) == "does_not_apply"
    assert (
        verdict(
            "primary_ground_fault_protection",
            sound(),
            transformer__primary_volts=208,
            primary__device__rating=1200,
        )
        == "does_not_apply"
    )


def test_only_a_solidly_grounded_wye_needs_it():
    without = {"primary__device__ground_fault_protection": False}
    for supply, expected in (
        ("solidly_grounded_wye", "does_not_meet"),
        ("ungrounded", "does_not_apply"),
        ("impedance_grounded", "does_not_apply"),
        (None, "cannot_tell"),
    ):
        data = wye_480(primary__supply_system=supply)
        assert verdict("primary_ground_fault_protection", data, **without) == expected
    delta = wye_480(transformer__secondary_system="delta_corner_grounded")
    assert verdict("secondary_ground_fault_protection", delta) == "does_not_apply"


def test_the_largest_of_grouped_devices_counts():
    data = wye_480(
        secondary__protection__kind="grouped_devices",
        secondary__protection__ground_fault_protection=False,
        secondary__protection__arc_energy_reduction=False,
    )
    for ratings, ground_fault, arc in (
        ([400, 1200], "does_not_meet", "does_not_meet"),
        ([400, 1000], "does_not_meet", "does_not_apply"),
        ([400, 800], "does_not_apply", "does_not_apply"),
        ([], "cannot_tell", "cannot_tell"),
    ):
        here = with_facts(data, secondary__protection__ratings=ratings)
        assert verdict("secondary_ground_fault_protection", here) == ground_fault
        assert verdict("secondary_arc_energy", here) == arc
    lugs = with_facts(data, secondary__protection__kind="main_lugs_only")
    assert verdict("secondary_arc_energy", lugs) == "does_not_apply"
    assert verdict("secondary_ground_fault_protection", lugs) == "does_not_apply"


@pytest.mark.parametrize(("id_", "device", "kind"), ARC_ENERGY)
def test_from_1200_amperes_arc_energy_is_reduced(id_, device, kind):
    # 240.87 (breakers); 240.67 (fuses): new in 2017, in force January 1, 2020 (manufacturer's page on arc-energy changes)
    without = {f"{device}__arc_energy_reduction": False}
    assert verdict(id_, wye_480()) == "meets"
    assert found(id_, wye_480(), **without).section == "240.87"
    assert verdict(id_, wye_480(), **without) == "does_not_meet"
    assert verdict(id_, wye_480(), **without, **{f"{device}__rating": 1199}) == "does_not_apply"
    for edition, expected in (
        (2014, "does_not_apply"),
        (2017, "cannot_tell"),
        (2020, "does_not_meet"),
        (2023, "does_not_meet"),
    ):
        fuses = wye_480(edition=edition, **{f"{device}__{kind}": "fuse"})
        assert verdict(id_, fuses, **without) == expected
    assert found(id_, wye_480(**{f"{device}__{kind}": "fuse"}), **without).section == "240.67"


# --- trips and voltages -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 240.6(B): the highest setting counts; 240.6(C): restricted access lets the setting count
        ({"adjustable": False}, "does_not_apply"),
        ({"kind": "fuse", "adjustable": None}, "does_not_apply"),
        ({"adjustable": True, "rating_basis": "highest_setting"}, "meets"),
        ({"adjustable": True, "rating_basis": "setting_restricted"}, "meets"),
        ({"adjustable": True, "rating_basis": "setting_open"}, "does_not_meet"),
        ({"adjustable": True, "rating_basis": None}, "cannot_tell"),
        ({"adjustable": None}, "cannot_tell"),
    ],
)
def test_an_adjustable_trip_counts_at_its_highest_setting(facts, expected):
    named = {f"primary__device__{name}": value for name, value in facts.items()}
    assert verdict("adjustable_trip", sound(), **named) == expected


@pytest.mark.parametrize(
    ("straight", "supply", "expected"),
    [
        # 240.85: a slash rating is for solidly grounded systems whose lines stay at the lower voltage to ground
        (True, None, "meets"),
        (False, "solidly_grounded_wye", "meets"),
        (False, "single_phase_grounded", "meets"),
        (False, "ungrounded", "does_not_meet"),
        (False, "corner_grounded", "does_not_meet"),
        (False, "high_leg", "does_not_meet"),
        (False, "impedance_grounded", "does_not_meet"),
        (False, None, "cannot_tell"),
        (None, "solidly_grounded_wye", "cannot_tell"),
    ],
)
def test_a_slash_rated_primary_breaker_needs_a_grounded_neutral(straight, supply, expected):
    check = found(
        "primary_straight_rated",
        single_phase() if supply == "single_phase_grounded" else sound(),
        primary__device__straight_rated=straight,
        primary__supply_system=supply,
    )
    assert (check.verdict, check.severity) == (expected, "danger")


def test_fuses_and_high_voltage_have_no_slash_rating():
    slash = with_facts(sound(), primary__device__straight_rated=False)
    assert verdict("primary_straight_rated", slash, primary__device__kind="fuse") == (
        "does_not_apply"
    )
    assert verdict("primary_straight_rated", slash, transformer__primary_volts=4160) == (
        "does_not_apply"
    )


@pytest.mark.parametrize(
    ("electronic", "factor", "expected"),
    [
        (True, 1, "does_not_meet"),
        (True, 4, "meets"),
        (True, None, "cannot_tell"),
        (False, None, "does_not_apply"),
        (None, 13, "cannot_tell"),
    ],
)
def test_electronic_load_asks_for_a_k_factor(electronic, factor, expected):
    # common practice, no source
    check = found(
        "k_factor_load",
        sound(),
        observations__nonlinear_load=electronic,
        transformer__k_factor=factor,
    )
    assert (check.verdict, check.severity) == (expected, "advice")


def test_the_low_voltage_winding_draws_more_inrush_than_the_usual_band():
    # electricallicenserenewal.com section 85 on 450.11(B): inrush much greater where the low-voltage winding is fed
    assert verdict("inrush", sound()) == "meets"
    up = with_facts(sound(), transformer__primary_volts=208, transformer__secondary_volts=480)
    check = found("inrush", up, primary__device__instantaneous_multiple=50)
    assert check.verdict == "cannot_tell"
    assert "nearer the core" in check.reason
    assert verdict("inrush", up, primary__device__instantaneous_multiple=5) == "does_not_meet"
