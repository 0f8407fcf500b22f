"""First disconnect and panelboard: what a look settles."""

from engine.code.choices import choice
from engine.derived import currents, grounded_systems, slash_ratings
from engine.job.site import Site
from engine.physics.quantities import volts
from engine.rules.conditions.facts_read import GROUNDED_BY, SECONDARY_RATING
from engine.rules.conditions.first_disconnect import secondary_ratings
from engine.rules.look import Excuse, Seen, high_leg, in_edition, ungrounded


def _beyond_a_slash_rating(site: Site) -> str | None:
    """A slash rating holds on solidly grounded systems alone, and where no conductor stands above its lower voltage."""
    exposure = slash_ratings.on_secondary(site)
    if not exposure.usual_label_holds or exposure.to_ground is None:
        return None
    # No usual label has a lower voltage than the first; above it the answer may be of one that is too low.
    if (
        site.job.observations.straight_rated_devices is False
        and exposure.to_ground > slash_ratings.LABELS[0].to_ground * slash_ratings.NOMINAL
    ):
        return None
    return f"Solidly grounded, and no conductor has more than {volts(exposure.to_ground)} to ground: the usual slash rating holds."


def _ungrounded_from_50_volts(site: Site) -> str | None:
    """250.21 is about systems of 50 V to 1000 V: its title, from memory."""
    if site.job.transformer.secondary_volts < 50:
        return "Below 50 V this marking is not required."
    return ungrounded(site)


def _label_to_be_read(site: Site) -> str | None:
    """Why a slash rating that is said not to fit can't be judged: the usual one would, and a lower one may be there."""
    exposure = slash_ratings.on_secondary(site)
    if not exposure.usual_label_holds or exposure.to_ground is None:
        return None
    return (
        f"The usual slash rating would hold here: no conductor has more than {volts(exposure.to_ground)} to ground. But "
        "the breakers are entered as not fit for this system. Read the label: its lower voltage must be at least that."
    )


def _nothing_to_identify(site: Site) -> str | None:
    """Phases are told apart from those of another voltage on the premises, grounded or not."""
    transformer = site.job.transformer
    if (
        grounded_systems.is_grounded(site)
        or transformer.primary_volts != transformer.secondary_volts
    ):
        return None
    # What is marked is marked, whatever the supply is.
    if site.job.observations.grounded_conductor_identified:
        return None
    # A grounded supply of the same volts between lines is another system: 480Y/277 beside 480 V.
    if site.need(lambda job: job.primary.supply_system) != "ungrounded":
        return None
    return "The system is ungrounded, and so is its supply of the same voltage."


def _identified_by(site: Site) -> str | None:
    return None if grounded_systems.is_grounded(site) else "feeder_identification"


def _corner(site: Site) -> str | None:
    system = site.need(lambda job: job.transformer.secondary_system)
    # A fuse that was seen in the return of a two-wire circuit is as wrong.
    if (
        system == "single_phase_2_wire"
        and site.job.observations.grounded_phase_identified is False
        and grounded_systems.is_grounded(site)
    ):
        return None
    return (
        None
        if system == "delta_corner_grounded"
        else "The secondary is not a corner-grounded delta."
    )


def _has_panelboard(site: Site) -> str | None:
    if site.need(lambda job: job.secondary.panelboard.present) or site.need(
        lambda job: job.observations.supplies_switchboard
    ):
        return None
    return "There is no panelboard and no switchboard."


def _three_phase_distribution(site: Site) -> str | None:
    return "Single-phase." if site.job.transformer.phases == 1 else _has_panelboard(site)


def _neutral_elsewhere(site: Site) -> str | None:
    """Why a high leg that is not orange can't be judged: no neutral is run to where it was seen. Section: 110.15."""
    if not grounded_systems.is_without_neutral(site):
        return None
    return (
        "The high leg must be orange wherever the neutral is present too. No neutral is run here, but the transformer "
        "has its midpoint terminal: look there."
    )


def _ungrounded_distribution(site: Site) -> str | None:
    return _ungrounded_from_50_volts(site) or _has_panelboard(site)


def _high_leg_distribution(site: Site) -> str | None:
    return high_leg(site) or _has_panelboard(site)


_MARKED_BY_EDITION = in_edition("panelboard_fault_marking", "required")


def _fault_marking(site: Site) -> str | None:
    return _MARKED_BY_EDITION(site) or _has_panelboard(site)


_SUPPLIED = ("secondary.panelboard.present", "observations.supplies_switchboard")
_BARRIERS_BY_EDITION = in_edition("feeder_tap_barriers", "required")


def _barriers(site: Site) -> str | None:
    """215.15 speaks of the time when the disconnecting device that the secondary conductors end at is open."""
    reason = _BARRIERS_BY_EDITION(site) or _has_panelboard(site)
    if reason:
        return reason
    if site.need(lambda job: job.secondary.protection.kind) == "main_lugs_only":
        return "Main lugs only: there is no device here that could be open while its line side stays live."
    return None


_MARKED_RATING_BY_EDITION = in_edition("short_circuit_rating_marking", "required")


def _rating_marking(site: Site) -> str | None:
    return _MARKED_RATING_BY_EDITION(site) or _has_panelboard(site)


# Smallest rating of feeder-supplied equipment that needs a full label where not all needs one [A]: 110.16(B) of 2023.
_FULL_LABEL_FROM = 1000.0


def _full_label(site: Site) -> str | None:
    """Why no full arc-flash label is required. Unit: A. Section: 110.16, from the edition that has it. Raises Missing."""
    wanted = choice(site.code.edition, "arc_flash_label")
    if wanted == "services_alone":
        return "This edition requires it for service equipment only."
    if wanted == "all":
        return None
    bus = site.job.secondary.panelboard.rating
    if bus is not None and bus >= _FULL_LABEL_FROM:
        return None
    rating = max(secondary_ratings(site), default=0.0)
    if rating < _FULL_LABEL_FROM and rating and currents.secondary_may_be_set_higher(site):
        rating = max(rating, site.need(lambda job: job.secondary.protection.highest_rating))
    if rating >= _FULL_LABEL_FROM:
        return None
    if bus is None and site.need(lambda job: job.secondary.panelboard.present):
        site.need(lambda job: job.secondary.panelboard.rating)
    return "Below 1000 A this edition requires the warning only."


def _wet_run(site: Site) -> bool:
    return site.need(lambda job: job.secondary.conductors.wet_location) or (
        site.job.secondary.rule == "outside"
    )


_DRY = "Indoors, and no run is in a wet location."


def _outdoors_or_wet(site: Site) -> str | None:
    """Whether a disconnect or a panelboard may stand in a wet place: where the transformer or a run does."""
    if site.job.primary.conductors.wet_location:
        return None
    own = _outdoors_or_wet_beside(site)
    if own is not None:
        site.need(lambda job: job.primary.conductors.wet_location)
    return own


def _outdoors_or_wet_beside(site: Site) -> str | None:
    if site.need(lambda job: job.transformer.location) == "outdoors" or _wet_run(site):
        return None
    return _DRY


FIRST_DISCONNECT: tuple[Seen, ...] = (
    Seen(
        "conductor_identification",
        "Grounded conductor identified",
        "grounded_conductor_identification",
        "violation",
        "first_disconnect",
        "the grounded conductor white or gray, phases by their colors or marks",
        "The colors are misleading.",
        "Mark them.",
        fact="grounded_conductor_identified",
        applies=_nothing_to_identify,
        asks=(*GROUNDED_BY, "primary.supply_system"),
        cite_of=_identified_by,
    ),
    Seen(
        "source_marking",
        "Panelboard marked with its source",
        "panelboard_source_of_supply",
        "violation",
        "first_disconnect",
        "the panelboard or switchboard says where it is fed from",
        "The upstream disconnect cannot be identified.",
        "Mark it.",
        fact="source_marked",
        applies=_has_panelboard,
        asks=_SUPPLIED,
    ),
    Seen(
        "fault_current_marking",
        "Fault current marked at the panelboard",
        "panelboard_short_circuit_rating",
        "violation",
        "first_disconnect",
        "available fault current and date at the panelboard or switchboard",
        "No fault current is marked.",
        "Mark it, with the date.",
        fact="fault_current_marked",
        applies=_fault_marking,
        asks=_SUPPLIED,
        changes=True,
    ),
    Seen(
        "short_circuit_rating_marking",
        "Short-circuit rating marked in the field",
        "panelboard_short_circuit_rating",
        "violation",
        "first_disconnect",
        "the short-circuit rating with the devices installed, marked on the panelboard or switchboard",
        "No short-circuit rating with the devices installed is marked.",
        "Find the rating with these devices in the manufacturer's tables, and mark it.",
        fact="short_circuit_rating_marked",
        applies=_rating_marking,
        asks=_SUPPLIED,
        changes=True,
    ),
    Seen(
        "phase_arrangement",
        "Phases in order",
        "panelboard_phase_arrangement",
        "violation",
        "first_disconnect",
        "A, B, C from front to back, top to bottom or left to right; another order only in existing equipment, and marked",
        "The phases are out of order: motors can run backward, and colors mislead.",
        "De-energize, land them in order, and check the rotation afterward.",
        fact="phases_in_order",
        applies=_three_phase_distribution,
        asks=_SUPPLIED,
    ),
    Seen(
        "high_leg_phase",
        "High leg on phase B",
        "panelboard_phase_arrangement",
        "danger",
        "first_disconnect",
        "the phase with the higher voltage to ground is B",
        "The high leg is on another phase: line-to-neutral loads there get too much voltage.",
        "De-energize, land it on B, and check the rotation afterward.",
        fact="high_leg_on_b",
        applies=_high_leg_distribution,
        asks=("transformer.secondary_system", *_SUPPLIED),
    ),
    Seen(
        "high_leg_label",
        "High leg labeled on the panelboard",
        "panelboard_system_marking",
        "violation",
        "first_disconnect",
        "a lasting label on the panelboard: which phase, and its voltage to ground",
        "Nothing on the panelboard warns of the high leg.",
        "Label it.",
        fact="high_leg_labeled",
        applies=_high_leg_distribution,
        asks=("transformer.secondary_system", *_SUPPLIED),
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
        "arc_flash_label",
        "Full arc-flash label",
        "arc_flash_label",
        "violation",
        "first_disconnect",
        "a permanent label with the voltage, the arc-flash boundary, the incident energy or the protective equipment required, and its date",
        "The label is missing, or does not say all of it.",
        "Have the arc-flash assessment made, and put up its label.",
        fact="arc_flash_label_complete",
        applies=_full_label,
        asks=(
            "secondary.panelboard.rating",
            *SECONDARY_RATING,
            "secondary.panelboard.present",
        ),
        changes=True,
    ),
    Seen(
        "line_side_barriers",
        "Live parts covered while the main is open",
        "feeder_tap_barriers",
        "danger",
        "first_disconnect",
        "barriers over bare ungrounded parts that stay live while the device at the end of the secondary conductors is open",
        "Bare parts stay live behind the open main, where someone working on the load terminals can touch them.",
        "De-energize and install the manufacturer's line-side barriers.",
        fact="line_side_barriers",
        applies=_barriers,
        asks=(*_SUPPLIED, "secondary.protection.kind"),
        changes=True,
    ),
    Seen(
        "outdoor_enclosures",
        "Enclosures in wet places",
        "enclosures_in_wet_locations",
        "violation",
        "first_disconnect",
        "each disconnect, panelboard and box in a wet place in a weatherproof enclosure",
        "Water gets in.",
        "De-energize and install an enclosure marked for the place.",
        fact="outdoor_enclosures_weatherproof",
        applies=_outdoors_or_wet,
        applies_beside=_outdoors_or_wet_beside,
        asks=(
            "transformer.location",
            "secondary.rule",
            "secondary.conductors.wet_location",
            "primary.conductors.wet_location",
        ),
    ),
    Seen(
        "device_in_each_line",
        "A device in each line, none in the grounded conductor",
        "device_in_each_ungrounded_conductor",
        "danger",
        "first_disconnect",
        "a pole or fuse in each ungrounded conductor, breaker poles that open together, and none in a grounded conductor "
        "unless all open together",
        "A line without a pole or fuse is not protected. What opens one line alone, or the grounded conductor alone, leaves "
        "live what seems to be off.",
        "De-energize and install a device with a pole or fuse in each line. Take fuses out of the grounded conductor.",
        fact="device_in_each_line",
    ),
    Seen(
        "dedicated_space",
        "Space above the panelboard",
        "dedicated_equipment_space",
        "violation",
        "first_disconnect",
        "nothing foreign above it, up to 6 ft or to the structural ceiling; nothing higher up may leak onto it",
        "Pipes, ducts or other foreign equipment run through its space.",
        "Reroute them, or move the panelboard.",
        fact="dedicated_space_clear",
        applies=_has_panelboard,
        asks=("secondary.panelboard.present", "observations.supplies_switchboard"),
    ),
    Seen(
        "device_height",
        "Height of the handles",
        "overcurrent_device_location",
        "violation",
        "first_disconnect",
        "the center of the grip, in its highest position, not above 6 ft 7 in.",
        "A handle is too high to reach.",
        "Lower it.",
        fact="device_height_within_reach",
        # Source: the code forum quoting 404.8(A) exception 2; 240.24(A)(4) from memory.
        excuse=Excuse(
            "high_handle_beside_equipment_supplied",
            "A switch right beside the equipment it supplies may be higher if a ladder reaches it. A breaker or fuses "
            "may be higher only beside utilization equipment, which a transformer hardly is: ask the authority having "
            "jurisdiction.",
            holds=False,
        ),
    ),
    Seen(
        "voltage_ratings",
        "Voltage ratings",
        "equipment_voltage_rating",
        "danger",
        "first_disconnect",
        "each device, switch and panel rated at least for the voltage of its side",
        "Something is rated for less than the voltage here: it may not open, or may flash over.",
        "Replace it with one rated for the voltage.",
        fact="voltage_ratings_enough",
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
        applies=_ungrounded_from_50_volts,
        asks=GROUNDED_BY,
        grounding_visit=True,
    ),
    Seen(
        "ungrounded_label",
        "Ungrounded system labeled on the panelboard",
        "panelboard_system_marking",
        "violation",
        "first_disconnect",
        "a lasting caution on the panelboard: ungrounded system, and the voltage between conductors",
        "Nothing on the panelboard says that the system is ungrounded.",
        "Label it.",
        fact="ungrounded_labeled",
        applies=_ungrounded_distribution,
        asks=(*GROUNDED_BY, *_SUPPLIED),
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
        applies=high_leg,
        in_doubt=_neutral_elsewhere,
        asks=(
            "transformer.secondary_system",
            "secondary.grounded_conductor.present",
            "secondary.grounded_conductor.size",
        ),
    ),
    Seen(
        "straight_rated_devices",
        "Breakers rated for this system",
        "slash_voltage_rating",
        "danger",
        "first_disconnect",
        "no slash-rated breaker whose lower voltage is below what a conductor has to ground, and none on an ungrounded system",
        "A slash-rated breaker may not clear a fault here.",
        "Install straight-rated breakers.",
        fact="straight_rated_devices",
        applies=_beyond_a_slash_rating,
        in_doubt=_label_to_be_read,
        asks=GROUNDED_BY,
    ),
    Seen(
        "grounded_phase_marking",
        "Grounded phase identified and unfused",
        "grounded_conductor_identification",
        "danger",
        "first_disconnect",
        "the grounded phase identified, no fuse in it",
        "The grounded phase is not identified, or there is a fuse in it.",
        "Identify it; take the fuse out.",
        fact="grounded_phase_identified",
        applies=_corner,
        asks=GROUNDED_BY,
    ),
)
