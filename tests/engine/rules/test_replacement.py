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
    [(4.5, "meets"), (4.4, "meets"), (4.6, "does_not_meet"), (None, "cannot_tell")],
)
def test_a_higher_fault_current_asks_for_every_rating_downstream(impedance, expected):
    assert (
        verdict("replacement_fault_current", sound(), replacement__old__impedance_percent=impedance)
        == expected
    )


def test_more_kva_with_the_same_impedance_raises_the_fault_current():
    check = found("replacement_fault_current", sound(), replacement__old__kva=45)
    assert check.verdict == "does_not_meet"
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
