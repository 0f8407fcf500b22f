"""Fill of the raceways of both sides."""

from engine.code.limits import METAL_RACEWAYS, METAL_RACEWAYS_AND_FLEX
from engine.derived import raceways, volts_to_ground
from engine.derived.conductor_runs import is_nipple
from engine.derived.currents import is_over_1000_volts
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, every, not_applicable, undetermined
from engine.physics.quantities import feet, number, percent, trade_size
from engine.rules.conditions.facts_read import DEVICE_RATING
from engine.rules.conditions.first_disconnect import is_in_one_case
from engine.rules.conditions.grounding_path import CORE_NOT_LOOKED_AT, flexible_serves
from engine.rules.conditions.words import ONE_CASE_WORDS, OVER_1000
from engine.rules.rule import rule


def _fill(site: Site, side: Side) -> Finding:
    """What the conductors run through is judged piece by piece: they must fit the flexible section too."""
    if side is PRIMARY and is_over_1000_volts(site):
        return undetermined(OVER_1000)
    return every(
        site,
        lambda s: _fill_of(s, side, raceways.Piece(s.need(lambda job: side.raceway(job).type))),
        lambda s: _fill_of_flexible_section(s, side),
    )


def _fill_of_flexible_section(site: Site, side: Side) -> Finding:
    section = raceways.flexible_section(site, side)
    if section is None:
        return not_applicable("No flexible section in a rigid raceway.")
    return _fill_of(site, side, section)


def _fill_of(site: Site, side: Side, piece: raceways.Piece) -> Finding:
    try:
        held = raceways.contents(site, side)
        filled = raceways.fill_of(site, side, piece)
    except raceways.NoArea as unlisted:
        return undetermined(
            f"No table here gives the dimensions of {unlisted}. Take them from the manufacturer.",
            cite="raceway_fill",
        )
    trade = piece.trade(site, side)
    area = site.code.raceway_area(piece.type, trade)
    assert area is not None
    shown = f"{percent(filled.amount)} of {trade_size(trade, piece.type)}"
    what = "The flexible section" if piece.flexible_section else ""
    count = sum(content.number for content in held)
    plain, short = raceways.permitted_percent(site, count)
    allowed, holds, words = plain, raceways.fits(site, held, area, plain), ""
    if holds and filled.amount > plain * (1 + 1e-9):
        words = f" All of one size: the count rounds up ({site.section('raceway_fill_round_up')})."
    if not holds and _is_nipple_here(site, side, held, area, short):
        allowed, holds = short, raceways.fits(site, held, area, short)
        words = f" A nipple ({site.section('raceway_fill_nipple')})."
    if not holds and _fits_compact(site, side, held, area, allowed):
        return undetermined(
            f"{what + ' is overfilled' if what else 'Overfilled'} by the dimensions of ordinary stranding; compact "
            "aluminum would fit. The print on the insulation says whether it is compact.",
            required=f"at most {number(allowed)} % for {count} conductors",
            found=shown,
            cite="compact_conductor_dimensions",
        )._replace(steps=filled.steps)
    counted = site.need(lambda job: side.conductors(job).current_carrying) if holds else 0
    if holds and raceways.is_more_than_the_circuit(site, side, counted):
        return undetermined(
            "The conductors of this circuit fit, but more were counted in the raceway than it has current-carrying "
            "ones: those of other circuits take room too. Add up all areas by hand, or check the count, and whether "
            "the neutral counts.",
            required=f"at most {number(allowed)} %, with all that is in the raceway",
            found=f"{shown} for {count} conductors; {counted} current-carrying were counted",
        )._replace(steps=filled.steps)
    return confirm(
        site,
        holds,
        required=f"at most {number(allowed)} % for {count} conductors",
        found=shown,
        reason=f"The conductors fit.{words}",
        otherwise=f"{what + ' is overfilled' if what else 'Overfilled'}.{words}",
        remedy=lambda: _remedy(site, side, piece),
        steps=filled.steps,
    )._replace(margin=allowed / filled.amount if filled.amount else float("inf"))


def _is_nipple_here(
    site: Site, side: Side, held: tuple[raceways.Content, ...], area: float, short: float
) -> bool:
    """Whether the limit of a nipple holds. Not asked where the raceway is too full even for one."""
    try:
        return is_nipple(site, side)
    except Missing:
        if raceways.fits(site, held, area, short) or _fits_compact(site, side, held, area, short):
            raise
        return False


def _fits_compact(
    site: Site, side: Side, held: tuple[raceways.Content, ...], area: float, allowed: float
) -> bool:
    """Whether aluminum conductors would fit by the smaller dimensions of compact stranding."""
    if site.need(lambda job: side.conductors(job).material) != "aluminum":
        return False
    compact = tuple(
        content._replace(
            area=site.code.conductor_area(content.size, content.covering, compact=True)
            or content.area
        )
        if content.covering != "bare"
        else content
        for content in held
    )
    return raceways.fits(site, compact, area, allowed)


def _remedy(site: Site, side: Side, piece: raceways.Piece) -> str:
    try:
        counted = site.need(lambda job: side.conductors(job).current_carrying)
        if raceways.is_more_than_the_circuit(site, side, counted):
            return "A larger raceway."
        minimum = raceways.minimum_of(site, side, piece)
    except (Missing, raceways.NoArea):
        return "A larger raceway."
    if minimum is None:
        return "More than one raceway, or another type."
    return f"{trade_size(minimum.name, piece.type)} or larger."


@rule(
    "primary_raceway",
    title="Fill of the primary raceway",
    cite="raceway_fill",
    severity="violation",
    group="primary_run",
    asks=(
        "primary.raceway.type",
        "primary.raceway.trade_size",
        "primary.raceway.nipple",
        "primary.raceway.length_feet",
        "primary.raceway.flexible_length_feet",
        "primary.raceway.flexible_type",
        "primary.raceway.flexible_trade_size",
        "primary.conductors.material",
        "primary.conductors.length_feet",
        "primary.conductors.size",
        "primary.conductors.insulation",
        "primary.conductors.outer_covering",
        "primary.conductors.sets",
        "primary.conductors.raceways",
        "primary.conductors.current_carrying",
        "primary.equipment_grounding.kind",
        "primary.equipment_grounding.size",
        "primary.equipment_grounding.insulation",
        "transformer.primary_system",
        "observations.supplied_neutral_open",
    ),
)
def primary_raceway(site: Site) -> Finding:
    """Whether all conductors of one primary raceway fit [%]. Section: Chapter 9, Tables 1, 4, 5, 8. Raises Missing."""
    return _fill(site, PRIMARY)


@rule(
    "secondary_raceway",
    title="Fill of the secondary raceway",
    cite="raceway_fill",
    severity="violation",
    group="secondary_run",
    asks=(
        "secondary.raceway.type",
        "secondary.raceway.trade_size",
        "secondary.raceway.nipple",
        "secondary.raceway.length_feet",
        "secondary.raceway.flexible_length_feet",
        "secondary.raceway.flexible_type",
        "secondary.raceway.flexible_trade_size",
        "secondary.conductors.material",
        "secondary.conductors.length_feet",
        "secondary.conductors.size",
        "secondary.conductors.insulation",
        "secondary.conductors.outer_covering",
        "secondary.conductors.sets",
        "secondary.conductors.raceways",
        "secondary.conductors.current_carrying",
        "transformer.secondary_system",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.insulation",
        "secondary.grounded_conductor.sets",
        "secondary.grounded_conductor.current_carrying",
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.size",
        "bonding.supply_side_bonding_jumper.insulation",
        "bonding.system_bonding_jumper.location",
        "secondary.first_disconnect_separate",
    ),
)
def secondary_raceway(site: Site) -> Finding:
    """Whether all conductors of one secondary raceway fit [%]. Section: Chapter 9, Tables 1, 4, 5, 8. Raises Missing."""
    if is_in_one_case(site):
        return not_applicable(ONE_CASE_WORDS)
    return _fill(site, SECONDARY)


@rule(
    "secondary_flexible_section",
    title="No flexible section in a bonding raceway",
    cite="supply_side_bonding_jumper",
    severity="danger",
    group="secondary_run",
    grounding_visit=True,
    asks=("bonding.supply_side_bonding_jumper.kind", "secondary.raceway.flexible_length_feet"),
)
def secondary_flexible_section(site: Site) -> Finding:
    """Whether a raceway that serves as supply-side bonding jumper is rigid all the way [ft].

    Section: 250.30(A)(2): nonflexible metal raceway. Raises Missing.
    """
    if site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) != "raceway":
        return not_applicable("The raceway is not relied on as the supply-side bonding jumper.")
    return _rigid(site, SECONDARY, "supply-side bonding jumper")


@rule(
    "primary_flexible_section",
    title="Flexible section in a grounding raceway",
    cite="equipment_grounding_types",
    severity="danger",
    group="primary_run",
    asks=(
        "primary.equipment_grounding.kind",
        "primary.raceway.type",
        "primary.raceway.flexible_length_feet",
        "primary.raceway.flexible_type",
        "primary.raceway.flexible_trade_size",
        *DEVICE_RATING,
        "primary.raceway.flexibility_needed",
        "primary.raceway.fittings_listed_for_grounding",
    ),
)
def primary_flexible_section(site: Site) -> Finding:
    """Whether flexible pieces in a rigid raceway that serves as equipment grounding conductor may be there [A, ft].

    Section: 250.118. Raises Missing.
    """
    if site.need(lambda job: job.primary.equipment_grounding.kind) != "raceway":
        return not_applicable("The raceway is not relied on as the equipment grounding conductor.")
    if site.need(lambda job: job.primary.raceway.type) not in METAL_RACEWAYS:
        return not_applicable(
            "The limits of a flexible raceway are checked under equipment grounding."
        )
    section = raceways.flexible_section(site, PRIMARY)
    if section is None:
        return _rigid(site, PRIMARY, "equipment grounding conductor")
    finding = flexible_serves(site, section)
    if section.type == "LFMC" and finding.verdict == "meets":
        return finding._replace(reason=f"{finding.reason} {CORE_NOT_LOOKED_AT}")
    if finding.verdict != "does_not_meet":
        return finding
    return finding._replace(remedy=_THROUGH_OR_AROUND)


_THROUGH_OR_AROUND = (
    "A wire through the flexible section, connected at both ends, or around it if not over 6 ft."
)


def _rigid(site: Site, side: Side, what: str) -> Finding:
    flexible = site.need(lambda job: side.raceway(job).flexible_length_feet)
    return confirm(
        site,
        flexible == 0,
        required="no flexible section in the run",
        found=f"{feet(flexible)} flexible",
        reason="Rigid all the way, as far as was checked.",
        otherwise=f"A flexible section interrupts the raceway that serves as {what}.",
        remedy=_THROUGH_OR_AROUND,
    )


HIGHEST_VOLTS_TO_GROUND = 250


def _knockouts_of_a_run_beside(site: Site) -> Finding:
    """As `knockout_bonding`, for a run beside the first: its answer says nothing of the primary."""
    if is_over_1000_volts(site):
        return undetermined(OVER_1000)
    return _around_knockouts(site, SECONDARY)


@rule(
    "knockout_bonding",
    title="Bonding around knockouts above 250 V to ground",
    cite="equipment_bonding_over_250_volts",
    severity="violation",
    group="bonding",
    asks=(
        "transformer.primary_system",
        "primary.raceway.type",
        "primary.supply_system",
        "transformer.secondary_system",
        "bonding.system_bonding_jumper.location",
        "secondary.raceway.type",
        "observations.knockouts_bonded",
    ),
    beside=_knockouts_of_a_run_beside,
)
def knockout_bonding(site: Site) -> Finding:
    """Whether metal raceways above 250 V to ground are bonded around rings left in knockouts [V].

    A wire in the raceway does not bond the raceway itself. Section: 250.97. Raises Missing.
    """
    if is_over_1000_volts(site):
        return undetermined(OVER_1000)
    return _around_knockouts(site, SECONDARY, PRIMARY)


def _around_knockouts(site: Site, *sides: Side) -> Finding:
    """Hold the rings against 250.97 where a metal raceway is above the limit [V] for sure, or perhaps. Raises Missing."""
    # Rings that are bonded around are so whatever the voltage to ground turns out to be.
    if site.job.observations.knockouts_bonded:
        lines = {
            PRIMARY: site.job.transformer.primary_volts,
            SECONDARY: site.job.transformer.secondary_volts,
        }
        if any(lines[s] > HIGHEST_VOLTS_TO_GROUND and _is_metal(site, s) for s in sides):
            return _bonded_around(site, True)
        return not_applicable(_NOT_ABOVE)
    perhaps: list[Side] = []
    sure = False
    for side in sides:
        to_ground = _to_ground(site, side)
        if to_ground.most > HIGHEST_VOLTS_TO_GROUND and _is_metal(site, side):
            perhaps.append(side)
            sure = to_ground.least > HIGHEST_VOLTS_TO_GROUND
        if sure:
            break
    if not perhaps:
        return not_applicable(_NOT_ABOVE)
    bonded = site.need(lambda job: job.observations.knockouts_bonded)
    if not bonded and not sure:
        if SECONDARY in perhaps:
            volts_to_ground.settle_secondary(site)
        site.need(lambda job: job.primary.supply_system)
        if site.job.transformer.phases == 1:
            site.need(lambda job: job.transformer.primary_system)
        return undetermined(
            f"Whether the primary is above 250 V to ground is not known. {_to_ground(site, PRIMARY).find_out}",
            required=_BONDED_AROUND,
            found="knockouts without a jumper",
        )
    return _bonded_around(site, bonded)


_NOT_ABOVE = "No metal raceway holds conductors above 250 V to ground."
_BONDED_AROUND = (
    "a bonding jumper around concentric, eccentric or oversized knockouts, or boxes listed without"
)


def _bonded_around(site: Site, bonded: bool) -> Finding:
    return confirm(
        site,
        bonded,
        required=_BONDED_AROUND,
        found="bonded, or no rings left" if bonded else "rings of a knockout without a jumper",
        reason="Bonded around, as far as was checked.",
        otherwise="Knockout rings are a poor path: at this voltage a fault can arc there and nothing trips.",
        remedy="De-energize; install a bonding bushing with a jumper to the enclosure.",
    )


def _is_metal(site: Site, side: Side) -> bool:
    return site.need(lambda job: side.raceway(job).type) in METAL_RACEWAYS_AND_FLEX


def _to_ground(site: Site, side: Side) -> volts_to_ground.VoltsToGround:
    """What the conductors of a side have to ground [V], by what is known."""
    if side is SECONDARY:
        return volts_to_ground.of_secondary(site)
    # A primary of three wires is on the outer pair of a 3-wire supply.
    three_wire = site.job.transformer.primary_system == "single_phase_3_wire"
    return volts_to_ground.of_primary(site, site.job.primary.supply_system, outer_pair=three_wire)
