"""Where a dry-type transformer may be: indoors, outdoors, in a hollow space, in a vault."""

from engine.derived import currents
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import number, volts
from engine.rules.rule import rule


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
