"""The device ahead of the transformer, its supply and its load."""

from engine.wizard.asking import Catalogue
from engine.wizard.conditions import in_a_switch_for_more, is_, one_of, rated_from
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.usual_values import (
    BELOW_50_VOLTS,
    UP_TO_240_VOLTS,
    USUAL_INTERRUPTING_KILOAMPERES,
)


def ask_primary_disconnect(c: Catalogue) -> None:
    """Ask for the primary device, the supply behind it, the load and the disconnect in sight."""
    d, g = "primary.device", "primary_disconnect"
    c.ask(f"{d}.kind", g, "Primary device", "Breaker or fuses?")
    c.ask(
        f"{d}.adjustable",
        g,
        "Adjustable trip",
        "Is its trip adjustable?",
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.rating_basis",
        g,
        "What the rating is based on",
        "What is the rating you entered based on?",
        when=is_(f"{d}.adjustable", True),
    )
    c.ask(
        f"{d}.highest_rating",
        g,
        "Highest setting or largest fuse, primary",
        "How high can its trip be set, or how large a fuse does its switch take?",
        unit="A",
        when={
            "any": [
                {
                    "all": [
                        is_(f"{d}.adjustable", True),
                        is_(f"{d}.rating_basis", "setting_restricted"),
                        {"not": rated_from(f"{d}.rating", 1200)},
                    ]
                },
                {"all": [is_(f"{d}.adjustable", True), is_(f"{d}.rating_basis", "setting_open")]},
                {
                    "all": [
                        is_(f"{d}.kind", "fuse"),
                        {"not": one_of("transformer.primary_volts", *UP_TO_240_VOLTS)},
                        in_a_switch_for_more(f"{d}.rating"),
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{d}.straight_rated",
        g,
        "Straight-rated, primary",
        "Does its label show one voltage, without a slash?",
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.ground_fault_protection",
        g,
        "Ground-fault protection, primary",
        "Does it have ground-fault protection of equipment?",
        when={
            "any": [
                rated_from(f"{d}.rating", 1000),
                rated_from(f"{d}.highest_rating", 1000),
            ]
        },
    )
    c.ask(
        f"{d}.ground_fault_protection_tested",
        g,
        "Ground-fault protection set and tested, primary",
        "Is it set as required, and is its test on record?",
        when=is_(f"{d}.ground_fault_protection", True),
    )
    c.ask(
        f"{d}.arc_energy_reduction",
        g,
        "Arc-energy reduction, primary",
        "Does it have a means of arc-energy reduction?",
        when={
            "any": [
                rated_from(f"{d}.rating", 1200),
                rated_from(f"{d}.highest_rating", 1200),
            ]
        },
    )
    c.ask(
        f"{d}.termination_celsius",
        g,
        "Primary device terminals",
        "What temperature is marked for its wire terminals?",
        unit="°C",
    )
    c.ask(
        f"{d}.continuous_percent",
        g,
        "Continuous rating of the device",
        "How much of its rating may it carry continuously?",
        unit="%",
    )
    c.ask(
        f"{d}.instantaneous_multiple",
        g,
        "Instantaneous trip",
        "At how many times its rating is the instantaneous trip set?",
        unit="×",
        first=(5, 8, 10),
        other=True,
        when=is_(f"{d}.kind", "breaker"),
    )
    c.ask(
        f"{d}.interrupting_kiloamperes",
        g,
        "Interrupting rating, primary",
        "What is its interrupting rating?",
        unit="kA",
        first=(*USUAL_INTERRUPTING_KILOAMPERES, 100),
        other=True,
    )
    c.ask(
        "primary.source_fault_kiloamperes",
        g,
        "Fault current at the primary device",
        "What fault current is available there?",
        unit="kA",
    )
    c.ask(
        "primary.supply_system",
        g,
        "Supply system",
        "What kind of system feeds it?",
        when={
            "any": [
                is_(f"{d}.straight_rated", False),
                is_(f"{d}.ground_fault_protection", False),
                is_(f"{d}.ground_fault_protection_tested", False),
                is_("observations.knockouts_bonded", False),
                {"path": "observations.working_space_depth_inches", "known": True},
                # An ungrounded system of the supply's own voltage may be the same system or another.
                {
                    "all": [
                        is_("observations.grounded_conductor_identified", False),
                        {
                            "any": [
                                is_("bonding.system_bonding_jumper.location", "none"),
                                is_("transformer.secondary_system", "delta_3_wire_ungrounded"),
                            ]
                        },
                    ]
                },
                # Below 50 V the supply says whether the secondary must be grounded.
                {
                    "all": [
                        is_("bonding.system_bonding_jumper.location", "none"),
                        one_of("transformer.secondary_volts", *BELOW_50_VOLTS),
                    ]
                },
            ]
        },
        purposes=EVERY_VISIT,
    )
    c.ask(
        "primary.load.continuous_amperes",
        g,
        "Continuous load, primary",
        "How much of the load is continuous?",
        unit="A",
    )
    c.ask(
        "primary.load.noncontinuous_amperes",
        g,
        "Noncontinuous load, primary",
        "How much of the load is noncontinuous?",
        unit="A",
    )
    c.ask(
        "observations.disconnect_in_sight",
        g,
        "Disconnect in sight",
        "Is a disconnect in sight of the transformer?",
    )
    c.ask(
        "observations.disconnect_lockable_and_marked",
        g,
        "Remote disconnect lockable and marked",
        "Can it be locked open, and is its location marked on the transformer?",
        when=is_("observations.disconnect_in_sight", False),
    )
