"""Around the transformer: its place, its room, its disconnect and its nameplate."""

from engine.derived import currents, volts_to_ground
from engine.derived.slash_ratings import SHARE_OF_SECONDARY
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import number, volts
from engine.rules.rule import rule

_FACES = {
    "nothing_grounded": "nothing grounded",
    "grounded": "grounded parts",
    "live": "live parts",
}


def _of_supply(site: Site, *, least: bool) -> float:
    """What the primary has to ground [V], at the least or at the most that is known of its supply."""
    supply = site.job.primary.supply_system
    to_ground = volts_to_ground.of_primary(site, supply)
    # The lines behind an impedance can have the whole voltage to ground for as long as a fault stands.
    return to_ground.least if least and supply != "impedance_grounded" else to_ground.most


def _to_ground(site: Site, of_supply: float, system: str | None) -> float:
    """The highest voltage to ground on either side [V]; line to line where no grounded neutral is known to hold it lower."""
    transformer = site.job.transformer
    of_wye = system == "wye_4_wire"
    return max(
        of_supply,
        transformer.secondary_volts * (3**-0.5 if of_wye else 1.0),
    )


def _least_to_ground(site: Site) -> float:
    """The highest voltage to ground on either side [V], at the least that facts not known yet can make of it."""
    transformer = site.job.transformer
    system = transformer.secondary_system
    # The least that a connection leaves to ground is what stands there once it is grounded.
    shares = SHARE_OF_SECONDARY
    of_secondary = shares.get(system, 1.0) if system else min(shares.values())
    return max(_of_supply(site, least=True), transformer.secondary_volts * of_secondary)


def _working_space_figures(site: Site) -> str:
    """Depth, width and height in words [in., ft]."""
    highest = _to_ground(site, _of_supply(site, least=False), site.job.transformer.secondary_system)
    depths = [
        f"{number(site.code.working_space_depth(highest, faces))} in. facing {words}"
        for faces, words in _FACES.items()
    ]
    return (
        "30 in. wide or as wide as the equipment, 6-1/2 ft high or as high as the equipment, and deep "
        f"{', '.join(depths)}"
    )


@rule(
    "working_space",
    title="Working space",
    cite="working_space",
    severity="violation",
    group="enclosure",
    asks=(
        "observations.working_space_clear",
        "primary.supply_system",
        "transformer.secondary_system",
    ),
)
def working_space(site: Site) -> Finding:
    """Whether the space in front of parts likely to be worked on live is free [in., ft]. Section: 110.26(A). Raises Missing."""
    clear = site.need(lambda job: job.observations.working_space_clear)
    return confirm(
        site,
        clear,
        required=_working_space_figures(site),
        found="yes" if clear else "no",
        reason="Seen: OK.",
        otherwise="The working space is not clear.",
        remedy="Clear it.",
    )


@rule(
    "working_space_depth",
    title="Depth of the working space, by tape",
    cite="working_space",
    severity="advice",
    group="enclosure",
    asks=(
        "observations.working_space_depth_inches",
        "observations.working_space_faces",
        "primary.supply_system",
        "transformer.secondary_system",
    ),
)
def working_space_depth(site: Site) -> Finding:
    """Whether the taped depth is that of the table [in.]. The tape is advice; a depth that is too small breaks the rule.

    Section: Table 110.26(A)(1), above 1000 V to ground Table 110.34(A). Raises Missing.
    """
    depth = site.need(lambda job: job.observations.working_space_depth_inches)
    # What is known of either side narrows it: no answer about the other one brings it below.
    least = _least_to_ground(site)
    most = _to_ground(site, site.job.transformer.primary_volts, None)
    cases = [site.code.working_space_depth(v, faces) for v in (least, most) for faces in _FACES]
    facing = ""
    if depth < min(cases):
        wanted = min(cases)
    elif depth >= max(cases):
        wanted = max(cases)
    else:
        faces = site.need(lambda job: job.observations.working_space_faces)
        facing = f" facing {_FACES[faces]}"
        low, wanted = (site.code.working_space_depth(v, faces) for v in (least, most))
        if depth < wanted and low < wanted:
            supply = site.need(lambda job: job.primary.supply_system)
            system = site.need(lambda job: job.transformer.secondary_system)
            low, wanted = (
                site.code.working_space_depth(
                    _to_ground(site, _of_supply(site, least=at_least), system), faces
                )
                for at_least in (True, False)
            )
            if low <= depth < wanted:
                return undetermined(
                    "Whether it is deep enough depends on the voltage to ground of the primary. "
                    f"{volts_to_ground.of_primary(site, supply).find_out}",
                    required=f"at least {number(low)} in. or {number(wanted)} in.{facing}",
                    found=f"{number(depth)} in.",
                )._replace(severity="violation")
    finding = compare(
        site,
        found=depth,
        at_least=wanted,
        required=f"at least {number(wanted)} in.{facing}",
        found_shown=f"{number(depth)} in.",
        reason="Deep enough.",
        otherwise="Anyone working on live parts here has no room to get away.",
        remedy="Clear the depth, or move what is in the way.",
    )
    return finding._replace(severity="violation" if finding.verdict == "does_not_meet" else None)


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
        remedy="Provide access, or move it.",
    )


@rule(
    "hollow_space",
    title="Above a ceiling",
    cite="transformer_accessibility",
    severity="violation",
    group="enclosure",
    asks=(
        "observations.above_ceiling",
        "transformer.construction",
        "observations.hollow_space_open",
    ),
)
def hollow_space(site: Site) -> Finding:
    """Whether a transformer in a hollow space may be there [kVA, V].

    Section: 450.13(B): dry type, 1000 V or less, not over 50 kVA, the space not permanently closed in by structure.
    Raises Missing.
    """
    if not site.need(lambda job: job.observations.above_ceiling):
        return not_applicable("It is not in a hollow space.")
    transformer = site.job.transformer
    required = "a dry type of at most 1000 V and 50 kVA, in a hollow space that is not permanently closed in"
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
        why = "Above 1000 V it may not be in a hollow space."
    elif site.need(lambda job: job.transformer.construction) == "liquid":
        why = "Only a dry type may be in a hollow space."
    elif not site.need(lambda job: job.observations.hollow_space_open):
        why = "This space is permanently closed in by structure."
        shown = f"{shown}, closed in"
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
    required = "in sight within 50 ft, or lockable open and its location marked on the transformer"
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
        reason="Remote, lockable open, its location marked.",
        otherwise="Nobody working at the transformer can be sure that it stays off.",
        remedy="A lockable disconnect, its location marked on the transformer.",
    )


def _in_a_vault(site: Site) -> Finding:
    """Above 35,000 V. A room that is not even fire-resistant is no vault; one that is may be none either."""
    required = "a transformer vault, above 35,000 V"
    if site.need(lambda job: job.observations.fire_resistant_room):
        return undetermined(
            "Above 35,000 V, a dry-type transformer must be in a transformer vault, with its own fire rating, doors, "
            "sills and ventilation. This tool does not judge vaults: ask the engineer of record.",
            required=required,
            found="fire-resistant room",
            cite="dry_type_in_a_vault",
        )
    return confirm(
        site,
        False,
        required=required,
        found="no fire-resistant room",
        reason="",
        otherwise="Above 35,000 V, a dry-type transformer must be in a transformer vault. This room is not one.",
        remedy="A transformer vault.",
        cite="dry_type_in_a_vault",
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

    Section: 450.21(A) up to 112-1/2 kVA, 450.21(B) above, 450.21(C) above 35,000 V. Raises Missing.
    """
    if site.need(lambda job: job.transformer.location) != "indoors":
        return not_applicable("It is outdoors.")
    if site.need(lambda job: job.transformer.construction) == "liquid":
        return undetermined(
            "Liquid-filled indoors: vault, confinement of the liquid and fire protection depend on the liquid. Those rules "
            "are outside this tool. Ask the engineer of record.",
            cite="liquid_filled_indoors",
        )
    if site.job.transformer.primary_volts > 35000:
        return _in_a_vault(site)
    if site.job.transformer.kva <= 112.5:
        clear = site.need(lambda job: job.observations.combustibles_clear)
        # The exception for a closed case ends at 1000 V.
        if (
            not clear
            and not currents.is_over_1000_volts(site)
            and site.need(lambda job: job.observations.completely_enclosed_except_vents)
        ):
            return not_applicable(
                "Completely enclosed except for the vents: the 12 in. is not required. The clearance on the nameplate "
                f"still counts ({site.section('transformer_ventilation')})."
            )
        return confirm(
            site,
            clear,
            required="12 in. from combustibles, or a fire-resistant heat-insulating barrier",
            found="clear" if clear else "not clear",
            reason="Clear of combustibles.",
            otherwise="Combustibles are too close.",
            remedy="Clear 12 in., or install a barrier.",
        )
    required = (
        "a fire-resistant room, or class 155 °C and higher with distance or complete enclosure"
    )
    observed = site.job.observations
    known = site.job.transformer.insulation_class_celsius
    excused = known is not None and known >= 155
    # Where an exception holds, nobody needs to know what the room is.
    if not (
        excused and (observed.completely_enclosed_except_vents or observed.far_from_combustibles)
    ) and site.need(lambda job: job.observations.fire_resistant_room):
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
        observed.completely_enclosed_except_vents
        or observed.far_from_combustibles
        or site.need(lambda job: job.observations.completely_enclosed_except_vents)
        or site.need(lambda job: job.observations.far_from_combustibles)
    )
    return confirm(
        site,
        bool(enclosed),
        required=required,
        found=f"class {class_} °C"
        if observed.fire_resistant_room is None
        else f"no such room, class {class_} °C",
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

    A case that is marked for outdoors keeps the rain out only while it is closed. Section: 110.12(A), 450.22. Raises Missing.
    """
    if site.need(lambda job: job.transformer.location) != "outdoors":
        return not_applicable("It is indoors.")
    if site.need(lambda job: job.transformer.construction) == "liquid":
        return undetermined(
            "Liquid-filled outdoors: what keeps a fire from buildings, openings and exits is outside this tool. Ask the "
            "engineer of record.",
            cite="liquid_filled_outdoors",
        )
    weatherproof = site.need(lambda job: job.observations.weatherproof_enclosure)
    closed = weatherproof and site.need(
        lambda job: job.observations.completely_enclosed_except_vents
    )
    if weatherproof and not closed:
        return confirm(
            site,
            False,
            required="a weatherproof enclosure, closed except for its vents",
            found="made for outdoors, not closed",
            reason="",
            otherwise="The enclosure is made for outdoors, but something other than its vents is open: water gets in.",
            remedy="Put the cover back, and close unused openings.",
        )
    clear, reason = True, "Weatherproof."
    if weatherproof and site.job.transformer.kva > 112.5:
        distant = site.need(lambda job: job.observations.combustibles_clear)
        clear = distant or site.need(lambda job: job.transformer.insulation_class_celsius) >= 155
        reason = (
            "Weatherproof, and clear of combustibles."
            if distant
            else "Weatherproof. Its insulation class and its closed case allow it near combustibles."
        )
    return confirm(
        site,
        weatherproof and clear,
        required="a weatherproof enclosure; above 112-1/2 kVA also 12 in. from combustible parts of buildings",
        found=f"{'weatherproof' if weatherproof else 'not weatherproof'}{'' if clear else ', combustibles too close'}",
        reason=reason,
        otherwise="Not weatherproof."
        if not weatherproof
        else "Too close to combustible parts of the building.",
        remedy="An enclosure marked for outdoors." if not weatherproof else "Move it 12 in. away.",
    )


@rule(
    "separate_windings",
    title="Two separate windings",
    cite="separately_derived_systems",
    severity="danger",
    group="nameplate",
    asks=(
        "transformer.primary_system",
        "transformer.secondary_system",
        "transformer.autotransformer",
    ),
)
def separate_windings(site: Site) -> Finding:
    """Whether the secondary is a winding of its own, or nobody looked.

    Unit: none. Section: 250.30, Article 100 (separately derived system). Raises Missing.
    """
    t = site.job.transformer
    primary, secondary = t.primary_system, t.secondary_system
    # One winding serves both sides only where both are connected alike.
    are_unlike = (
        primary and secondary and primary.startswith("delta") != secondary.startswith("delta")
    )
    # A job with an autotransformer is refused whole, so what is known here is that it is none.
    if not are_unlike:
        site.need(lambda job: job.transformer.autotransformer)
    return confirm(
        site,
        True,
        required="a secondary winding of its own, with no connection to the primary",
        found="two windings",
        reason="Delta on one side and wye on the other: the windings are separate."
        if are_unlike
        else "The nameplate shows two separate windings.",
        otherwise="",
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
        f"{side} {number(printed)} A printed, {number(worked.amount)} A calculated"
        for side, (printed, worked) in zip(("primary", "secondary"), pairs, strict=True)
    )
    return compare(
        site,
        found=worst,
        at_most=0.03,
        required="printed currents within 3 % of those calculated",
        found_shown=shown,
        reason="kVA, voltages and currents agree.",
        otherwise="kVA, voltages and currents do not agree: one of them was misread.",
        remedy="Read the nameplate again.",
        steps=tuple(step for _, worked in pairs for step in worked.steps),
    )
