"""Meter readings. No reading passes a bond; it can only fail one."""

import pytest

from tests.engine.checked import checked, found, verdict
from tests.engine.jobs import (
    corner_grounded,
    high_leg,
    job,
    nameplate,
    single_phase,
    sound,
    ungrounded_delta,
    with_facts,
)


@pytest.mark.parametrize(
    ("deviation", "severity"),
    # what is fed gets a voltage as far off: +-10 % at the terminals is a danger there (common practice, no source)
    [(3, "advice"), (10, "advice"), (10.1, "danger"), (100, "danger")],
)
def test_a_turns_ratio_far_off_is_a_danger(deviation, severity) -> None:
    check = found("turns_ratio_reading", sound(), readings__turns_ratio_deviation_percent=deviation)
    assert check.verdict == "does_not_meet"
    assert check.severity == severity


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        # ANSI C84.1 range A, 5 % (as printed in COMAR 20.50.07.02): 208 V is 197.6 to 218.4 V
        ([197.6, 208, 218.4], "meets"),
        ([197.5, 208, 208], "does_not_meet"),
        ([208, 208, 218.5], "does_not_meet"),
        ([], "cannot_tell"),
        (None, "cannot_tell"),
    ],
)
def test_line_to_line_within_5_percent(readings, expected):
    assert (
        verdict("line_to_line_reading", sound(), readings__line_to_line_volts=readings) == expected
    )


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        # mean 200, largest difference 3 % and more (common practice, from memory)
        ([200, 206, 194], "meets"),
        ([200, 206.1, 193.9], "does_not_meet"),
        ([208, 208], "cannot_tell"),
        # at best the third stands between: 190 and 208 V are 4.5 % off their mean of 199 V whatever it is (arithmetic)
        ([190, 208], "does_not_meet"),
        ([0, 0, 0], "cannot_tell"),
    ],
)
def test_balance_within_3_percent(readings, expected):
    data = with_facts(sound(), readings__line_to_neutral_volts=None)
    assert (
        verdict("voltage_balance_reading", data, readings__line_to_line_volts=readings) == expected
    )


def test_one_phase_has_nothing_to_balance():
    assert verdict("voltage_balance_reading", single_phase()) == "does_not_apply"
    assert verdict("rotation_reading", single_phase()) == "does_not_apply"


@pytest.mark.parametrize(
    ("data", "readings", "expected"),
    [
        # 208/√3 = 120.09 V ± 5 %: 114.1 to 126.1 V
        (sound(), [114.1, 114.2, 114.1], "meets"),
        (sound(), [126, 126, 125.9], "meets"),
        (sound(), [114, 114, 114], "does_not_meet"),
        # unlike each other by more than 3 % of their mean at no load: displaced (common practice, from memory)
        (sound(), [114.2, 120, 126], "does_not_meet"),
        (sound(), [117, 120, 123], "meets"),
        # 240/2 = 120 V ± 5 %
        (single_phase(), [114, 114], "meets"),
        (single_phase(), [113.9, 114], "does_not_meet"),
        (single_phase(), [114, 126], "does_not_meet"),
        # high leg: 120, 120 and 240 × 0.866 = 207.8 V, in any order (common practice, no source)
        (high_leg(), [208, 120, 120], "meets"),
        (high_leg(), [120, 208, 120], "meets"),
        (high_leg(), [139, 139, 139], "does_not_meet"),
        (high_leg(), [208, 208, 120], "does_not_meet"),
        (high_leg(), [120, 120], "cannot_tell"),
        (high_leg(), [208, 120], "cannot_tell"),
        # no third reading rescues a pair that fits no two places
        (high_leg(), [208, 208], "does_not_meet"),
        (high_leg(), [139], "does_not_meet"),
        (corner_grounded(), [120], "does_not_apply"),
    ],
)
def test_line_to_neutral_follows_the_system(data, readings, expected):
    alone = with_facts(data, readings__line_to_line_volts=None)
    assert (
        verdict("line_to_neutral_reading", alone, readings__line_to_neutral_volts=readings)
        == expected
    )


@pytest.mark.parametrize(
    ("volts", "expected"),
    [
        (0, "cannot_tell"),
        (2, "cannot_tell"),
        (10, "cannot_tell"),
        (10.1, "does_not_meet"),
        (None, "cannot_tell"),
    ],
)
def test_neutral_to_ground_can_fail_a_jumper_and_never_pass_one(volts, expected):
    # EC&M, "The safety net of grounding and bonding": tens of volts; the 2 V and 10 V are common practice, no source
    assert (
        verdict("neutral_to_ground_reading", sound(), readings__neutral_to_ground_volts=volts)
        == expected
    )


def test_a_small_voltage_is_told_apart_from_nothing():
    assert (
        "thin"
        in found("neutral_to_ground_reading", sound(), readings__neutral_to_ground_volts=2).reason
    )
    assert (
        "loaded neutral"
        in found("neutral_to_ground_reading", sound(), readings__neutral_to_ground_volts=2.1).reason
    )


def test_a_floating_neutral_with_one_phase_at_zero_is_a_fault_on_top():
    check = found(
        "neutral_to_ground_reading",
        sound(),
        readings__neutral_to_ground_volts=120,
        readings__line_to_ground_volts=[208, 0, 208],
    )
    assert "faulted" in check.reason
    plain = found("neutral_to_ground_reading", sound(), readings__neutral_to_ground_volts=54)
    assert "faulted" not in plain.reason


def test_an_ungrounded_system_has_no_neutral_to_read():
    assert verdict("neutral_to_ground_reading", ungrounded_delta()) == "does_not_apply"


@pytest.mark.parametrize(
    ("volts", "expected"), [(0.1, "does_not_meet"), (0.11, "cannot_tell"), (1.5, "cannot_tell")]
)
def test_no_drop_at_a_loaded_outlet_hints_at_a_second_bond(volts, expected):
    # EC&M, "When circuit boards are toast", part 9
    assert (
        verdict(
            "far_neutral_to_ground_reading", sound(), readings__neutral_to_ground_far_volts=volts
        )
        == expected
    )


@pytest.mark.parametrize(
    ("jumper", "electrode", "expected"),
    [
        (1, 1, "cannot_tell"),
        (1.1, 0, "does_not_meet"),
        (0, 1.1, "does_not_meet"),
        (None, 0, "cannot_tell"),
        (0, None, "cannot_tell"),
        (1.1, None, "does_not_meet"),
        (None, 1.1, "does_not_meet"),
    ],
)
def test_current_on_bonding_conductors_hints_at_a_second_bond(jumper, electrode, expected):
    # 1 A: common practice, no source
    data = with_facts(
        sound(),
        readings__bonding_conductor_amperes=jumper,
        readings__electrode_conductor_amperes=electrode,
    )
    assert verdict("bonding_current_reading", data) == expected


@pytest.mark.parametrize(
    ("megohms", "expected"), [(1, "meets"), (0.99, "does_not_meet"), (None, "cannot_tell")]
)
def test_the_lifted_neutral_is_clear_of_ground(megohms, expected):
    # Mike Holt forum, "110.7 neutral ground test": at least 1 megohm
    assert (
        verdict("neutral_insulation_reading", sound(), readings__neutral_insulation_megohms=megohms)
        == expected
    )


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # ANSI/NETA, Table 100.5, up to 600 V (from memory): 1000 V dc; dry 500 megohm, liquid-filled 100 megohm
        ({"readings__winding_insulation_megohms": 500}, "meets"),
        ({"readings__winding_insulation_megohms": 499}, "does_not_meet"),
        ({"readings__winding_insulation_megohms": 120}, "does_not_meet"),
        ({"transformer__construction": "cast_resin"}, "meets"),
        (
            {"transformer__construction": "liquid", "readings__winding_insulation_megohms": 100},
            "meets",
        ),
        (
            {"transformer__construction": "liquid", "readings__winding_insulation_megohms": 99},
            "does_not_meet",
        ),
        ({"transformer__construction": None}, "cannot_tell"),
        ({"readings__insulation_test_volts": 500}, "cannot_tell"),
        ({"readings__insulation_test_volts": None}, "cannot_tell"),
        ({"transformer__primary_volts": 601}, "cannot_tell"),
    ],
)
def test_winding_insulation_by_the_acceptance_table(facts, expected):
    assert verdict("winding_insulation_reading", sound(), **facts) == expected


@pytest.mark.parametrize(
    ("ohms", "expected"), [(0.5, "cannot_tell"), (0.51, "does_not_meet"), (None, "cannot_tell")]
)
def test_a_low_resistance_does_not_prove_a_path(ohms, expected):
    # NETA, 0.5 ohm, as quoted in Physics Forums thread 716983; a device this small opens at the current that it leaves
    small = with_facts(sound(), primary__device__rating=15)
    assert verdict("bonding_path_reading", small, readings__bonding_path_ohms=ohms) == expected


@pytest.mark.parametrize(
    ("data", "facts", "least_ohms"),
    [
        # Ohm's law and the winding's ratio: 120.1 V / R × 120.1 / 480 V must reach the 125 A of the device
        (sound(), {}, 0.2404),
        # 208Y/120 from a wye: 120.1 V / R × 120.1 / 277.1 V
        (sound(), {"transformer__primary_system": "wye_4_wire"}, 0.4163),
        # 240/120 V: 120 V / R × 120 / 480 V must reach 70 A
        (single_phase(), {}, 0.4286),
        # a corner at ground: 240 V / R × 240 / 480 V must reach 125 A; NETA's 0.5 ohm is not the limit that bites
        (corner_grounded(), {"primary__device__rating": 400}, 0.3),
        # ungrounded: the second fault is driven by the lines
        (ungrounded_delta(), {"primary__device__rating": 400}, 0.3),
        # a trip that anyone can turn up to 250 A (240.6(B))
        (
            sound(),
            {
                "primary__device__adjustable": True,
                "primary__device__rating_basis": "setting_open",
                "primary__device__highest_rating": 250,
            },
            0.1202,
        ),
    ],
)
def test_a_path_through_which_no_device_opens_is_a_danger(data, facts, least_ohms):
    # 250.4(A)(5): the path must let the device operate
    for ohms, expected in (
        (least_ohms * 0.99, "cannot_tell"),
        (least_ohms * 1.01, "does_not_meet"),
    ):
        check = found("bonding_path_reading", data, **facts, readings__bonding_path_ohms=ohms)
        assert check.verdict == expected, ohms
        assert check.verdict == "cannot_tell" or check.severity == "danger"


def test_what_is_not_known_never_makes_a_bonding_path_worse():
    # at most 208 V / 0.5 ohm × 208 / 277.1 V = 312 A, above 125 A
    unknown = with_facts(
        sound(), transformer__secondary_system=None, transformer__primary_system=None
    )
    assert (
        verdict("bonding_path_reading", unknown, readings__bonding_path_ohms=0.5) == "cannot_tell"
    )
    assert verdict("bonding_path_reading", sound(), readings__bonding_path_ohms=0.5) == (
        "does_not_meet"
    )


@pytest.mark.parametrize(
    ("same", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_rotation_as_before(same, expected):
    assert verdict("rotation_reading", sound(), readings__rotation_matches_record=same) == expected


@pytest.mark.parametrize(
    ("percent", "expected"), [(0.5, "meets"), (0.51, "does_not_meet"), (None, "cannot_tell")]
)
def test_turns_ratio_within_half_a_percent(percent, expected):
    # from memory (NETA, IEEE C57.12.91)
    assert (
        verdict("turns_ratio_reading", sound(), readings__turns_ratio_deviation_percent=percent)
        == expected
    )


@pytest.mark.parametrize(
    ("percent", "every_tap", "expected"),
    [
        (0.2, True, "meets"),
        (0.2, False, "cannot_tell"),
        (0.2, None, "cannot_tell"),
        # A bad one is bad whatever else was read.
        (0.6, False, "does_not_meet"),
        (0.6, None, "does_not_meet"),
    ],
)
def test_a_turns_ratio_passes_only_when_every_tap_was_read(percent, every_tap, expected):
    # from memory (NETA acceptance testing: at all tap positions)
    readings = {
        "readings__turns_ratio_deviation_percent": percent,
        "readings__turns_ratio_taps_read": every_tap,
    }
    assert verdict("turns_ratio_reading", sound(), **readings) == expected


def test_one_pair_is_enough_for_a_single_phase_and_three_are_wanted_for_three_phases():
    # ANSI C84.1, range A: within 5 % of nominal
    one = with_facts(
        nameplate(25, 1, 480, 240), purpose="replacement", readings__line_to_line_volts=[240]
    )
    assert verdict("line_to_line_reading", one) == "meets"
    three = nameplate(75, 3, 480, 208, purpose="replacement")
    for readings, expected in (
        ([208], "cannot_tell"),
        ([208, 207], "cannot_tell"),
        ([208, 207, 209], "meets"),
        ([230], "does_not_meet"),
    ):
        assert (
            verdict("line_to_line_reading", three, readings__line_to_line_volts=readings)
            == expected
        )


def test_a_clamp_reading_that_nobody_took_is_not_shown_as_none():
    # common practice, no source, for the threshold of 1 A
    check = found(
        "bonding_current_reading",
        sound(),
        readings__bonding_conductor_amperes=3,
        readings__electrode_conductor_amperes=None,
    )
    assert (check.verdict, check.found) == ("does_not_meet", "3 A on the bonding path")


# --- readings that are a danger, whatever the visit ---------------------------------------------------------------------


@pytest.mark.parametrize("purpose", ["installation", "grounding", "replacement"])
@pytest.mark.parametrize(
    ("id_", "data", "readings"),
    [
        # beyond both ranges of ANSI C84.1 (range B to +5.8 % and -8.3 %, from memory); 10 % is common practice, no source
        ("line_to_line_reading", sound(), {"line_to_line_volts": [480, 480, 480]}),
        ("line_to_line_reading", sound(), {"line_to_line_volts": [208, 120, 120]}),
        ("line_to_line_reading", sound(), {"line_to_line_volts": [208, 0, 208]}),
        ("line_to_neutral_reading", single_phase(), {"line_to_neutral_volts": [60, 180]}),
        ("line_to_neutral_reading", sound(), {"line_to_neutral_volts": [126, 114.2, 120]}),
        ("line_to_neutral_reading", high_leg(), {"line_to_neutral_volts": [139, 139, 139]}),
        # 3 % of the mean, as on 240/120 V: common practice, from memory
        ("line_to_neutral_reading", high_leg(), {"line_to_neutral_volts": [125, 208, 115]}),
        ("line_to_neutral_reading", high_leg(), {"line_to_neutral_volts": [132, 108]}),
        # 10 V: common practice, no source
        ("far_neutral_to_ground_reading", sound(), {"neutral_to_ground_far_volts": 118}),
        # 1 megohm: common practice, no source
        ("winding_insulation_reading", sound(), {"winding_insulation_megohms": 0}),
        ("winding_insulation_reading", sound(), {"winding_insulation_megohms": 0.9}),
        # 120 V / 0.7 ohm = 172 A, 43 A on the primary; the device ahead needs 125 A (250.4(A)(5))
        ("bonding_path_reading", sound(), {"bonding_path_ohms": 5000}),
        ("bonding_path_reading", sound(), {"bonding_path_ohms": 0.7}),
        # other readings show it live: nothing between line and neutral is an open neutral, nothing between the lines one phase
        (
            "line_to_neutral_reading",
            sound(),
            {"line_to_neutral_volts": [5, 5, 5], "line_to_line_volts": [208] * 3},
        ),
        (
            "line_to_neutral_reading",
            single_phase(),
            {"line_to_neutral_volts": [0, 0], "line_to_line_volts": [240]},
        ),
        (
            "line_to_neutral_reading",
            high_leg(),
            {"line_to_neutral_volts": [3, 3, 3], "line_to_line_volts": [240] * 3},
        ),
        (
            "line_to_line_reading",
            sound(),
            {"line_to_line_volts": [0, 0, 0], "line_to_ground_volts": [120] * 3},
        ),
    ],
)
def test_a_reading_far_off_is_a_danger_on_any_visit(id_, data, readings, purpose):
    facts = {f"readings__{name}": value for name, value in readings.items()}
    check = found(id_, data, purpose=purpose, **facts)
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")
    result = checked(job(with_facts(data, purpose=purpose, **facts)))
    assert result.overall.verdict == "conflict_found"
    assert "danger to life" in result.overall.text


@pytest.mark.parametrize(
    ("id_", "readings"),
    [
        ("line_to_line_reading", {"line_to_line_volts": [190] * 3, "line_to_neutral_volts": None}),
        (
            "line_to_line_reading",
            {
                "line_to_line_volts": [0, 0, 0],
                "line_to_neutral_volts": [0, 1, 0],
                "line_to_ground_volts": None,
            },
        ),
        ("winding_insulation_reading", {"winding_insulation_megohms": 499}),
        ("bonding_path_reading", {"bonding_path_ohms": 0.6}),
    ],
)
def test_a_reading_a_little_off_is_advice(id_, readings):
    facts = {f"readings__{name}": value for name, value in readings.items()}
    # 120 V / 0.6 ohm is 200 A, 50 A on the primary: a device of 15 A opens
    facts["primary__device__rating"] = 15
    check = found(id_, sound(), **facts)
    assert (check.verdict, check.severity) == ("does_not_meet", "advice")


@pytest.mark.parametrize(
    ("place", "volts", "expected"),
    [
        # 250.30(A)(1): a jumper in this case joins neutral and case, so nothing can stand between them
        ("source", 9.5, "does_not_meet"),
        ("both", 9.5, "does_not_meet"),
        ("first_disconnect", 9.5, "cannot_tell"),
        (None, 9.5, "cannot_tell"),
        ("source", 2, "cannot_tell"),
    ],
)
def test_with_the_jumper_in_this_case_no_voltage_stands_across_it(place, volts, expected):
    data = with_facts(sound(), bonding__system_bonding_jumper__location=place)
    assert (
        verdict("neutral_to_ground_reading", data, readings__neutral_to_ground_volts=volts)
        == expected
    )


@pytest.mark.parametrize(
    ("data", "readings", "expected"),
    [
        # geometry: 208/√3 = 120.1 V; 240/2 = 120 V and 240 × 0.866 = 207.8 V; a corner at ground leaves 240 V on two
        (sound(), [120, 121, 119], "meets"),
        (sound(), [0, 208, 208], "does_not_meet"),
        (sound(), [85, 125, 150], "does_not_meet"),
        (sound(), [120, 120], "cannot_tell"),
        # whatever the other lines show, these fit no place of the pattern
        (sound(), [208, 208], "does_not_meet"),
        (sound(), [208], "does_not_meet"),
        (single_phase(), [240], "does_not_meet"),
        (high_leg(), [208], "cannot_tell"),
        (high_leg(), [208, 208], "does_not_meet"),
        (corner_grounded(), [139], "does_not_meet"),
        (corner_grounded(), [240], "cannot_tell"),
        (corner_grounded(), [0], "cannot_tell"),
        (corner_grounded(), [0, 0], "does_not_meet"),
        # the line of 0 V alone: live by what the lines read to each other
        (sound(), [0], "does_not_meet"),
        (sound(), [0, 0, 0], "cannot_tell"),
        (sound(), [], "cannot_tell"),
        (sound(), None, "cannot_tell"),
        (single_phase(), [120, 121], "meets"),
        (single_phase(), [0, 240], "does_not_meet"),
        (high_leg(), [208, 120, 120], "meets"),
        (high_leg(), [139, 139, 139], "does_not_meet"),
        (corner_grounded(), [240, 0, 241], "meets"),
        (corner_grounded(), [139, 139, 139], "does_not_meet"),
        (corner_grounded(), [240, 12, 240], "does_not_meet"),
        # ungrounded, held by capacitance alone: 240/√3 = 139 V; one line at ground is a fault that stands
        (ungrounded_delta(), [139, 138, 140], "meets"),
        (ungrounded_delta(), [0, 240, 240], "does_not_meet"),
        (ungrounded_delta(), [0, 240], "does_not_meet"),
        (ungrounded_delta(), [50, 180, 210], "cannot_tell"),
        (ungrounded_delta(), [139, 139], "cannot_tell"),
        # two lines at full voltage leave the third none; three can't be farther than 240/√3 V from one point
        (ungrounded_delta(), [240, 240], "does_not_meet"),
        (ungrounded_delta(), [240, 240, 240], "does_not_meet"),
        (ungrounded_delta(), [450, 450, 450], "does_not_meet"),
        (ungrounded_delta(), [450], "does_not_meet"),
        (ungrounded_delta(), [240], "cannot_tell"),
        (ungrounded_delta(), [150, 150, 152], "meets"),
        (ungrounded_delta(), [80, 220, 230], "cannot_tell"),
        (ungrounded_delta(), [1, 1, 1], "cannot_tell"),
    ],
)
def test_voltages_to_ground_have_the_pattern_of_the_connection(data, readings, expected):
    check = found("line_to_ground_reading", data, readings__line_to_ground_volts=readings)
    assert (check.verdict, check.severity) == (expected, "danger")


def test_what_stands_at_ground_is_named():
    def reason(data, readings):
        return found("line_to_ground_reading", data, readings__line_to_ground_volts=readings).reason

    assert "the neutral is not" in reason(sound(), [0, 208, 208])
    assert "No line is at ground" in reason(corner_grounded(), [139, 139, 139])
    assert "second" not in reason(ungrounded_delta(), [0, 240, 240])
    assert "the next one" in reason(ungrounded_delta(), [0, 240, 240])


def test_a_two_wire_circuit_has_one_line_at_ground():
    data = with_facts(
        single_phase(),
        transformer__secondary_volts=120,
        transformer__secondary_system="single_phase_2_wire",
    )
    assert verdict("line_to_ground_reading", data, readings__line_to_ground_volts=[120, 0]) == (
        "meets"
    )
    assert verdict("line_to_ground_reading", data, readings__line_to_ground_volts=[60, 60]) == (
        "does_not_meet"
    )


# --- a grounded conductor that stands off the case, on every system -----------------------------------------------------


def _two_wire():
    return with_facts(
        single_phase(),
        transformer__secondary_system="single_phase_2_wire",
        secondary__grounded_conductor__current_carrying=True,
        readings__line_to_neutral_volts=None,
        readings__neutral_to_ground_volts=None,
        readings__neutral_to_ground_far_volts=None,
    )


@pytest.mark.parametrize("purpose", ["installation", "grounding"])
@pytest.mark.parametrize(
    ("data", "to_ground"),
    [
        # own arithmetic: half the difference of lines that are alike to the neutral; 2 V and 3 %: common practice, no source
        (high_leg(), [132, 208, 108]),
        (high_leg(), [108, 132, 208]),
        # own arithmetic: 208 V is 0.866 of 240 V; (208 - 190) / 2.73 = 6.5 V
        (high_leg(), [120, 190, 120]),
        # near ground is 2 V: common practice, no source
        (corner_grounded(), [240, 8, 240]),
        (corner_grounded(), [236, 3, 239]),
        (_two_wire(), [232, 8]),
        (single_phase(), [130, 110]),
        (sound(), [130, 110, 122]),
    ],
)
def test_a_grounded_conductor_off_the_case_is_open_on_every_visit(data, to_ground, purpose) -> None:
    facts = with_facts(
        data,
        purpose=purpose,
        readings__line_to_ground_volts=to_ground,
        readings__neutral_to_ground_volts=None,
        readings__line_to_neutral_volts=None,
        readings__line_to_line_volts=None,
    )
    result = checked(job(facts))
    check = next(c for c in result.checks if c.id == "line_to_ground_reading")
    assert (check.verdict, check.severity, check.asked) == ("cannot_tell", "danger", True)
    assert result.overall.verdict != "no_conflict_found"


@pytest.mark.parametrize(
    ("data", "to_ground", "expected"),
    [
        # own arithmetic: the neutral is at the case, so that lines unlike to the case are as unlike to it
        (sound(), [130, 110, 122], "does_not_meet"),
        (single_phase(), [130, 110], "does_not_meet"),
        (high_leg(), [128, 208, 112], "does_not_meet"),
        (high_leg(), [120, 190, 120], "cannot_tell"),
        (high_leg(), [122, 205, 118], "meets"),
        (single_phase(), [124, 117], "meets"),
        (corner_grounded(), [240, 1, 240], "meets"),
    ],
)
def test_a_neutral_at_the_case_explains_no_lines_unlike_to_it(data, to_ground, expected) -> None:
    check = found(
        "line_to_ground_reading",
        data,
        readings__line_to_ground_volts=to_ground,
        readings__neutral_to_ground_volts=0.1,
        readings__line_to_neutral_volts=None,
        readings__line_to_line_volts=None,
    )
    assert (check.verdict, check.severity) == (expected, "danger")


def test_readings_that_prove_nothing_keep_no_visit_open() -> None:
    """Near zero at a jumper that was seen: the jumper has a line of its own, and an unseen one keeps that open."""
    data = with_facts(
        sound(),
        readings__neutral_to_ground_volts=0.4,
        readings__bonding_conductor_amperes=0.1,
        readings__electrode_conductor_amperes=0.1,
    )
    for id_ in ("neutral_to_ground_reading", "bonding_current_reading"):
        check = found(id_, data)
        assert (check.verdict, check.severity) == ("cannot_tell", "advice")
    unseen = with_facts(data, bonding__system_bonding_jumper__location=None)
    assert found("system_bonding_jumper", unseen).severity == "danger"
    assert verdict("system_bonding_jumper", unseen) == "cannot_tell"


@pytest.mark.parametrize(
    ("place", "to_ground", "expected", "severity"),
    [
        # own arithmetic: half of what the lines differ apart from their voltages to the neutral
        ("source", [125, 120, 115], "does_not_meet", "danger"),
        ("source", [123, 120, 117], "cannot_tell", "danger"),
        # what moves all lines alike is the supply, not the neutral
        ("source", [123, 123, 123], "cannot_tell", "danger"),
        # drop on a loaded neutral to a jumper elsewhere
        ("first_disconnect", [125, 120, 115], "cannot_tell", "danger"),
    ],
)
def test_lines_read_to_the_neutral_and_to_its_case_tell_of_the_jumper(
    place, to_ground, expected, severity
) -> None:
    data = with_facts(
        sound(),
        bonding__system_bonding_jumper__location=place,
        electrode__connected_at=place,
        readings__neutral_to_ground_volts=None,
        readings__line_to_neutral_volts=[120, 120, 120],
        readings__line_to_ground_volts=to_ground,
    )
    check = found("neutral_to_ground_reading", data)
    assert (check.verdict, check.severity) == (expected, severity)
    said = "the system bonding jumper in that case" in check.reason
    assert said == (place == "source" and to_ground[0] != to_ground[2])
