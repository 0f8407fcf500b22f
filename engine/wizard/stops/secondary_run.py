"""From the transformer to the first disconnect: conductors, neutral, bonding jumper, rule and load."""

from typing import get_args

from engine.code import size_index
from engine.job import Size
from engine.job.words import CONDUCTOR_NAMES
from engine.wizard.asking import FEET, Catalogue
from engine.wizard.conditions import is_, one_of, parallel
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.stops.conductors import (
    ask_conductors,
    ask_flexible_section,
    has_flexible_section,
    is_rigid,
)
from engine.wizard.usual_values import ABOVE_1_KVA, USUAL_POWER_FACTORS, USUAL_SETS


def ask_secondary_run(c: Catalogue) -> None:
    """Ask for the run to the first disconnect: the rule relied on, the grounded conductor, the bonding jumper."""
    g = "secondary_run"
    ask_conductors(c, "secondary", g, EVERY_VISIT)
    c.ask(
        "secondary.rule",
        g,
        "Secondary conductor rule",
        "Which rule do the secondary conductors follow?",
    )
    c.ask(
        "secondary.enclosed_in_raceway",
        g,
        "Secondary in a raceway",
        "Do they run in a raceway all the way?",
    )
    c.ask(
        "secondary.protected_from_damage",
        g,
        "Secondary protected from damage",
        "Are the conductors and their raceway protected from damage?",
    )
    c.ask(
        "secondary.qualified_persons_only",
        g,
        "Qualified persons only",
        "Do only qualified persons service it?",
        when=is_("secondary.rule", "industrial_25_ft"),
    )
    c.ask(
        "primary.protected_from_damage",
        g,
        "Primary protected from damage",
        "Are the primary conductors and their raceway protected from damage?",
        when={
            "any": [
                is_("secondary.rule", "feeder_tap_25_ft"),
                one_of("primary.raceway.type", "PVC40", "ENT", "FMC", "LFMC", "LFNC"),
                has_flexible_section("primary"),
            ]
        },
    )
    n = "secondary.grounded_conductor"
    has_neutral = one_of(
        "transformer.secondary_system",
        "wye_4_wire",
        "single_phase_3_wire",
        "delta_high_leg",
        "delta_corner_grounded",
        "single_phase_2_wire",
        "wye_3_wire",
    )
    c.ask(
        f"{n}.present",
        g,
        "Grounded conductor run",
        "Does a grounded conductor run to the first disconnect?",
        when=has_neutral,
        purposes=EVERY_VISIT,
    )
    there = {"all": [has_neutral, {"not": is_(f"{n}.present", False)}]}
    c.ask(
        f"{n}.size",
        g,
        "Grounded conductor size",
        "What size is the grounded conductor?",
        when=there,
        picker=True,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{n}.material",
        g,
        "Grounded conductor metal",
        "Is the grounded conductor copper or aluminum?",
        when=there,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{n}.insulation",
        g,
        "Grounded conductor insulation",
        "What insulation letters are on the grounded conductor?",
        when=there,
        picker=True,
    )
    c.ask(
        f"{n}.sets",
        g,
        "Grounded conductors in parallel",
        "How many grounded conductors in parallel?",
        first=USUAL_SETS,
        other=True,
        when={"all": [there, parallel("secondary")]},
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{n}.current_carrying",
        g,
        "Neutral counts as current-carrying",
        "Does the neutral count as current-carrying?",
        when=there,
    )
    c.ask(
        "secondary.neutral_load_amperes",
        g,
        "Neutral load",
        "What is the calculated neutral load?",
        unit="A",
        when=there,
    )
    c.ask("observations.nonlinear_load", g, "Electronic load", "Is most of the load electronic?")
    c.ask(
        "secondary.class_1_2_3_circuits_only",
        g,
        "Control circuits only",
        "Does it feed Class 1, 2 or 3 control circuits and nothing else?",
        purposes=EVERY_VISIT,
        when={"not": one_of("transformer.kva", *ABOVE_1_KVA)},
    )
    b = "bonding.supply_side_bonding_jumper"
    c.ask(
        f"{b}.kind",
        g,
        CONDUCTOR_NAMES["supply_side_bonding_jumper"],
        "What bonds the transformer's case to the first disconnect?",
        purposes=EVERY_VISIT,
    )
    wire = is_(f"{b}.kind", "wire")
    c.ask(
        f"{b}.size",
        g,
        "Supply-side bonding jumper size",
        "What size is the supply-side bonding jumper, in each raceway?",
        when=wire,
        purposes=EVERY_VISIT,
        picker=True,
    )
    c.ask(
        f"{b}.material",
        g,
        "Supply-side bonding jumper metal",
        "Is the supply-side bonding jumper copper or aluminum?",
        when=wire,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{b}.insulation",
        g,
        "Supply-side bonding jumper covering",
        "Bare, or what insulation letters?",
        when=wire,
        picker=True,
    )
    c.ask(
        "secondary.raceway.flexible_length_feet",
        g,
        "Flexible section, secondary",
        "How much of the secondary raceway is flexible, whips included?",
        unit="ft",
        when={"any": [is_(f"{b}.kind", "raceway"), is_rigid("secondary")]},
        metric=FEET,
    )
    ask_flexible_section(c, "secondary", g)
    c.ask(
        "secondary.raceway.fittings_listed_for_grounding",
        g,
        "Fittings listed for grounding, secondary",
        "Are the fittings of that raceway listed for grounding?",
        when={
            "all": [
                is_(f"{b}.kind", "raceway"),
                is_("secondary.raceway.flexible_length_feet", 0),
            ]
        },
    )
    c.ask(
        "secondary.first_disconnect_separate",
        g,
        "First disconnect separate",
        "Is the first disconnect in an enclosure of its own?",
        when={"any": [is_(f"{b}.kind", "none"), is_("secondary.rule", "10_ft")]},
        purposes=EVERY_VISIT,
    )
    several = {"all": [parallel("secondary"), {"not": is_("secondary.conductors.raceways", 1)}]}
    c.ask(
        "observations.circuit_grouped",
        g,
        "Circuit grouped",
        "Do all conductors of the circuit share each raceway?",
        # A grounding visit asks for it only where a bonding wire could be left out of one of several raceways.
        when={
            "any": [
                {"not": is_("purpose", "grounding")},
                {"all": [is_(f"{b}.kind", "wire"), several]},
            ]
        },
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.tapped_ahead_of_device",
        g,
        "Tapped ahead of a device",
        "Is anything tapped off ahead of the first device?",
    )
    small = tuple(size for size in get_args(Size) if size_index(size) < size_index("4"))
    c.ask(
        "observations.insulating_fittings",
        g,
        "Bushings for 4 AWG and larger",
        "Do raceway ends have bushings where 4 AWG or larger enters?",
        when={
            "not": {
                "all": [
                    one_of("primary.conductors.size", *small),
                    one_of("secondary.conductors.size", *small),
                    {
                        "not": one_of(
                            "secondary.grounded_conductor.size",
                            *(size for size in get_args(Size) if size not in small),
                        )
                    },
                ]
            }
        },
    )
    c.ask(
        "observations.parallel_sets_alike",
        g,
        "Parallel sets alike",
        "Are the parallel sets alike?",
        when={"any": [parallel("primary"), parallel("secondary")]},
    )
    c.ask(
        "observations.ends_at_equipment_supplied",
        g,
        "Ends where it supplies",
        "Do they end at the equipment they supply?",
        when={"not": is_("secondary.rule", "primary_device")},
    )
    c.ask(
        "observations.outdoors_all_the_way",
        g,
        "Outdoors all the way",
        "Are they outdoors all the way?",
        when=is_("secondary.rule", "outside"),
    )
    c.ask(
        "observations.outside_disconnect_placed",
        g,
        "Outside disconnect",
        "Is the disconnect outside, or nearest the point of entry?",
        when=is_("secondary.rule", "outside"),
    )
    c.ask(
        "secondary.load.continuous_amperes",
        g,
        "Continuous load, secondary",
        "How much of the secondary load is continuous?",
        unit="A",
    )
    c.ask(
        "secondary.load.noncontinuous_amperes",
        g,
        "Noncontinuous load, secondary",
        "How much of the secondary load is noncontinuous?",
        unit="A",
    )
    c.ask(
        "primary.load.power_factor",
        g,
        "Power factor, primary",
        "Power factor of the load, primary side?",
        first=USUAL_POWER_FACTORS,
        other=True,
    )
    c.ask(
        "secondary.load.power_factor",
        g,
        "Power factor, secondary",
        "Power factor of the load, secondary side?",
        first=USUAL_POWER_FACTORS,
        other=True,
    )
