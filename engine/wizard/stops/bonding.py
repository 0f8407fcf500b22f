"""The system bonding jumper, and the marks of systems other than a grounded wye."""

from engine.code.limits import METAL_RACEWAYS_AND_FLEX
from engine.wizard.asking import Catalogue
from engine.wizard.conditions import Condition, further_runs_entered, is_, one_of
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.usual_values import HELD_2_WIRE_VOLTS, HELD_WYE_VOLTS, UP_TO_240_VOLTS


def ask_bonding(c: Catalogue) -> None:
    """Ask for the system bonding jumper, and for what an ungrounded system, a high leg or a grounded phase needs."""
    g, j = "bonding", "bonding.system_bonding_jumper"
    c.ask(
        f"{j}.location",
        g,
        "System bonding jumper location",
        "Where is the system bonding jumper?",
        purposes=EVERY_VISIT,
    )
    several = {
        "any": [
            is_("secondary.protection.one_enclosure", False),
            further_runs_entered(),
        ]
    }
    c.ask(
        f"{j}.in_each_enclosure",
        g,
        "Jumper in each enclosure",
        "Is there a jumper in each of the first disconnects?",
        when={"all": [is_(f"{j}.location", "first_disconnect"), several]},
        purposes=EVERY_VISIT,
    )
    there = one_of(f"{j}.location", "source", "first_disconnect", "both")
    c.ask(
        f"{j}.factory_furnished",
        g,
        "Furnished strap or screw",
        "Is it the identified strap or screw that came with the equipment?",
        when=there,
        purposes=EVERY_VISIT,
    )
    made_on_site: Condition = {"all": [there, {"not": is_(f"{j}.factory_furnished", True)}]}
    c.ask(
        f"{j}.size",
        g,
        "System bonding jumper size",
        "What size is the system bonding jumper?",
        when=made_on_site,
        purposes=EVERY_VISIT,
        picker=True,
    )
    c.ask(
        f"{j}.material",
        g,
        "System bonding jumper metal",
        "Is the system bonding jumper copper or aluminum?",
        when=made_on_site,
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.no_parallel_neutral_path",
        g,
        "No path parallel to the neutral",
        "Is there no other metal path in parallel with the neutral?",
        when={"all": [is_(f"{j}.location", "both"), is_("transformer.location", "outdoors")]},
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.knockouts_bonded",
        g,
        "Knockouts bonded around",
        "Are knockouts with rings left in them bonded around?",
        when={
            "any": [
                {
                    "all": [
                        {"not": one_of("transformer.primary_volts", *UP_TO_240_VOLTS)},
                        one_of("primary.raceway.type", *METAL_RACEWAYS_AND_FLEX),
                    ]
                },
                {
                    "all": [
                        {"not": one_of("transformer.secondary_volts", *UP_TO_240_VOLTS)},
                        one_of("secondary.raceway.type", *METAL_RACEWAYS_AND_FLEX),
                    ]
                },
            ]
        },
    )
    ungrounded = is_("transformer.secondary_system", "delta_3_wire_ungrounded")
    c.ask(
        "observations.ground_detector",
        g,
        "Ground detectors",
        "Are ground detectors installed?",
        when=ungrounded,
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.ungrounded_marked",
        g,
        "Marked as ungrounded",
        "Is it marked as ungrounded?",
        when=ungrounded,
        purposes=EVERY_VISIT,
    )
    c.ask(
        "observations.ungrounded_labeled",
        g,
        "Ungrounded label on the panelboard",
        "Does a label on the panelboard say that the system is ungrounded?",
        when=ungrounded,
    )
    high_leg = is_("transformer.secondary_system", "delta_high_leg")
    c.ask(
        "observations.straight_rated_devices",
        g,
        "Straight-rated breakers",
        "Are the breakers straight-rated for this system?",
        when={
            "any": [
                one_of(
                    "transformer.secondary_system",
                    "delta_high_leg",
                    "delta_corner_grounded",
                    "delta_3_wire_ungrounded",
                ),
                is_(f"{j}.location", "none"),
                # An answer that is in doubt is shown, so that it can be changed.
                is_("observations.straight_rated_devices", False),
                {
                    "all": [
                        one_of("transformer.secondary_system", "wye_4_wire", "wye_3_wire"),
                        {"not": one_of("transformer.secondary_volts", *HELD_WYE_VOLTS)},
                    ]
                },
                {
                    "all": [
                        is_("transformer.secondary_system", "single_phase_2_wire"),
                        {"not": one_of("transformer.secondary_volts", *HELD_2_WIRE_VOLTS)},
                    ]
                },
            ]
        },
    )
    c.ask(
        "observations.high_leg_orange",
        g,
        "High leg orange",
        "Is the high leg orange?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_on_b",
        g,
        "High leg on phase B",
        "Is the high leg on phase B?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_labeled",
        g,
        "High leg labeled",
        "Does a label on the panelboard give the high leg and its voltage?",
        when=high_leg,
    )
    c.ask(
        "observations.high_leg_free_of_neutral_loads",
        g,
        "High leg free of neutral loads",
        "Is the high leg free of line-to-neutral loads?",
        when=high_leg,
    )
    c.ask(
        "observations.grounded_phase_identified",
        g,
        "Grounded phase identified",
        "Is the grounded phase identified and unfused?",
        when=is_("transformer.secondary_system", "delta_corner_grounded"),
    )
