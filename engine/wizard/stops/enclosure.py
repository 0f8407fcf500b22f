"""The case of the transformer and the room around it: what is open, what is near, what is marked."""

from engine.wizard.asking import INCHES, Catalogue
from engine.wizard.conditions import Condition, is_, one_of
from engine.wizard.purposes import EVERY_VISIT
from engine.wizard.usual_values import ABOVE_50_KVA, USUAL_STEP_UP_VOLTS


def _fed_at_its_lower_voltage() -> Condition:
    """A usual voltage that is fed, and a higher one that comes out."""
    return {
        "any": [
            {
                "all": [
                    is_("transformer.primary_volts", fed),
                    one_of(
                        "transformer.secondary_volts", *(v for v in USUAL_STEP_UP_VOLTS if v > fed)
                    ),
                ]
            }
            for fed in USUAL_STEP_UP_VOLTS[:-1]
        ]
    }


def ask_enclosure(c: Catalogue) -> None:
    """Ask for what the eye sees of the case, its fastening, its vents and the space around it."""
    g = "enclosure"
    for field, label, ask in (
        ("enclosure_bonded", "Enclosure bonded", "Is the case itself bonded?"),
        ("ventilation_clear", "Ventilation clear", "Are the vents as clear as the nameplate asks?"),
        ("top_free_of_storage", "Top free of storage", "Is the top free of storage?"),
        ("top_marked", "Top marked", "Is the top marked to prohibit storage?"),
        ("readily_accessible", "Accessible", "Is it readily accessible?"),
        ("above_ceiling", "Above a ceiling", "Is it above a ceiling?"),
        ("working_space_clear", "Working space", "Is the working space clear?"),
        ("anchored", "Fastened", "Is it fastened in place?"),
        (
            "terminal_bar_used",
            "Terminal bar",
            "Do the grounding conductors land on a terminal bar?",
        ),
        (
            "terminal_bar_clear_of_vents",
            "Terminal bar clear of vents",
            "Is the bar clear of the vents?",
        ),
        (
            "conductors_clear_of_vents",
            "Electrode conductor clear of vents",
            "Is the electrode conductor kept out of the vents?",
        ),
        (
            "torque_recorded",
            "Terminations torqued",
            "Were the terminations torqued by an approved means?",
        ),
        (
            "shipping_parts_removed",
            "Shipping parts removed",
            "Are shipping parts out and isolation pads in?",
        ),
        ("reverse_fed", "Reverse fed", "Is the low-voltage side the one that is fed?"),
    ):
        c.ask(f"observations.{field}", g, label, ask)
    c.ask(
        "observations.wire_leads_joined_and_bonded",
        g,
        "Wire leads joined and bonded",
        "Does it have wire leads, with the grounding wires joined and bonded to the case?",
        when=is_("observations.terminal_bar_used", False),
    )
    c.ask(
        "observations.reverse_feed_marked",
        g,
        "Reverse feed allowed",
        "Does the nameplate allow feeding it in reverse?",
        when={"any": [is_("observations.reverse_fed", True), _fed_at_its_lower_voltage()]},
    )
    c.ask(
        "observations.supplied_neutral_open",
        g,
        "Neutral point of the fed winding open",
        "Is X0 (or H0) of the winding that is fed left open?",
        when=one_of(
            "transformer.primary_system", "wye_3_wire", "wye_4_wire", "single_phase_3_wire"
        ),
        purposes=EVERY_VISIT,
    )
    ceiling = {
        "all": [
            is_("observations.above_ceiling", True),
            {"not": one_of("transformer.kva", *ABOVE_50_KVA)},
        ]
    }
    c.ask(
        "observations.hollow_space_open",
        g,
        "Ceiling space can be opened",
        "Can that space be opened?",
        when=ceiling,
    )
    c.ask(
        "observations.ceiling_moves_air",
        g,
        "Ceiling space is a plenum",
        "Is that space a plenum that carries the building's air?",
        when=is_("observations.above_ceiling", True),
    )
    c.ask(
        "observations.case_suits_air_space",
        g,
        "Case suited to a plenum",
        "Is the case metal, or listed for such a space?",
        when=is_("observations.ceiling_moves_air", True),
    )
    c.ask(
        "observations.working_space_depth_inches",
        g,
        "Depth of the working space",
        "How deep is the working space?",
        unit="in.",
        first=(30, 36, 42, 48, 60),
        other=True,
        metric=INCHES,
    )
    c.ask(
        "observations.working_space_faces",
        g,
        "Across the working space",
        "What is across from it?",
        when={"path": "observations.working_space_depth_inches", "known": True},
    )
    aluminum = {
        "any": [
            is_(path, "aluminum")
            for path in (
                "primary.conductors.material",
                "primary.equipment_grounding.material",
                "secondary.conductors.material",
                "secondary.grounded_conductor.material",
                "bonding.supply_side_bonding_jumper.material",
                "bonding.system_bonding_jumper.material",
                "electrode.conductor.material",
                "electrode.common_conductor_material",
                "bonding.water_pipe_bond.material",
                "bonding.structural_steel_bond.material",
            )
        ]
    }
    c.ask(
        "observations.lugs_marked_for_metal",
        g,
        "Lugs marked for aluminum",
        "Are the lugs marked for aluminum?",
        when=aluminum,
    )
    indoors = is_("transformer.location", "indoors")
    c.ask(
        "observations.combustibles_clear",
        g,
        "Clear of combustibles",
        "Is it 12 in. clear of combustibles, or behind a barrier?",
    )
    c.ask(
        "observations.fire_resistant_room",
        g,
        "Fire-resistant room",
        "Is it in a fire-resistant room?",
        when=indoors,
    )
    c.ask(
        "observations.far_from_combustibles",
        g,
        "Far from combustibles",
        "Is it 6 ft across and 12 ft up from combustibles, or behind a barrier?",
        when=indoors,
    )
    c.ask(
        "observations.completely_enclosed_except_vents",
        g,
        "Completely enclosed",
        "Is it completely enclosed except for the vents?",
    )
    c.ask(
        "observations.live_parts_guarded",
        g,
        "Live parts guarded",
        "Are its live parts guarded against contact?",
        when={
            "any": [
                is_("transformer.enclosure", "open"),
                is_("observations.completely_enclosed_except_vents", False),
            ]
        },
    )
    c.ask(
        "observations.weatherproof_enclosure",
        g,
        "Weatherproof enclosure",
        "Is the enclosure made for outdoors?",
        when=is_("transformer.location", "outdoors"),
    )
