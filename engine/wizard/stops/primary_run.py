"""From the primary device to the transformer: conductors, raceway and equipment grounding."""

from engine.code.limits import METAL_RACEWAYS
from engine.wizard.asking import FEET, Catalogue
from engine.wizard.conditions import is_, one_of
from engine.wizard.purposes import FULL_VISIT
from engine.wizard.stops.conductors import (
    ask_conductors,
    ask_flexible_section,
    has_flexible_section,
    is_rigid,
)


def ask_primary_run(c: Catalogue) -> None:
    """Ask for the run to the transformer and for what grounds its equipment."""
    g, e = "primary_run", "primary.equipment_grounding"
    ask_conductors(c, "primary", g, FULL_VISIT)
    c.ask(
        f"{e}.kind",
        g,
        "Primary equipment grounding",
        "What serves as the equipment grounding conductor?",
    )
    wire = is_(f"{e}.kind", "wire")
    c.ask(
        f"{e}.size",
        g,
        "Equipment grounding conductor size",
        "What size is the equipment grounding conductor?",
        when=wire,
        picker=True,
    )
    c.ask(
        f"{e}.material",
        g,
        "Equipment grounding conductor metal",
        "Is the equipment grounding conductor copper or aluminum?",
        when=wire,
    )
    c.ask(
        f"{e}.insulation",
        g,
        "Equipment grounding conductor covering",
        "Bare, or what insulation letters?",
        when=wire,
        picker=True,
    )
    r = "primary.raceway"
    flexible = {
        "all": [
            is_(f"{e}.kind", "raceway"),
            {
                "any": [
                    one_of(f"{r}.type", "FMC", "LFMC"),
                    {
                        "all": [
                            one_of(f"{r}.type", *METAL_RACEWAYS),
                            has_flexible_section("primary"),
                        ]
                    },
                ]
            },
        ]
    }
    c.ask(
        f"{r}.flexible_length_feet",
        g,
        "Flexible length",
        "How much of the primary raceway is flexible, whips included?",
        unit="ft",
        when={"any": [is_(f"{e}.kind", "raceway"), is_rigid("primary")]},
        metric=FEET,
    )
    ask_flexible_section(c, "primary", g)
    c.ask(
        f"{r}.flexibility_needed",
        g,
        "Flexible raceway moves",
        "Must it be able to move after installation?",
        when=flexible,
    )
    c.ask(
        f"{r}.fittings_listed_for_grounding",
        g,
        "Fittings listed for grounding",
        "Are its fittings listed for grounding?",
        when=flexible,
    )
