"""Interrupting ratings and inrush.

Fault current on an infinite bus: rated current × 100 / %Z ("Percent impedance", BCcampus open textbook). 75 kVA, 208 V:
208.18 A × 100 / 4.5 = 4626 A. Inrush: 8 to 12 times rated current, up to about 25 times (common practice, no source).
"""

import pytest

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
    # 1 kA at 480 V is 2.308 kA at 208 V; no combination with the transformer gives more than that
    assert verdict("interrupting_ratings", sound(), **{BUS: 2.31, SOURCE: 1}) == "meets"


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
    assert "band" in found("inrush", sound(), primary__device__instantaneous_multiple=7).reason


def test_fuses_depend_on_their_curve():
    check = found("inrush", sound(), primary__device__kind="fuse")
    assert check.verdict == "cannot_tell"
    assert "1,082.5 A" in check.reason


def test_a_legal_small_device_draws_a_written_question():
    # 45 kVA, 480 V: 54.1 A; at most 70 A; an existing 50 A device is legal (common practice, no source)
    result = checked(job(nameplate(45, 3, 480, 208), primary__device__rating=50))
    assert next(c for c in result.checks if c.id == "primary_device").verdict == "meets"
    assert any(
        "50 A" in text and "54.1 A" in text and "70 A" in text for text in result.written_questions
    )
