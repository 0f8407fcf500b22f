"""Where tables end, where figures just agree, and what is asked for only where it matters. Sources as in the module of each rule."""

import pytest

from engine.code import code_for
from engine.derived import (
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    conductor_sizes,
    currents,
    grounded_systems,
    primary_conductors,
    sides,
)
from engine.derived.terminals import primary_termination
from engine.job.missing import Missing
from engine.job.site import Site
from engine.physics.raceway_fill import number_that_fits
from tests.engine.checked import checked, found, value_of, verdict
from tests.engine.jobs import job, nameplate, parallel, sound, with_facts
from tests.engine.rules.test_transformer_protection import lugs_only


def _site(data, **facts):
    return Site(job(data, **facts), code_for(2023))


@pytest.mark.parametrize(("edition", "least"), [(2023, None), (2026, "2000")])
def test_an_equipment_grounding_conductor_beyond_the_largest_size_is_not_cut_to_it(edition, least):
    # 6000 A: Table 250.122 800 kcmil copper; 24 sets: 250 A each, 250 kcmil (255 A, Table 310.16). With 2000 kcmil the
    # increase is eightfold (250.122(B)): 6400 kcmil, which no size has. 2026 limits it by its raceway.
    data = with_facts(
        parallel(),
        edition=edition,
        primary__device__rating=6000,
        primary__conductors__size="2000",
        primary__conductors__sets=24,
        primary__conductors__raceways=24,
        primary__equipment_grounding__size="2000",
    )
    value = checked(job(data)).values.get("primary_equipment_grounding_minimum")
    assert (value and value.value) == least
    assert verdict("primary_equipment_grounding", data) == ("meets" if least else "cannot_tell")
    smaller = with_facts(data, primary__equipment_grounding__size="1750")
    assert verdict("primary_equipment_grounding", smaller) == (
        "does_not_meet" if least else "cannot_tell"
    )


def test_a_decimal_of_just_8_tenths_rounds_up():
    # Chapter 9, Table 1, note 7: 0.8 and over. 1.2 in² × 40 % / 0.1 in² = 4.8; 1.19 in² gives 4.76
    common = {"percent": 40, "conductor_area": 0.1, "round_up_decimal": 0.8}
    assert number_that_fits(raceway_area=1.2, **common) == 5
    assert number_that_fits(raceway_area=1.19, **common) == 4
    assert number_that_fits(raceway_area=1.25, **common) == 5


def test_a_neutral_is_not_asked_about_where_the_count_holds_it_already():
    # four counted beside three phases: whether the neutral carries current adds nothing (310.15(E))
    unknown = {"secondary__grounded_conductor__current_carrying": None}
    four = with_facts(sound(), secondary__conductors__current_carrying=4, **unknown)
    assert conductor_runs.current_carrying(_site(four), sides.SECONDARY) == 4
    # 4/0 copper 90 °C: 260 A × 0.80 (Table 310.16, Table 310.15(C)(1))
    assert value_of("secondary_conductor_ampacity", four) == pytest.approx(208)
    three = with_facts(four, secondary__conductors__current_carrying=3)
    assert (
        "secondary.grounded_conductor.current_carrying"
        in found("secondary_conductors", three, secondary__protection__rating=230).questions
    )


def test_the_kind_of_the_primary_device_is_asked_for_where_it_matters():
    # 240.6(A): 601 A is a rating of fuses alone. 399.4 kVA, 480 V: 480.4 A × 125 % = 600.5 A
    data = nameplate(399.4, 3, 480, 208)
    for kind, rating in (("breaker", 700), ("fuse", 601)):
        assert value_of("primary_device_maximum", data, primary__device__kind=kind) == rating
    # what kind the secondary device is does not answer it
    with pytest.raises(Missing) as open_:
        currents.primary_device_maximum(_site(data, secondary__protection__device_kind="breaker"))
    assert open_.value.path == "primary.device.kind"


@pytest.mark.parametrize(("kind", "largest"), [("fuse", 601), ("breaker", 600), (None, 600)])
def test_beside_thermal_protection_the_kind_of_device_has_its_own_ratings(kind, largest):
    # note 3 of Table 450.3(B): 600 % up to 6 %. 84 kVA, 480 V: 101.0 A × 6 = 606.2 A; 240.6(A): 601 A is a fuse
    data = nameplate(84, 3, 480, 208, transformer__impedance_percent=5, primary__device__kind=kind)
    value = currents.primary_device_maximum_with_thermal_protection(_site(data))
    assert value is not None
    assert value.standard_rating == largest


def test_main_lugs_have_no_device_to_rate():
    with pytest.raises(LookupError, match="main lugs"):
        currents.secondary_device_rating(_site(lugs_only()))


def test_small_conductors_in_parallel_are_limited_together_and_still_refused():
    # 240.4(D): 20 A for 12 AWG copper, two of them 40 A; 310.10(G): none smaller than 1/0 may run in parallel
    site, use = _site(sound()), {"size_": "12", "material": "copper", "kind": "breaker"}
    for rating, expected in ((40, True), (41, False)):
        assert (
            conductor_sizes.protected_by(site, rating=rating, ampacity=60, sets=2, **use)
            is expected
        )
    data = with_facts(
        parallel(),
        primary__conductors__size="12",
        primary__device__rating=40,
        primary__load__continuous_amperes=20,
        primary__load__noncontinuous_amperes=5,
    )
    assert verdict("primary_conductors", data) == "does_not_meet"


@pytest.mark.parametrize(
    ("rating", "ampacity", "expected"),
    [
        # 240.4(B) and (C): the next standard rating up to 800 A; from there the ampacity itself
        (800, 701, True),
        (800, 700, False),
        (801, 800, False),
        (801, 801, True),
        (1000, 900, False),
        # 240.6(A): 15 A is the smallest breaker of every edition; what carries nothing is protected by nothing
        (15, 12, True),
        (10, 0, False),
    ],
)
def test_the_next_standard_rating_protects_up_to_800_amperes(rating, ampacity, expected):
    assert (
        conductor_sizes.protected_by(
            _site(sound()),
            rating=rating,
            ampacity=ampacity,
            size_="2000",
            material="copper",
            sets=1,
            kind="breaker",
        )
        is expected
    )


@pytest.mark.parametrize(
    ("system", "volts", "expected"),
    [
        # 250.20(B)(1): at most 150 V to ground; a wye has line voltage / √3 there: 259.8 V is the limit
        ("wye_3_wire", 259, True),
        ("wye_3_wire", 260, False),
        ("wye_3_wire", 240, True),
        ("wye_3_wire", 480, False),
        ("delta_3_wire_ungrounded", 150, True),
        ("delta_3_wire_ungrounded", 240, False),
    ],
)
def test_a_system_of_at_most_150_volts_to_ground_must_be_grounded(system, volts, expected):
    site = _site(nameplate(75, 3, 480, volts, transformer__secondary_system=system))
    assert grounded_systems.must_be_grounded(site) is expected


# 250.20(B)(3): a delta with a tap leaves the choice where the tap is not run, and is not among them.
@pytest.mark.parametrize("system", ["wye_4_wire", "single_phase_3_wire", "delta_corner_grounded"])
def test_a_system_with_a_neutral_or_a_grounded_phase_is_grounded_whatever_was_not_found(system):
    # 250.20(B), 250.30(A)(3): a jumper or a conductor that nobody found does not make it an ungrounded system
    site = _site(
        nameplate(75, 1 if system == "single_phase_3_wire" else 3, 480, 240),
        transformer__secondary_system=system,
        bonding__system_bonding_jumper__location="none",
        secondary__grounded_conductor__present=False,
    )
    assert grounded_systems.is_grounded(site)
    # a neutral that is not run is not in the raceway; a circuit that cannot close without it has it all the same
    assert grounded_systems.has_grounded_conductor(site) is (system == "delta_corner_grounded")


def test_two_wires_have_a_grounded_conductor_where_the_system_is_grounded_and_a_delta_has_none():
    facts = {"secondary__grounded_conductor__present": False}
    two = nameplate(10, 1, 480, 120, transformer__secondary_system="single_phase_2_wire", **facts)
    assert grounded_systems.has_grounded_conductor(_site(two))
    delta = nameplate(10, 3, 480, 120, transformer__secondary_system="delta_3_wire_ungrounded")
    assert not grounded_systems.has_grounded_conductor(_site(delta))


def test_in_a_nipple_nothing_is_adjusted_and_nothing_gained():
    # 310.15(C)(1)(b): no adjustment in a nipple. 4/0 copper, 75 °C: 230 A × 0.82 at 45 °C (Tables 310.16, 310.15(B)(1));
    # seven to nine conductors elsewhere × 0.70
    data = with_facts(
        sound(),
        secondary__conductors__insulation="THWN",
        secondary__conductors__ambient_celsius=45,
        secondary__conductors__current_carrying=7,
        secondary__raceway__nipple=True,
        secondary__raceway__length_feet=1.5,
        secondary__conductors__length_feet=4,
    )
    assert value_of("secondary_conductor_ampacity", data) == pytest.approx(230 * 0.82)
    assert value_of(
        "secondary_conductor_ampacity", data, secondary__raceway__nipple=False
    ) == pytest.approx(230 * 0.82 * 0.7)


def test_a_conductor_that_the_ampacity_table_does_not_list_carries_nothing():
    # Table 310.16 begins with 12 AWG in aluminum
    site = _site(sound(), primary__conductors__material="aluminum")
    use = conditions_of_use.primary_conditions(site)
    assert conductor_ampacity.ampacity_of(site, use, "14", 1) == 0


@pytest.mark.parametrize(
    ("device", "lug", "column", "said"),
    [(75, 75, 75, False), (60, 90, 60, False), (90, 75, 75, False), (90, 90, 75, True)],
)
def test_that_a_mark_of_90_opens_nothing_is_said_where_both_ends_bear_it(device, lug, column, said):
    # 110.14(C)(1): the lowest rating of both ends counts, and circuits of this kind end at 75 °C at most
    site = _site(
        sound(),
        primary__device__termination_celsius=device,
        primary__conductors__termination_celsius=lug,
        transformer__primary_terminal_celsius=lug,
    )
    termination = primary_termination(site)
    assert termination.amount == column
    assert ("does not open the 90 °C column" in termination.steps[0]) is said


def test_the_steps_of_an_ampacity_name_table_factors_and_terminals_in_turn():
    # Table 310.16: 4/0 copper 260 A at 90 °C, 230 A at 75 °C; Table 310.15(B)(1)(1): 0.91 at 40 °C for 90 °C;
    # Table 310.15(C)(1): 0.80 for four to six. 260 × 0.91 × 0.80 = 189.28 A
    data = with_facts(
        sound(),
        secondary__conductors__size="4/0",
        secondary__conductors__ambient_celsius=40,
        secondary__conductors__current_carrying=6,
    )
    value = conductor_ampacity.secondary_conductor_ampacity(_site(data))
    assert value.amount == pytest.approx(189.28)
    table, ambient, count, terminals, *_ = value.steps
    assert table.startswith("4/0 AWG copper THWN-2: 260 A in the 90 °C column")
    assert ambient.startswith("× 0.91 for 40 °C ambient")
    assert count.startswith("× 0.8 for 6 current-carrying conductors")
    assert count.endswith("= 189.3 A")
    assert "230 A in the 75 °C column" in terminals
    assert terminals.endswith("the lower counts: 189.3 A")
    assert len(value.steps) == 4
    # and each set of two carries as much
    twice = conductor_ampacity.secondary_conductor_ampacity(
        _site(data, secondary__conductors__sets=2, secondary__conductors__raceways=2)
    )
    assert twice.steps[4] == "× 2 in parallel = 378.6 A"


def test_small_conductors_in_parallel_are_held_to_their_limit_each():
    # 310.10(G): control wiring apart, no parallel conductor is as small as 240.4(D) looks at; the limit is each one's
    assert conductor_ampacity.largest_device(_site(sound()), 70, "12", "copper", 1) == 20
    assert conductor_ampacity.largest_device(_site(sound()), 70, "12", "copper", 2) == 40
    assert conductor_ampacity.largest_device(_site(sound()), 35, "12", "copper", 2) == 35


def test_a_size_that_the_table_has_not_takes_no_ampacity_and_says_so():
    # Table 310.16 begins with 12 AWG aluminum
    data = with_facts(
        sound(), primary__conductors__size="14", primary__conductors__material="aluminum"
    )
    value = conductor_ampacity.primary_conductor_ampacity(_site(data))
    assert value.amount == 0
    assert value.steps[0].endswith("has no 14 AWG aluminum: no ampacity is counted.")


def test_insulation_that_is_not_for_wet_places_takes_no_ampacity_and_says_so():
    # Table 310.4(1): THHN is for dry and damp locations
    data = with_facts(
        sound(),
        primary__conductors__insulation="THHN",
        primary__conductors__wet_location=True,
    )
    value = conductor_ampacity.primary_conductor_ampacity(_site(data))
    assert value.amount == 0
    assert "THHN may not be used in a wet location" in value.steps[0]


@pytest.mark.parametrize(
    ("system", "count"),
    [("wye_4_wire", 4), ("delta_high_leg", 4), ("delta_corner_grounded", 3), ("wye_3_wire", 4)],
)
def test_a_neutral_that_carries_current_is_counted_where_the_system_has_one(system, count):
    # 310.15(E)(3): a neutral whose current is mostly harmonics counts; three phases stand for the rest
    site = _site(
        sound(),
        transformer__secondary_system=system,
        secondary__conductors__current_carrying=3,
        secondary__grounded_conductor__current_carrying=True,
    )
    assert conductor_runs.current_carrying(site, sides.SECONDARY) == count


def test_the_whole_load_counts_after_correction_where_rounding_up_would_do_for_the_device():
    # Table 310.16, 3 AWG copper: 115 A at 90 °C, 100 A at 75 °C; 0.82 at 50 °C (Table 310.15(B)(1)(1)): 94.3 A.
    # 240.4(B) lets 100 A protect it; 215.2(A)(1) asks for the whole load, so 100 A needs 2 AWG: 130 × 0.82 = 106.6 A
    data = with_facts(
        sound(),
        primary__device__rating=100,
        primary__conductors__ambient_celsius=50,
        primary__load__continuous_amperes=0,
    )
    for load, least in ((94, "3"), (100, "2")):
        assert (
            value_of("primary_conductor_minimum", data, primary__load__noncontinuous_amperes=load)
            == least
        )


def _protected(rating: float, ampacity: float) -> bool:
    return conductor_sizes.protected_by(
        _site(sound()),
        rating=rating,
        ampacity=ampacity,
        size_="500",
        material="copper",
        sets=2,
        kind="breaker",
    )


def test_rounding_up_ends_at_800_amperes_and_an_ampacity_of_nothing_is_protected_by_nothing():
    # 240.4(B)(3): 800 A or less; 240.6(A): 1000 A is the rating above 800 A
    assert _protected(800, 760)
    assert not _protected(801, 800.5)
    # 10 A is the smallest standard rating of a breaker (240.6(A), 2023)
    assert not _protected(10, 0)


def test_parallel_minimums_are_written_with_their_sets():
    data = with_facts(parallel(), primary__conductors__sets=2, primary__conductors__raceways=2)
    for each in primary_conductors.primary_conductor_minimum(_site(data)).alternatives:
        assert each.shown.startswith("2 × ")
    for each in primary_conductors.primary_conductor_minimum(_site(sound())).alternatives:
        assert "×" not in each.shown


@pytest.mark.parametrize(
    ("phases", "said"),
    [(3, "Primary: 75 kVA × 1000 / (1.732 × 480 V)"), (1, "Primary: 75 kVA × 1000 / 480 V")],
)
def test_the_step_of_the_full_load_current_has_the_root_of_three_for_three_phases(phases, said):
    # definition of the rated current; 450.3
    step = currents.full_load_current_primary(_site(nameplate(75, phases, 480, 240))).steps[0]
    assert step.startswith(f"{said} = ")


def test_a_limit_above_the_largest_standard_rating_is_shown_with_that_rating():
    # 240.6(A) ends at 6000 A for breakers. 5000 kVA, 208 V: 13 879 A × 125 % = 17 348 A (Table 450.3(B))
    data = nameplate(5000, 3, 480, 208, secondary__protection__device_kind="breaker")
    value = checked(job(data)).values["secondary_device_maximum"]
    assert value.value == pytest.approx(17_348, abs=1)
    assert value.shown.endswith("(6,000 A device)")


def test_a_limit_between_standard_ratings_is_shown_with_the_rating_that_keeps_it():
    # Table 450.3(B), primary and secondary: 90.2 A × 250 % = 225.5 A, not rounded up; 240.6(A): 225 A
    values = checked(job(nameplate(75, 3, 480, 208))).values
    limit = values["primary_device_maximum_with_secondary_protection"]
    assert limit.shown == "225.5 A (225 A device)"
    # primary only: 125 % = 112.8 A, the next standard rating is the limit itself
    assert values["primary_device_maximum"].shown == "125 A"


@pytest.mark.parametrize(("rating", "said"), [(800, True), (801, False), (1000, False)])
def test_rounding_up_is_named_among_what_is_required_up_to_800_amperes(rating, said):
    # 240.4(B)(3) and (C)
    check = found("primary_conductor_protection", sound(), primary__device__rating=rating)
    assert ("next standard rating" in check.required) is said


def test_whether_a_device_is_rated_for_100_percent_is_asked_only_where_it_matters():
    # 215.3 exception: 1 AWG copper at 75 °C carries 130 A (Table 310.16); 80 A × 125 % = 100 A is below that
    check = found(
        "primary_conductors",
        sound(),
        primary__device__rating=150,
        primary__device__continuous_percent=None,
        primary__conductors__size="1",
        primary__load__continuous_amperes=80,
        primary__load__noncontinuous_amperes=0,
    )
    assert (check.verdict, check.even_if) == ("meets", [])


def test_large_liquidtight_flexible_conduit_says_why_it_is_no_equipment_grounding_conductor():
    # 250.118: LFMC of trade sizes 3/4 to 1-1/4, with devices of 60 A or less
    check = found(
        "primary_equipment_grounding",
        sound(),
        primary__equipment_grounding__kind="raceway",
        primary__raceway__type="LFMC",
        primary__raceway__trade_size="1-1/2",
    )
    assert check.verdict == "does_not_meet"
    assert "larger than 1-1/4 in." in check.reason


def test_what_may_not_be_used_here_or_is_in_no_table_has_no_ampacity_before_correction_either():
    # Table 310.4(1): an insulation for dry places carries nothing in a wet one. Table 310.16 has no aluminum below 12 AWG.
    site = _site(sound())
    use = conditions_of_use.secondary_conditions(site)
    dry = conductor_ampacity.ampacity_before_correction(site, use, "4/0", 2)
    assert dry == 2 * 230  # Table 310.16, 4/0 AWG copper, 75 °C
    wet = use._replace(column=conditions_of_use.NOT_FOR_HERE)
    assert conductor_ampacity.ampacity_before_correction(site, wet, "4/0", 1) == 0
    aluminum = use._replace(material="aluminum")
    assert conductor_ampacity.ampacity_before_correction(site, aluminum, "14", 1) == 0
