"""Voltages, currents and resistances, read by a qualified person."""

from engine.wizard.asking import Catalogue


def ask_readings(c: Catalogue) -> None:
    """Ask for the readings, live ones first."""
    g, r = "readings", "readings"
    c.ask(f"{r}.line_to_line_volts", g, "Line to line", "Voltages line to line, no load?", unit="V")
    c.ask(
        f"{r}.line_to_neutral_volts",
        g,
        "Line to neutral",
        "Voltages line to neutral, no load?",
        unit="V",
    )
    c.ask(f"{r}.line_to_ground_volts", g, "Line to ground", "Voltages line to ground?", unit="V")
    c.ask(
        f"{r}.neutral_to_ground_volts",
        g,
        "Neutral to ground",
        "Neutral to ground at the transformer?",
        unit="V",
    )
    c.ask(
        f"{r}.neutral_to_ground_far_volts",
        g,
        "Neutral to ground, far",
        "Neutral to ground at a loaded outlet?",
        unit="V",
    )
    c.ask(
        f"{r}.bonding_conductor_amperes",
        g,
        "Current on the bonding path",
        "Current on the bonding path, under load?",
        unit="A",
    )
    c.ask(
        f"{r}.electrode_conductor_amperes",
        g,
        "Current on the electrode conductor",
        "Current on the electrode conductor, under load?",
        unit="A",
    )
    c.ask(
        f"{r}.neutral_insulation_megohms",
        g,
        "Neutral insulation",
        "Neutral to ground, de-energized, jumper lifted?",
        unit="megohm",
    )
    c.ask(
        f"{r}.winding_insulation_megohms",
        g,
        "Winding insulation",
        "Lowest insulation resistance of the windings?",
        unit="megohm",
    )
    c.ask(
        f"{r}.insulation_test_volts",
        g,
        "Insulation test voltage",
        "At what test voltage?",
        unit="V",
    )
    c.ask(
        f"{r}.bonding_path_ohms",
        g,
        "Bonding path",
        "Resistance of the bonding path, de-energized?",
        unit="ohm",
    )
    c.ask(
        f"{r}.rotation_matches_record",
        g,
        "Rotation",
        "Is the rotation the same as recorded before?",
    )
    c.ask(
        f"{r}.turns_ratio_deviation_percent",
        g,
        "Turns ratio",
        "Largest deviation of the turns ratio?",
        unit="%",
    )
    c.ask(
        f"{r}.turns_ratio_taps_read",
        g,
        "Turns ratio on every tap",
        "Was the ratio tested on every tap?",
    )
