"""The device or devices at the end of the secondary conductors."""

from engine.job.kinds import PRESENT_SETTING
from engine.wizard.asking import Catalogue
from engine.wizard.conditions import in_a_switch_for_more, is_, one_of, rated_from
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.usual_values import (
    UP_TO_240_VOLTS,
    USUAL_INTERRUPTING_KILOAMPERES,
    breaker_ratings,
)


def ask_first_disconnect(c: Catalogue) -> None:
    """Ask for the device or devices that the secondary conductors end at."""
    g, p = "first_disconnect", "secondary.protection"
    c.ask(
        f"{p}.kind",
        g,
        "Secondary protection",
        "What is at the end of the secondary conductors?",
        purposes=EVERY_VISIT,
    )
    main = is_(f"{p}.kind", "main_device")
    a_device = one_of(f"{p}.kind", "main_device", "grouped_devices")
    grouped = is_(f"{p}.kind", "grouped_devices")
    c.ask(
        f"{p}.rating",
        g,
        "Secondary device rating",
        "What is the rating of the main?",
        unit="A",
        when=main,
        first=breaker_ratings(3000),
        picker=True,
    )
    c.ask(
        f"{p}.ratings",
        g,
        "Ratings of the grouped devices",
        "What are the ratings of all of them?",
        unit="A",
        when=grouped,
    )
    c.ask(
        f"{p}.device_kind",
        g,
        "Secondary device",
        "Breaker or fuses?",
        when=a_device,
    )
    c.ask(
        f"{p}.one_enclosure",
        g,
        "Grouped devices in one enclosure",
        "Are all of them in one enclosure?",
        when=grouped,
        purposes=EVERY_VISIT,
    )
    c.ask(
        f"{p}.back_fed",
        g,
        "Main back-fed",
        "Is any main a back-fed plug-on breaker?",
        when={
            "all": [
                a_device,
                is_(f"{p}.device_kind", "breaker"),
            ]
        },
    )
    c.ask(
        f"{p}.held_down",
        g,
        "Main held down",
        "Does a fastener hold each back-fed main down?",
        when={
            "all": [
                a_device,
                is_(f"{p}.back_fed", True),
            ]
        },
    )
    c.ask(
        f"{p}.continuous_percent",
        g,
        "Continuous rating of the main",
        "How much of its rating may it carry continuously?",
        unit="%",
        when=main,
    )
    c.ask(
        f"{p}.termination_celsius",
        g,
        "Terminals at the first disconnect",
        "What temperature is marked for its wire terminals?",
        unit="°C",
    )
    c.ask(
        f"{p}.interrupting_kiloamperes",
        g,
        "Interrupting rating, secondary",
        "What is its interrupting rating?",
        unit="kA",
        first=USUAL_INTERRUPTING_KILOAMPERES,
        other=True,
        when=a_device,
    )
    c.ask(
        f"{p}.adjustable",
        g,
        "Adjustable trip, secondary",
        "Is its trip adjustable?",
        when=is_(f"{p}.device_kind", "breaker"),
    )
    c.ask(
        f"{p}.rating_basis",
        g,
        "What the secondary rating is based on",
        "What is the rating you entered based on?",
        when=is_(f"{p}.adjustable", True),
    )
    c.ask(
        f"{p}.highest_rating",
        g,
        "Highest setting or largest fuse, secondary",
        "How high can its trip be set, or how large a fuse does its switch take?",
        unit="A",
        when={
            "any": [
                {
                    "all": [
                        is_(f"{p}.adjustable", True),
                        one_of(f"{p}.rating_basis", *PRESENT_SETTING),
                    ]
                },
                {
                    "all": [
                        is_("transformer.phases", 3),
                        is_(f"{p}.device_kind", "fuse"),
                        {"not": one_of("transformer.secondary_volts", *UP_TO_240_VOLTS)},
                        {"any": [grouped, {"all": [main, in_a_switch_for_more(f"{p}.rating")]}]},
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{p}.ground_fault_protection",
        g,
        "Ground-fault protection, secondary",
        "Does it have ground-fault protection of equipment?",
        when={
            "all": [
                is_("transformer.phases", 3),
                {"not": one_of("transformer.secondary_volts", *UP_TO_240_VOLTS)},
                {
                    "any": [
                        grouped,
                        {"all": [main, rated_from(f"{p}.rating", 1000)]},
                        {"all": [main, rated_from(f"{p}.highest_rating", 1000)]},
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{p}.ground_fault_protection_tested",
        g,
        "Ground-fault protection set and tested, secondary",
        "Is it set as required, and is its test on record?",
        when=is_(f"{p}.ground_fault_protection", True),
    )
    c.ask(
        f"{p}.arc_energy_reduction",
        g,
        "Arc-energy reduction, secondary",
        "Does it have a means of arc-energy reduction?",
        when={
            "any": [
                grouped,
                {"all": [main, rated_from(f"{p}.rating", 1200)]},
                {"all": [main, rated_from(f"{p}.highest_rating", 1200)]},
            ]
        },
    )
