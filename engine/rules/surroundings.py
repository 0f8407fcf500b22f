"""Around the transformer: what is settled by looking, one observation a rule.

Each line below is one requirement: the fact that settles it, where it applies, and what is wrong when the answer is
the other one. The code's own figures stand in the questions and the required text; the eye does the measuring.
"""

from collections.abc import Callable
from typing import NamedTuple

from engine.code.choices import choice
from engine.derived import conductors, currents
from engine.missing import need_at
from engine.quantities import number, volts
from engine.rules.rule import Rule, rule
from engine.site import Site
from engine.verdicts import Finding, Severity, compare, confirm, not_applicable

Applies = Callable[[Site], str | None]


def _always(site: Site) -> str | None:
    return None


def _grounded(site: Site) -> str | None:
    return None if conductors.is_grounded(site) else "The system is ungrounded."


def _ungrounded(site: Site) -> str | None:
    return "The system is grounded." if conductors.is_grounded(site) else None


def _high_leg(site: Site) -> str | None:
    system = site.need(lambda job: job.transformer.secondary_system)
    return None if system == "delta_high_leg" else "The secondary has no high leg."


def _beyond_a_slash_rating(site: Site) -> str | None:
    """A slash rating holds on solidly grounded systems alone, and where no phase stands above its lower voltage."""
    system = site.need(lambda job: job.transformer.secondary_system)
    if system in ("delta_high_leg", "delta_corner_grounded") or not conductors.is_grounded(site):
        return None
    return "Grounded, and no phase stands at a higher voltage to ground than the others."


def _aluminum_electrode_conductor(site: Site) -> str | None:
    metal = site.need(lambda job: job.electrode.conductor.material)
    return None if metal == "aluminum" else "The electrode conductor is copper."


def _corner(site: Site) -> str | None:
    system = site.need(lambda job: job.transformer.secondary_system)
    return (
        None
        if system == "delta_corner_grounded"
        else "The secondary is not a corner-grounded delta."
    )


def _outdoors(site: Site) -> str | None:
    outdoors = site.need(lambda job: job.transformer.location) == "outdoors"
    return None if outdoors else "The transformer is indoors."


def _aluminum(site: Site) -> str | None:
    metals = (
        site.need(lambda job: job.primary.conductors.material),
        site.need(lambda job: job.secondary.conductors.material),
    )
    return None if "aluminum" in metals else "No aluminum conductors."


def _parallel(site: Site) -> str | None:
    sets = max(
        site.need(lambda job: job.primary.conductors.sets),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    return None if sets > 1 else "No parallel conductors."


def _ten_feet(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    return None if relied_on == "10_ft" else "The 10-ft rule is not relied on."


def _outside_rule(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    return None if relied_on == "outside" else "The outside rule is not relied on."


def _industrial_rule(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    return None if relied_on == "industrial_25_ft" else "The industrial rule is not relied on."


def _in_edition(choice_id: str, wanted: str) -> Applies:
    def applies(site: Site) -> str | None:
        return (
            None
            if choice(site.code.edition, choice_id) == wanted
            else "This edition has no such rule yet."
        )

    return applies


def _reverse_fed(site: Site) -> str | None:
    return None if site.need(lambda job: job.observations.reverse_fed) else "It is fed as designed."


class Seen(NamedTuple):
    """One requirement that a look settles. `good` is the answer that meets it."""

    id: str
    title: str
    cite: str
    severity: Severity
    group: str
    required: str
    otherwise: str
    remedy: str
    good: bool = True
    fact: str = ""
    applies: Applies = _always
    asks: tuple[str, ...] = ()
    changes: bool = False


_SYSTEM = ("transformer.secondary_system", "bonding.system_bonding_jumper.location")

SEEN: tuple[Seen, ...] = (
    Seen(
        "ventilation",
        "Ventilation and clearances",
        "transformer_ventilation",
        "violation",
        "enclosure",
        "vents clear by at least the distance on the nameplate",
        "The vents are blocked or too near a wall: it overheats.",
        "Clear the distance on the nameplate.",
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
        "grounding and bonding conductors on a bar bolted to the enclosure; with wire leads, joined and bonded to it",
        "Conductors are fastened to vent slots, studs or each other.",
        "Fit a terminal bar.",
        fact="terminal_bar_used",
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
        applies=_in_edition("electrode_conductor_openings", "required"),
        changes=True,
    ),
    Seen(
        "working_space",
        "Working space",
        "working_space",
        "violation",
        "enclosure",
        "depth, width and height free in front of parts likely to be worked on live",
        "The working space is not free.",
        "Clear it.",
        fact="working_space_clear",
    ),
    Seen(
        "anchoring",
        "Fastened in place",
        "mounting",
        "violation",
        "enclosure",
        "firmly fastened to its surface",
        "Not fastened.",
        "Fasten it; in earthquake country by the building code too.",
        fact="anchored",
    ),
    Seen(
        "shipping_parts",
        "Shipping parts out, pads in",
        "listing_and_instructions",
        "advice",
        "enclosure",
        "as the instructions say",
        "Shipping brackets or debris left inside: noise, heat.",
        "Take them out, dead.",
        fact="shipping_parts_removed",
    ),
    Seen(
        "torque",
        "Terminations torqued",
        "terminal_torque",
        "violation",
        "enclosure",
        "tightened to the marked torque with an approved means; on word of whoever did it",
        "The terminations were not tightened with an approved means.",
        "Have the installer state the means; re-terminate by the manufacturer's instructions where it was not done. Do not re-torque to check.",
        fact="torque_recorded",
        applies=_in_edition("torque_record", "required"),
        changes=True,
    ),
    Seen(
        "lugs_for_aluminum",
        "Lugs marked for aluminum",
        "electrical_connections",
        "violation",
        "enclosure",
        "each lug marked AL or AL/CU",
        "A lug is not marked for aluminum: the joint works loose and burns.",
        "Change the lug, or use copper.",
        fact="lugs_marked_for_metal",
        applies=_aluminum,
        asks=("primary.conductors.material", "secondary.conductors.material"),
    ),
    Seen(
        "parallel_alike",
        "Parallel conductors alike",
        "parallel_conductors",
        "violation",
        "secondary_run",
        "same length, metal, size, insulation and terminations in each set",
        "The sets differ: one carries more than its share.",
        "Make them alike.",
        fact="parallel_sets_alike",
        applies=_parallel,
        asks=("primary.conductors.sets", "secondary.conductors.sets"),
    ),
    Seen(
        "circuit_grouping",
        "All conductors of the circuit together",
        "conductors_of_one_circuit_together",
        "violation",
        "secondary_run",
        "phases, neutral and grounding or bonding wire in each raceway",
        "Conductors of one circuit run apart: heat, and a fault path that is too long.",
        "Regroup them.",
        fact="circuit_grouped",
    ),
    Seen(
        "no_taps",
        "Nothing tapped ahead of the first device",
        "secondary_conductors",
        "violation",
        "secondary_run",
        "no taps from the secondary conductors ahead of a device",
        "A tap from a tap: nothing protects it.",
        "Feed it from behind a device.",
        good=False,
        fact="tapped_ahead_of_device",
    ),
    Seen(
        "secondary_end",
        "Secondary conductors end where they supply",
        "secondary_10_ft",
        "violation",
        "secondary_run",
        "they do not go on past the equipment they supply",
        "They go on past the equipment they supply.",
        "End them there.",
        fact="ends_at_equipment_supplied",
        applies=_ten_feet,
        asks=("secondary.rule",),
    ),
    Seen(
        "industrial_supply",
        "Industrial rule supplies a switchboard",
        "secondary_industrial_25_ft",
        "violation",
        "secondary_run",
        "switchgear or a switchboard at the end, in an industrial installation",
        "The industrial rule is written for switchgear and switchboards, not for a panelboard.",
        "Rely on another rule.",
        fact="supplies_switchboard",
        applies=_industrial_rule,
        asks=("secondary.rule",),
    ),
    Seen(
        "outside_run",
        "Outside rule: outdoors all the way",
        "secondary_outside",
        "violation",
        "secondary_run",
        "outdoors all the way but for the point where they end",
        "Part of the run is indoors.",
        "Rely on another rule, or protect them where they enter.",
        fact="outdoors_all_the_way",
        applies=_outside_rule,
        asks=("secondary.rule",),
    ),
    Seen(
        "outside_disconnect",
        "Disconnect of the outside rule",
        "secondary_outside",
        "violation",
        "secondary_run",
        "outside, or inside nearest the point of entry",
        "The disconnect is too far inside.",
        "Move the disconnect.",
        fact="outside_disconnect_placed",
        applies=_outside_rule,
        asks=("secondary.rule",),
    ),
    Seen(
        "conductor_identification",
        "Grounded conductor identified",
        "grounded_conductor_identification",
        "violation",
        "first_disconnect",
        "white or gray, phases by their colors",
        "The colors mislead.",
        "Mark them.",
        fact="grounded_conductor_identified",
        applies=_grounded,
        asks=_SYSTEM,
    ),
    Seen(
        "source_marking",
        "Panelboard marked with its source",
        "panelboard_source_of_supply",
        "violation",
        "first_disconnect",
        "the panelboard says where it is fed from",
        "Nobody can tell where to open it.",
        "Mark it.",
        fact="source_marked",
    ),
    Seen(
        "fault_current_marking",
        "Fault current marked at the panelboard",
        "panelboard_short_circuit_rating",
        "violation",
        "first_disconnect",
        "available fault current and date at the panelboard",
        "No fault current is marked.",
        "Mark it, with the date.",
        fact="fault_current_marked",
        applies=_in_edition("panelboard_fault_marking", "required"),
        changes=True,
    ),
    Seen(
        "arc_flash_marking",
        "Arc-flash warning",
        "arc_flash_marking",
        "violation",
        "first_disconnect",
        "an arc-flash warning on the equipment",
        "No warning.",
        "Mark it.",
        fact="arc_flash_marked",
    ),
    Seen(
        "electrode_conductor_protection",
        "Electrode conductor fastened, unspliced, protected",
        "electrode_conductor_protection",
        "violation",
        "electrode",
        "fastened, one length, protected where exposed to damage",
        "It can be damaged, or is spliced.",
        "Protect it; run it in one length.",
        fact="electrode_conductor_protected",
    ),
    Seen(
        "aluminum_electrode_conductor",
        "Aluminum electrode conductor clear of earth",
        "electrode_conductor_aluminum",
        "violation",
        "electrode",
        "outdoors ended 18 in. or more above the earth; bare nowhere against earth or masonry",
        "Aluminum corrodes where it touches earth or masonry.",
        "Use copper there.",
        fact="aluminum_clear_of_earth",
        applies=_aluminum_electrode_conductor,
        asks=("electrode.conductor.material",),
    ),
    Seen(
        "ferrous_raceway",
        "Steel raceway of the electrode conductor bonded",
        "electrode_conductor_ferrous_raceway",
        "violation",
        "electrode",
        "any steel raceway around it bonded at both ends",
        "A steel raceway not bonded at both ends chokes the conductor.",
        "Bond both ends.",
        fact="ferrous_raceway_bonded",
    ),
    Seen(
        "outdoor_electrode",
        "Electrode at an outdoor source",
        "outdoor_source",
        "danger",
        "electrode",
        "an electrode connection at the transformer outdoors",
        "No electrode at the outdoor transformer.",
        "Connect one there.",
        fact="electrode_at_outdoor_source",
        applies=_outdoors,
        asks=("transformer.location",),
    ),
    Seen(
        "ungrounded_marking",
        "Ungrounded system marked",
        "ungrounded_system_marking",
        "violation",
        "first_disconnect",
        "marked as ungrounded, with the voltage",
        "Not marked as ungrounded.",
        "Mark it.",
        fact="ungrounded_marked",
        applies=_ungrounded,
        asks=_SYSTEM,
    ),
    Seen(
        "high_leg_marking",
        "High leg orange",
        "high_leg_identification",
        "danger",
        "first_disconnect",
        "the high leg orange wherever the neutral is present",
        "The high leg is not marked: someone will connect to it.",
        "Mark it orange.",
        fact="high_leg_orange",
        applies=_high_leg,
        asks=("transformer.secondary_system",),
    ),
    Seen(
        "high_leg_loads",
        "No load from high leg to neutral",
        "high_leg_identification",
        "danger",
        "downstream",
        "nothing between the high leg and the neutral",
        "A load stands on the high leg and the neutral: too much voltage.",
        "Move the load.",
        fact="high_leg_free_of_neutral_loads",
        applies=_high_leg,
        asks=("transformer.secondary_system",),
    ),
    Seen(
        "straight_rated_devices",
        "Breakers rated for this system",
        "slash_voltage_rating",
        "danger",
        "first_disconnect",
        "no slash-rated breaker on the high leg, on a corner-grounded or on an ungrounded system",
        "A slash-rated breaker may not clear a fault here.",
        "Fit straight-rated breakers.",
        fact="straight_rated_devices",
        applies=_beyond_a_slash_rating,
        asks=("transformer.secondary_system", "bonding.system_bonding_jumper.location"),
    ),
    Seen(
        "grounded_phase_marking",
        "Grounded phase identified and unfused",
        "grounded_conductor_identification",
        "danger",
        "first_disconnect",
        "the grounded phase identified, no fuse in it",
        "The grounded phase is not identified, or a fuse stands in it.",
        "Identify it; take the fuse out.",
        fact="grounded_phase_identified",
        applies=_corner,
        asks=("transformer.secondary_system",),
    ),
    Seen(
        "reverse_feed",
        "Reverse feed only where marked",
        "reverse_feed",
        "violation",
        "enclosure",
        "nameplate or instructions allow feeding it in reverse",
        "Fed in reverse without the manufacturer's leave.",
        "Use a unit made for it.",
        fact="reverse_feed_marked",
        applies=_reverse_fed,
        asks=("observations.reverse_fed",),
    ),
)


def _rule_of(seen: Seen) -> Rule:
    path = f"observations.{seen.fact}"

    def judge(site: Site) -> Finding:
        reason = seen.applies(site)
        if reason:
            return not_applicable(reason)
        answer = need_at(site.job, path)
        return confirm(
            site,
            answer is seen.good,
            required=seen.required,
            found="yes" if answer else "no",
            reason="As it should be, by what was seen.",
            otherwise=seen.otherwise,
            remedy=seen.remedy,
        )

    return rule(
        seen.id,
        title=seen.title,
        cite=seen.cite,
        severity=seen.severity,
        group=seen.group,
        asks=(path, *seen.asks),
        changes_between_editions=seen.changes,
    )(judge)


OBSERVED: tuple[Rule, ...] = tuple(_rule_of(seen) for seen in SEEN)


@rule(
    "accessibility",
    title="Access to the transformer",
    cite="transformer_accessibility",
    severity="violation",
    group="enclosure",
    asks=("observations.readily_accessible", "observations.above_ceiling"),
)
def accessibility(site: Site) -> Finding:
    """Whether it can be reached, or is small enough to be excused [kVA].

    Section: 450.13(A) and (B). Raises Missing.
    """
    required = "readily accessible, or in the open on walls, columns or structures"
    if site.need(lambda job: job.observations.readily_accessible):
        return confirm(
            site, True, required=required, found="accessible", reason="Accessible.", otherwise=""
        )
    if site.job.transformer.kva <= 50 and site.need(lambda job: job.observations.above_ceiling):
        return not_applicable(
            "Not over 50 kVA and in a hollow space: it need not be readily accessible."
        )
    return confirm(
        site,
        False,
        required=required,
        found="not readily accessible",
        reason="",
        otherwise="Not readily accessible.",
        remedy="Give access, or move it.",
    )


@rule(
    "hollow_space",
    title="Above a ceiling",
    cite="transformer_accessibility",
    severity="violation",
    group="enclosure",
    asks=("observations.above_ceiling", "transformer.construction"),
)
def hollow_space(site: Site) -> Finding:
    """Whether a transformer in a hollow space may be there [kVA, V].

    Section: 450.13(B): dry type, 1000 V or less, not over 50 kVA. Raises Missing.
    """
    if not site.need(lambda job: job.observations.above_ceiling):
        return not_applicable("It does not stand in a hollow space.")
    transformer = site.job.transformer
    required = "a dry type of at most 1000 V and 50 kVA in a hollow space"
    shown = f"{number(transformer.kva)} kVA, {volts(transformer.primary_volts)}"
    remedy = "Move it to where it is readily accessible."
    small = compare(
        site,
        found=transformer.kva,
        at_most=50,
        required=required,
        found_shown=shown,
        reason="Of a kind and size for a hollow space.",
        otherwise="Too large for a hollow space.",
        remedy=remedy,
    )
    if small.verdict == "does_not_meet":
        return small
    if currents.is_over_1000_volts(site):
        why = "Above 1000 V it may not stand in a hollow space."
    elif site.need(lambda job: job.transformer.construction) == "liquid":
        why = "Only a dry type may stand in a hollow space."
    else:
        return small
    return confirm(
        site, False, required=required, found=shown, reason="", otherwise=why, remedy=remedy
    )


@rule(
    "disconnecting_means",
    title="Disconnect for the transformer",
    cite="transformer_disconnect",
    severity="danger",
    group="primary_disconnect",
    asks=("observations.disconnect_in_sight", "observations.disconnect_lockable_and_marked"),
)
def disconnecting_means(site: Site) -> Finding:
    """Whether a disconnect is in sight, or lockable open with its place marked on the transformer.

    Unit: ft (50 ft). Section: 450.14. Raises Missing.
    """
    required = "in sight within 50 ft, or lockable open and its place marked on the transformer"
    if site.need(lambda job: job.observations.disconnect_in_sight):
        return confirm(
            site, True, required=required, found="in sight", reason="In sight.", otherwise=""
        )
    lockable = site.need(lambda job: job.observations.disconnect_lockable_and_marked)
    return confirm(
        site,
        lockable,
        required=required,
        found="remote, lockable and marked" if lockable else "remote, not lockable or not marked",
        reason="Remote, lockable open, its place marked.",
        otherwise="Nobody at the transformer can be sure that it stays dead.",
        remedy="A lockable disconnect, its place marked on the transformer.",
    )


@rule(
    "dry_type_indoors",
    title="Dry type indoors: combustibles and room",
    cite="dry_type_indoors",
    severity="violation",
    group="enclosure",
    asks=(
        "transformer.construction",
        "transformer.location",
        "observations.combustibles_clear",
        "observations.fire_resistant_room",
        "observations.far_from_combustibles",
        "transformer.insulation_class_celsius",
        "observations.completely_enclosed_except_vents",
    ),
)
def dry_type_indoors(site: Site) -> Finding:
    """Whether a dry type indoors keeps its distance, or stands in its room [kVA, °C].

    Section: 450.21(A) up to 112-1/2 kVA, 450.21(B) above. Raises Missing.
    """
    if site.need(lambda job: job.transformer.construction) == "liquid":
        return not_applicable(
            "Liquid-filled: Part II of the article asks for other things, outside this tool."
        )
    if site.need(lambda job: job.transformer.location) != "indoors":
        return not_applicable("It stands outdoors.")
    if site.job.transformer.kva <= 112.5:
        clear = site.need(lambda job: job.observations.combustibles_clear)
        if not clear and site.need(lambda job: job.observations.completely_enclosed_except_vents):
            return not_applicable(
                "Completely enclosed but for the vents: the 12 in. are not asked for. The clearance on the nameplate "
                f"still counts ({site.section('transformer_ventilation')})."
            )
        return confirm(
            site,
            clear,
            required="12 in. from combustibles, or a fire-resistant heat-insulating barrier",
            found="clear" if clear else "not clear",
            reason="Clear of combustibles.",
            otherwise="Combustibles are too near.",
            remedy="Clear 12 in., or fit a barrier.",
        )
    required = (
        "a fire-resistant room, or class 155 °C and higher with distance or complete enclosure"
    )
    if site.need(lambda job: job.observations.fire_resistant_room):
        return confirm(
            site,
            True,
            required=required,
            found="fire-resistant room",
            reason="In a fire-resistant room.",
            otherwise="",
        )
    class_ = site.need(lambda job: job.transformer.insulation_class_celsius)
    enclosed = class_ >= 155 and (
        site.need(lambda job: job.observations.completely_enclosed_except_vents)
        or site.need(lambda job: job.observations.far_from_combustibles)
    )
    return confirm(
        site,
        enclosed,
        required=required,
        found=f"no such room, class {class_} °C",
        reason="The insulation class and the enclosure or distance allow it outside such a room.",
        otherwise="Above 112-1/2 kVA, outside a fire-resistant room, and the exceptions do not hold.",
        remedy="A fire-resistant transformer room, or a unit of class 155 °C or higher, completely enclosed.",
    )


@rule(
    "dry_type_outdoors",
    title="Dry type outdoors",
    cite="dry_type_outdoors",
    severity="violation",
    group="enclosure",
    asks=(
        "transformer.construction",
        "transformer.location",
        "observations.weatherproof_enclosure",
        "observations.combustibles_clear",
        "transformer.insulation_class_celsius",
        "observations.completely_enclosed_except_vents",
    ),
)
def dry_type_outdoors(site: Site) -> Finding:
    """Whether a dry type outdoors has a weatherproof enclosure, and above 112-1/2 kVA keeps its distance [kVA].

    Section: 450.22. Raises Missing.
    """
    if site.need(lambda job: job.transformer.construction) == "liquid":
        return not_applicable(
            "Liquid-filled: Part II of the article asks for other things, outside this tool."
        )
    if site.need(lambda job: job.transformer.location) != "outdoors":
        return not_applicable("It stands indoors.")
    weatherproof = site.need(lambda job: job.observations.weatherproof_enclosure)
    clear = True
    if weatherproof and site.job.transformer.kva > 112.5:
        clear = site.need(lambda job: job.observations.combustibles_clear) or (
            site.need(lambda job: job.transformer.insulation_class_celsius) >= 155
            and site.need(lambda job: job.observations.completely_enclosed_except_vents)
        )
    return confirm(
        site,
        weatherproof and clear,
        required="a weatherproof enclosure; above 112-1/2 kVA also 12 in. from combustible parts of buildings",
        found=f"{'weatherproof' if weatherproof else 'not weatherproof'}{'' if clear else ', combustibles too near'}",
        reason="Weatherproof, and clear of what burns.",
        otherwise="Not weatherproof."
        if not weatherproof
        else "Too near combustible parts of the building.",
        remedy="An enclosure marked for outdoors." if not weatherproof else "Move it 12 in. away.",
    )


@rule(
    "nameplate_agrees",
    title="Nameplate figures agree",
    cite="transformer_nameplate",
    severity="advice",
    group="nameplate",
    asks=("transformer.nameplate_primary_amperes", "transformer.nameplate_secondary_amperes"),
)
def nameplate_agrees(site: Site) -> Finding:
    """Whether kVA, voltages and printed currents fit together [A], within 3 % for rounding.

    Section: 450.11(A); the tolerance is common practice, no source. Raises Missing.
    """
    pairs = (
        (
            site.need(lambda job: job.transformer.nameplate_primary_amperes),
            currents.full_load_current_primary(site),
        ),
        (
            site.need(lambda job: job.transformer.nameplate_secondary_amperes),
            currents.full_load_current_secondary(site),
        ),
    )
    worst = max(abs(printed - worked.amount) / worked.amount for printed, worked in pairs)
    shown = "; ".join(
        f"{side} {number(printed)} A printed, {number(worked.amount)} A worked out"
        for side, (printed, worked) in zip(("primary", "secondary"), pairs, strict=True)
    )
    return compare(
        site,
        found=worst,
        at_most=0.03,
        required="printed currents within 3 % of those worked out",
        found_shown=shown,
        reason="kVA, voltages and currents fit together.",
        otherwise="kVA, voltages and currents do not fit together: one of them is misread.",
        remedy="Read the nameplate again.",
        steps=tuple(step for _, worked in pairs for step in worked.steps),
    )
