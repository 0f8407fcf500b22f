"""Old and new nameplate side by side: what differs, what follows from each, and nothing from what is not known."""

import pytest

from engine.result import Compared
from tests.engine.checked import checked
from tests.engine.jobs import job, nameplate, sound, with_facts


def lines(data) -> dict[str, Compared]:
    return {line.label: line for line in checked(job(data)).nameplates}


def replaced(**old):
    return with_facts(
        sound(), purpose="replacement", **{f"replacement__old__{k}": v for k, v in old.items()}
    )


def test_more_kva_is_shown_with_the_currents_before_and_now() -> None:
    shown = lines(replaced(kva=45, primary_volts=480, secondary_volts=208))
    assert (shown["Rated power"].old, shown["Rated power"].new) == ("45 kVA", "75 kVA")
    assert shown["Rated power"].change == "changed"
    assert "Larger than before" in shown["Rated power"].effect
    # own arithmetic: 45 kVA × 1000 / (1.732 × 480 V) = 54.1 A, 75 kVA: 90.2 A; 208 V: 124.9 A, 208.2 A
    current = shown["Full-load current, primary"]
    assert (current.old, current.new) == ("54.1 A", "90.2 A")
    current = shown["Full-load current, secondary"]
    assert (current.old, current.new) == ("124.9 A", "208.2 A")


def test_less_impedance_is_shown_with_the_fault_current_before_and_now() -> None:
    shown = lines(replaced(kva=75, primary_volts=480, secondary_volts=208, impedance_percent=5))
    # "Percent impedance", Single-Phase Transformers, BCcampus open textbook: current / (%Z / 100);
    # 208.2 A / 0.05 = 4.16 kA, 208.2 A / 0.045 = 4.63 kA
    fault = shown["Fault current at the terminals, infinite bus"]
    assert (fault.old, fault.new, fault.change) == ("4.16 kA", "4.63 kA", "changed")
    assert "rating downstream" in fault.effect
    assert "Fault current higher than before" in shown["Impedance"].effect


@pytest.mark.parametrize(
    ("facts", "label", "change"),
    [
        ({"secondary_volts": 240}, "Secondary voltage", "changed"),
        ({"secondary_volts": 208}, "Secondary voltage", "same"),
        ({"secondary_volts": None}, "Secondary voltage", "not_known"),
        ({"secondary_system": "delta_high_leg"}, "Secondary connection", "changed"),
        ({"k_factor": 13}, "K-factor", "changed"),
        ({"temperature_rise_celsius": None}, "Temperature rise", "not_known"),
    ],
)
def test_each_line_says_same_changed_or_not_known(facts, label, change) -> None:
    line = lines(replaced(**facts))[label]
    assert line.change == change
    assert bool(line.effect) == (change == "changed")


@pytest.mark.parametrize(
    ("facts", "label", "old", "new", "section"),
    [
        # 110.14(C)(1): EC&M article 21274530; 450.9: Mike Holt forum 105225; 450.21: manufacturer's note on 450.21(B);
        # 450.22, 110.13(A), 110.26: from memory
        (
            {"taps_below_percent": 5},
            "Taps from nominal",
            "+5 %, −5 %",
            "+5 %, −10 %",
            "common practice",
        ),
        (
            {"secondary_terminal_celsius": 90},
            "Wire terminals, H / X",
            "75 °C / 90 °C",
            "75 °C / 75 °C",
            "110.14(C)(1)",
        ),
        (
            {"enclosure": "encapsulated"},
            "Enclosure",
            "encapsulated (potted)",
            "ventilated",
            "450.9, 450.21, 450.22",
        ),
        ({"weight_pounds": 450}, "Weight", "450 lb (204 kg)", "600 lb (272 kg)", "110.13(A)"),
        (
            {"depth_inches": 20.5},
            "Width × height × depth",
            "28 × 38 × 20.5 in. (711 × 965 × 521 mm)",
            "28 × 36 × 22 in. (711 × 914 × 559 mm)",
            "110.26, 450.9",
        ),
        (
            {"phases": 1, "primary_system": None, "secondary_system": None},
            "Phases",
            "1",
            "3",
            "110.3(B)",
        ),
    ],
)
def test_what_stands_around_the_windings_is_compared_and_says_what_it_changes(
    facts, label, old, new, section
) -> None:
    line = lines(replaced(**facts))[label]
    assert (line.old, line.new, line.change) == (old, new, "changed")
    assert section in line.effect


@pytest.mark.parametrize(
    ("fact", "label"),
    [
        ("taps_above_percent", "Taps from nominal"),
        ("primary_terminal_celsius", "Wire terminals, H / X"),
        ("width_inches", "Width × height × depth"),
    ],
)
def test_half_of_a_line_is_no_comparison(fact, label) -> None:
    line = lines(replaced(**{fact: None}))[label]
    assert (line.old, line.change, line.effect) == ("not known", "not_known", "")


def test_the_old_currents_are_those_of_its_own_phases_or_not_known() -> None:
    single = lines(replaced(phases=1, primary_system=None, secondary_system=None))
    # own arithmetic: 75 kVA × 1000 / 480 V = 156.25 A, / 208 V = 360.6 A
    assert single["Full-load current, primary"].old == "156.2 A"
    assert single["Full-load current, secondary"].old == "360.6 A"
    by_connection = lines(replaced(phases=None, secondary_system="single_phase_2_wire"))
    assert by_connection["Full-load current, primary"].old == "156.2 A"
    unknown = lines(replaced(phases=None, secondary_system=None))
    for label in ("Full-load current, primary", "Fault current at the terminals, infinite bus"):
        assert (unknown[label].old, unknown[label].change) == ("not known", "not_known")


def test_what_is_known_of_one_side_only_is_no_difference() -> None:
    data = with_facts(nameplate(75, 3, 480, 208), purpose="replacement")
    for line in lines(data).values():
        assert line.change == "not_known"
        assert line.old == "not known"


def test_a_visit_for_something_else_compares_nothing() -> None:
    assert checked(job(nameplate(75, 3, 480, 208))).nameplates == []
