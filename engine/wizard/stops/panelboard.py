"""The panelboard or switchboard at the end of the secondary conductors, and what is marked on it."""

from engine.wizard.asking import Catalogue
from engine.wizard.conditions import further_runs_entered, in_editions, is_, rated_from
from engine.wizard.usual_values import USUAL_INTERRUPTING_KILOAMPERES


def ask_panelboard(c: Catalogue) -> None:
    """Ask for the panelboard or switchboard behind the first device, its ratings and its marks."""
    g, p, b = "first_disconnect", "secondary.protection", "secondary.panelboard"
    c.ask(f"{b}.present", g, "Panelboard", "Do they supply a panelboard?")
    c.ask(
        "observations.supplies_switchboard",
        g,
        "Supplies a switchboard",
        "Do they supply switchgear or a switchboard?",
        when={
            "any": [
                is_("secondary.rule", "industrial_25_ft"),
                is_("secondary.panelboard.present", False),
            ]
        },
    )
    there = {"not": is_(f"{b}.present", False)}
    c.ask(
        f"{b}.rating",
        g,
        "Panelboard rating",
        "What is the rating of the panelboard's bus?",
        unit="A",
        first=(100, 125, 200, 225, 400, 600, 800, 1200),
        other=True,
        when=there,
    )
    c.ask(
        f"{b}.fed_by_two_mains",
        g,
        "Two mains ahead of the bus",
        "Are the grouped devices two mains that feed the bus?",
        when={"all": [there, is_(f"{p}.kind", "grouped_devices")]},
    )
    c.ask(
        f"{b}.at_most_42_poles",
        g,
        "At most 42 poles",
        "Does it have 42 poles or fewer?",
        when={
            "all": [
                there,
                {
                    "any": [
                        is_(f"{b}.fed_by_two_mains", True),
                        # Runs that end in one enclosure bring a main each.
                        further_runs_entered(),
                    ]
                },
            ]
        },
    )
    c.ask(
        f"{b}.short_circuit_kiloamperes",
        g,
        "Short-circuit rating",
        "What is its short-circuit rating?",
        unit="kA",
        first=USUAL_INTERRUPTING_KILOAMPERES,
        other=True,
        when={"any": [there, is_("observations.supplies_switchboard", True)]},
    )
    c.ask(
        "observations.dedicated_space_clear",
        g,
        "Space above the panelboard",
        "Is the space above it clear?",
        when={"any": [there, is_("observations.supplies_switchboard", True)]},
    )
    for field, label, ask in (
        (
            "grounded_conductor_identified",
            "Grounded conductor identified",
            "Is the grounded conductor white or gray, and each phase marked?",
        ),
        ("source_marked", "Source marked", "Does the panelboard say where it is fed from?"),
        (
            "fault_current_marked",
            "Fault current marked",
            "Are the fault current and its date marked?",
        ),
        ("arc_flash_marked", "Arc-flash warning", "Is there an arc-flash warning?"),
        (
            "voltage_ratings_enough",
            "Voltage ratings",
            "Is each device, switch and panel rated for its voltage?",
        ),
        (
            "device_in_each_line",
            "Device in each line",
            "Is there a pole or fuse in each line, and none in the grounded conductor?",
        ),
        (
            "device_height_within_reach",
            "Height of the handles",
            "Is the highest handle at 6 ft 7 in. or lower?",
        ),
    ):
        c.ask(f"observations.{field}", g, label, ask)
    board = {"any": [there, is_("observations.supplies_switchboard", True)]}
    c.ask(
        "observations.line_side_barriers",
        g,
        "Line side covered",
        "With the main open, are the bare parts that stay live covered?",
        when={
            "all": [
                in_editions("feeder_tap_barriers", "required"),
                board,
                {"not": is_(f"{p}.kind", "main_lugs_only")},
            ]
        },
    )
    c.ask(
        "observations.short_circuit_rating_marked",
        g,
        "Short-circuit rating marked",
        "Is its short-circuit rating with these breakers marked on it?",
        when={"all": [in_editions("short_circuit_rating_marking", "required"), board]},
    )
    c.ask(
        "observations.arc_flash_label_complete",
        g,
        "Full arc-flash label",
        "Is there a full arc-flash label, with its date?",
        when={
            "any": [
                in_editions("arc_flash_label", "all"),
                {
                    "all": [
                        in_editions("arc_flash_label", "from_1000_amperes"),
                        {
                            "any": [
                                rated_from(f"{b}.rating", 1000),
                                rated_from(f"{p}.rating", 1000),
                                rated_from(f"{p}.highest_rating", 1000),
                                {
                                    "all": [
                                        is_(f"{p}.kind", "grouped_devices"),
                                        {"path": f"{b}.rating", "known": False},
                                    ]
                                },
                            ]
                        },
                    ]
                },
            ]
        },
    )
    c.ask(
        "observations.outdoor_enclosures_weatherproof",
        g,
        "Enclosures in wet places",
        "Is each disconnect and panelboard in a wet place made for it?",
        when={
            "any": [
                is_("transformer.location", "outdoors"),
                is_("secondary.rule", "outside"),
                is_("secondary.conductors.wet_location", True),
                is_("primary.conductors.wet_location", True),
            ]
        },
    )
    c.ask(
        "observations.high_handle_beside_equipment_supplied",
        g,
        "High handle beside its equipment",
        "Is each handle that is too high right beside its equipment, and can a ladder reach it?",
        when=is_("observations.device_height_within_reach", False),
    )
    c.ask(
        "observations.phases_in_order",
        g,
        "Phases in order",
        "Are the phases in the order A, B, C?",
        when=is_("transformer.phases", 3),
    )
