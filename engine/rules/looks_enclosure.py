"""Around the transformer: what a look at its enclosure, its nameplate and its disconnect settles."""

from engine.code.limits import WITHOUT_NEUTRAL_POINT
from engine.derived import circuits
from engine.job.site import Site
from engine.rules.look import Excuse, Seen, in_edition

# The tap lands on the common conductor: its connector must be made for that metal too (110.14(A), 250.70).
_ON_LUGS: tuple[circuits.Role, ...] = circuits.with_fact_of("material")


def _aluminum(site: Site) -> str | None:
    return None if circuits.any_of_aluminum(site, _ON_LUGS) else "No aluminum conductors."


def _reverse_fed(site: Site) -> str | None:
    # By the voltages alone the low-voltage side is the one that is fed, whatever is called its primary.
    transformer = site.job.transformer
    if transformer.primary_volts < transformer.secondary_volts or site.need(
        lambda job: job.observations.reverse_fed
    ):
        return None
    return "It is fed as designed."


def _above_a_ceiling(site: Site) -> str | None:
    above = site.need(lambda job: job.observations.above_ceiling)
    return None if above else "It is not in a hollow space."


def _in_moving_air(site: Site) -> str | None:
    reason = _above_a_ceiling(site)
    if reason:
        return reason
    moves = site.need(lambda job: job.observations.ceiling_moves_air)
    return None if moves else "That space does not carry the building's air."


def _without_a_whole_case(site: Site) -> str | None:
    # Live parts within reach are a danger whatever is written of the case.
    if site.job.observations.live_parts_guarded is False:
        return None
    if site.need(lambda job: job.transformer.enclosure) == "open":
        return None
    if not site.need(lambda job: job.observations.completely_enclosed_except_vents):
        return None
    return "There is a case around core and coils, with nothing open but the vents."


_SUPPLIED_NEUTRAL = ("transformer.secondary_system", "transformer.primary_system")


def _no_supplied_neutral(site: Site) -> str | None:
    """A star or a midpoint on the fed side.

    Source: Electrical Contractor magazine on reverse-fed transformers, quoted in Mike Holt forum thread 2566235: the
    grounded conductor must not be connected to X0, and X0 must not be bonded.
    """
    primary = site.need(lambda job: job.transformer.primary_system)
    if primary in WITHOUT_NEUTRAL_POINT:
        return "The winding that is fed has no neutral point."
    return None


def _wye_on_both_sides(site: Site) -> str | None:
    """Why something on the neutral point of the fed winding can't be judged; None where it can.

    Source: Mike Holt forum 2551544: some manufacturers tie H0 and X0 and the case together, as utilities do; a customer's
    unit normally leaves H0 open. Raises Missing.
    """
    if site.job.transformer.phases == 1:
        return None
    # Three wires bring no supply neutral: what lands there is a strap.
    if site.need(lambda job: job.transformer.primary_system) == "wye_3_wire":
        return None
    if site.need(lambda job: job.transformer.secondary_system).startswith("delta"):
        return None
    return (
        "Wye on both sides: the manufacturer's instructions say whether the supply's neutral lands there. A strap to "
        "the case or to X0 connects neutral and metal a second time, and the secondary is then not a separately "
        "derived system. Find out whether it is the supply's neutral or a strap."
    )


ENCLOSURE: tuple[Seen, ...] = (
    Seen(
        "ventilation",
        "Ventilation and clearances",
        "transformer_ventilation",
        "violation",
        "enclosure",
        "vents clear by at least the distance on the nameplate",
        "The vents are blocked or too close to a wall: it overheats.",
        "Keep the distance on the nameplate clear.",
        fact="ventilation_clear",
    ),
    Seen(
        "storage",
        "Nothing stored on top",
        "transformer_ventilation",
        "violation",
        "enclosure",
        "nothing on top of the enclosure",
        "The top is used for storage.",
        "Clear it.",
        fact="top_free_of_storage",
    ),
    Seen(
        "enclosure_bonded",
        "The enclosure itself is bonded",
        "effective_ground_fault_path",
        "danger",
        "enclosure",
        "the case bonded, whatever the drawings call isolated",
        "The case is not bonded: a fault to it makes it live. Isolated ground never means an unbonded case.",
        "Bond the case.",
        fact="enclosure_bonded",
    ),
    Seen(
        "terminal_bar",
        "Terminal bar for grounding conductors",
        "transformer_grounding_terminal",
        "violation",
        "enclosure",
        "grounding and bonding conductors on a bar bolted to the enclosure; with wire leads, joined together and bonded to the enclosure",
        "Conductors are fastened to vent slots, studs or each other.",
        "Install a terminal bar.",
        fact="terminal_bar_used",
        # Source: IAEI magazine on grounding terminations in dry-type transformers, 450.10(A) exception.
        excuse=Excuse(
            "wire_leads_joined_and_bonded",
            "The unit has wire leads: its grounding and bonding conductors are joined and bonded to the enclosure.",
            holds=True,
        ),
    ),
    Seen(
        "terminal_bar_place",
        "Terminal bar clear of the vents",
        "transformer_grounding_terminal",
        "violation",
        "enclosure",
        "the bar not over a ventilation opening",
        "The bar covers a ventilation opening.",
        "Move the bar.",
        fact="terminal_bar_clear_of_vents",
    ),
    Seen(
        "electrode_conductor_openings",
        "Electrode conductor not through the vents",
        "electrode_conductor_openings",
        "violation",
        "enclosure",
        "the electrode conductor through a proper entry",
        "It passes through a ventilation opening.",
        "Use a knockout with a bushing.",
        fact="conductors_clear_of_vents",
        applies=in_edition("electrode_conductor_openings", "required"),
        changes=True,
    ),
    Seen(
        "top_marking",
        "Top marked to prohibit storage",
        "transformer_ventilation",
        "violation",
        "enclosure",
        "a flat top within reach marked to prohibit storage",
        "Nothing on the top prohibits storage.",
        "Mark it.",
        fact="top_marked",
        applies=in_edition("transformer_top_marking", "required"),
        changes=True,
    ),
    Seen(
        "guarding",
        "Live parts guarded",
        "transformer_guarding",
        "danger",
        "enclosure",
        "without a complete case: live parts out of reach behind a lock, a screen or by height",
        "People can reach live parts.",
        "A case, a locked room, a permanent screen, or enough height.",
        fact="live_parts_guarded",
        applies=_without_a_whole_case,
        asks=("transformer.enclosure", "observations.completely_enclosed_except_vents"),
    ),
    Seen(
        "air_handling_space",
        "In a ceiling space used as a plenum",
        "air_handling_space",
        "violation",
        "enclosure",
        "a metal case, or one listed for an air-handling space",
        "In a fire its case would put smoke into the building's air.",
        "Move it, or get a unit with a metal case.",
        fact="case_suits_air_space",
        applies=_in_moving_air,
        asks=("observations.above_ceiling", "observations.ceiling_moves_air"),
    ),
    Seen(
        "anchoring",
        "Fastened in place",
        "mounting",
        "violation",
        "enclosure",
        "firmly fastened to its surface",
        "Not fastened.",
        "Fasten it; in seismic areas, follow the building code too.",
        fact="anchored",
    ),
    Seen(
        "shipping_parts",
        "Shipping parts out, pads in",
        "listing_and_instructions",
        "advice",
        "enclosure",
        "as the instructions say",
        "Shipping brackets or debris were left inside: they cause noise and heat.",
        "De-energize and take them out.",
        fact="shipping_parts_removed",
    ),
    Seen(
        "torque",
        "Terminations torqued",
        "terminal_torque",
        "violation",
        "enclosure",
        "tightened to the marked torque by an approved means, on the word of whoever did it",
        "The terminations were not tightened by an approved means.",
        "Have the installer state the means. Where it was not done, re-terminate per the manufacturer's instructions. Do not re-torque to check.",
        fact="torque_recorded",
        applies=in_edition("torque_record", "required"),
        changes=True,
    ),
    Seen(
        "lugs_for_aluminum",
        "Lugs marked for aluminum",
        "electrical_connections",
        "violation",
        "enclosure",
        "each lug marked AL or AL/CU",
        "A lug is not marked for aluminum: the joint works loose and overheats.",
        "Change the lug, or use copper.",
        fact="lugs_marked_for_metal",
        applies=_aluminum,
        asks=circuits.asks_of(*_ON_LUGS, parts=("material",)),
    ),
    Seen(
        "reverse_feed",
        "Reverse feed only where marked",
        "reverse_feed",
        "violation",
        "enclosure",
        "nameplate or instructions allow feeding it in reverse",
        "Fed in reverse, and neither nameplate nor instructions allow it.",
        "Use a unit made for it.",
        fact="reverse_feed_marked",
        applies=_reverse_fed,
        asks=("observations.reverse_fed",),
    ),
    Seen(
        "supplied_neutral",
        "Nothing on the neutral point of the winding that is fed",
        "grounded_conductor_not_for_grounding",
        "danger",
        "enclosure",
        "no supply neutral and no bond on X0 (or H0) of the winding that is fed; the case bonded by the equipment grounding "
        "conductor",
        "The supply's neutral or a bond lands on the winding that is fed. Unbalanced load and ground faults of the whole "
        "supply then flow through this transformer, and neutral and metal are joined a second time.",
        "De-energize, take the neutral and any bond off that terminal, and leave it open and insulated.",
        fact="supplied_neutral_open",
        applies=_no_supplied_neutral,
        in_doubt=_wye_on_both_sides,
        asks=_SUPPLIED_NEUTRAL,
        grounding_visit=True,
    ),
)
