"""What is read from the nameplate, and the primary device's rating, which the first limits need."""

from engine.wizard.asking import Catalogue
from engine.wizard.conditions import by_phase, one_of
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.stops.case import ask_case
from engine.wizard.usual_values import USUAL_K_FACTORS, USUAL_KVA, breaker_ratings


def ask_nameplate(c: Catalogue) -> None:
    """Ask for the nameplate in the order of its lines, and for the rating ahead of the transformer."""
    t, g = "transformer", "nameplate"
    c.ask(f"{t}.phases", g, "Phases", "How many phases?", purposes=EVERY_VISIT, required=True)
    c.ask(
        f"{t}.kva",
        g,
        "Rated power",
        "What kVA is on the nameplate?",
        unit="kVA",
        purposes=EVERY_VISIT,
        required=True,
        picker=True,
        first=USUAL_KVA,
    )
    c.ask(
        f"{t}.primary_volts",
        g,
        "Primary voltage",
        "What is the primary voltage?",
        unit="V",
        purposes=EVERY_VISIT,
        required=True,
        first=(480, 240, 208, 600, 277, 120),
    )
    c.ask(
        f"{t}.secondary_volts",
        g,
        "Secondary voltage",
        "What is the secondary voltage, line to line?",
        unit="V",
        purposes=EVERY_VISIT,
        required=True,
        first=(208, 240, 480, 120, 600),
    )
    c.ask(
        "primary.device.rating",
        "primary_disconnect",
        "Primary device rating",
        "What is the rating of the primary breaker or fuses?",
        unit="A",
        picker=True,
        first=breaker_ratings(1200),
    )
    systems = by_phase(one_of(f"{t}.phases", 1), one_of(f"{t}.phases", 3))
    c.ask(
        f"{t}.autotransformer",
        g,
        "Autotransformer",
        "Does one winding serve both sides (buck-boost)?",
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{t}.secondary_system",
        g,
        "Secondary connection",
        "How is the secondary connected?",
        purposes=EVERY_VISIT,
        choice_when=systems,
    )
    c.ask(
        f"{t}.primary_system",
        g,
        "Primary connection",
        "How is the primary connected?",
        purposes=EVERY_VISIT,
        choice_when=systems,
    )
    c.ask(
        f"{t}.impedance_percent", g, "Impedance", "What impedance is on the nameplate?", unit="%Z"
    )
    c.ask(
        f"{t}.impedance_tested",
        g,
        "Impedance tested",
        "Is that the tested impedance of this unit?",
        when={"path": f"{t}.impedance_percent", "known": True},
    )
    c.ask(f"{t}.construction", g, "Construction", "What kind of transformer is it?")
    c.ask(
        f"{t}.location",
        g,
        "Indoors or outdoors",
        "Is it indoors or outdoors?",
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{t}.insulation_class_celsius", g, "Insulation class", "What insulation class?", unit="°C"
    )
    c.ask(
        f"{t}.temperature_rise_celsius", g, "Temperature rise", "What temperature rise?", unit="°C"
    )
    c.ask(
        f"{t}.k_factor",
        g,
        "K-factor",
        "What K-factor?",
        first=USUAL_K_FACTORS,
        other=True,
        kind="number",
    )
    c.ask(
        f"{t}.coordinated_thermal_protection",
        g,
        "Coordinated thermal protection",
        "Is coordinated thermal overload protection built in by the manufacturer?",
    )
    c.ask(
        f"{t}.nameplate_primary_amperes",
        g,
        "Printed primary current",
        "What primary current is printed on the nameplate?",
        unit="A",
    )
    c.ask(
        f"{t}.nameplate_secondary_amperes",
        g,
        "Printed secondary current",
        "What secondary current is printed on the nameplate?",
        unit="A",
    )
    c.ask(
        f"{t}.supervised",
        g,
        "Supervised location",
        "Do only qualified persons monitor and service it?",
    )
    ask_case(c, t, g)
