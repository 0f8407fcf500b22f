"""The transformer that came out, and how the new one is installed."""

from engine.wizard.asking import Catalogue
from engine.wizard.conditions import by_phase, is_
from engine.wizard.purposes import REPLACEMENT_VISIT
from engine.wizard.stops.case import ask_case
from engine.wizard.usual_values import USUAL_K_FACTORS, USUAL_KVA


def ask_replacement(c: Catalogue) -> None:
    """Ask for the old transformer, and for what was checked when the new one was put in."""
    g, o = "replacement", "replacement.old"
    c.ask(
        "replacement.isolated_both_sides",
        g,
        "Isolated on both sides",
        "Were both sides isolated, locked out and tested dead?",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        f"{o}.phases",
        g,
        "Old phases",
        "How many phases did the old one have?",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        f"{o}.kva",
        g,
        "Old rated power",
        "What kVA was the old one?",
        unit="kVA",
        purposes=REPLACEMENT_VISIT,
        picker=True,
        first=USUAL_KVA,
        other=True,
    )
    c.ask(
        f"{o}.primary_volts",
        g,
        "Old primary voltage",
        "What was its primary voltage?",
        unit="V",
        purposes=REPLACEMENT_VISIT,
        first=(480, 240, 208, 600),
        other=True,
    )
    c.ask(
        f"{o}.secondary_volts",
        g,
        "Old secondary voltage",
        "What was its secondary voltage?",
        unit="V",
        purposes=REPLACEMENT_VISIT,
        first=(208, 240, 480, 120),
        other=True,
    )
    c.ask(
        f"{o}.primary_system",
        g,
        "Old primary connection",
        "How was its primary connected?",
        purposes=REPLACEMENT_VISIT,
        choice_when=by_phase({"not": is_(f"{o}.phases", 3)}, {"not": is_(f"{o}.phases", 1)}),
    )
    c.ask(
        f"{o}.secondary_system",
        g,
        "Old connection",
        "How was its secondary connected?",
        purposes=REPLACEMENT_VISIT,
        choice_when=by_phase({"not": is_(f"{o}.phases", 3)}, {"not": is_(f"{o}.phases", 1)}),
    )
    c.ask(
        f"{o}.impedance_percent",
        g,
        "Old impedance",
        "What was its impedance?",
        unit="%Z",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        f"{o}.k_factor",
        g,
        "Old K-factor",
        "What was its K-factor?",
        purposes=REPLACEMENT_VISIT,
        first=USUAL_K_FACTORS,
        other=True,
        kind="number",
    )
    c.ask(
        f"{o}.temperature_rise_celsius",
        g,
        "Old temperature rise",
        "What was its temperature rise?",
        unit="°C",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        f"{o}.made_before_2016",
        g,
        "Old one made before 2016",
        "Was it made before 2016?",
        purposes=REPLACEMENT_VISIT,
    )
    ask_case(c, o, g, old=True)
    c.ask(
        "replacement.taps_alike_on_all_phases",
        g,
        "Taps alike",
        "Are the taps of the new one the same on all phases?",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        "replacement.frequency_matches",
        g,
        "Frequency",
        "Does the nameplate frequency match the supply?",
        purposes=REPLACEMENT_VISIT,
    )
    c.ask(
        "replacement.bonds_refitted",
        g,
        "Bonds reinstalled",
        "Were all bonds and the electrode conductor reinstalled?",
        purposes=REPLACEMENT_VISIT,
    )
