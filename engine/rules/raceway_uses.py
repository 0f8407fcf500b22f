"""Whether a type of raceway may be used where it runs: what each type's article rules out."""

from collections.abc import Callable

from engine.code.sizes import FLEXIBLE_RACEWAYS
from engine.derived.conductor_runs import is_wet
from engine.derived.raceways import Piece, flexible_section
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, every, not_applicable, undetermined
from engine.physics.quantities import feet, number, trade_size, volts
from engine.rules.conditions.first_disconnect import is_in_one_case
from engine.rules.conditions.words import ONE_CASE_WORDS
from engine.rules.rule import rule

NONMETALLIC = ("PVC40", "PVC80", "ENT", "LFNC")
# Liquidtight flexible metal conduit has a nonmetallic jacket all around.
NONMETALLIC_OUTSIDE = (*NONMETALLIC, "LFMC")
_BY_HEAT = {
    "PVC40": "pvc_uses",
    "PVC80": "pvc_uses",
    "ENT": "ent_uses",
    "LFMC": "lfmc_uses",
    "LFNC": "lfnc_uses",
}
_LIQUIDTIGHT = ("LFMC", "LFNC")
_BY_VOLTS = {"ENT": "ent_uses", "LFNC": "lfnc_uses"}
_SMALL = {"FMC": "fmc_size", "LFMC": "lfmc_size", "LFNC": "lfnc_size"}
# Types whose articles keep them from where they are subject to damage. RMC and PVC 80 may be there, and EMT and IMC may be
# but where it is severe: from memory.
_BY_DAMAGE = {
    "PVC40": "pvc_damage",
    "ENT": "ent_uses",
    "FMC": "fmc_uses",
    "LFMC": "lfmc_uses",
    "LFNC": "lfnc_uses",
}
HIGHEST_CELSIUS = 50.0
HIGHEST_VOLTS = 600.0
# A short 3/8 in. piece may be part of a listed assembly.
SHORT_FEET = 6.0

_Condition = Callable[[Site], Finding]


def _conditions(site: Site, side: Side, volts_between: float) -> list[_Condition]:
    """What decides for the type that was found, and for a flexible section of it; another type's limits are not asked."""
    run = Piece(site.need(lambda job: side.raceway(job).type))
    conditions = _of_piece(side, run, volts_between)
    if run.type not in FLEXIBLE_RACEWAYS:
        conditions.append(lambda site: _flexible_section(site, side, run, volts_between))
    return conditions


def _of_piece(side: Side, piece: Piece, volts_between: float) -> list[_Condition]:
    """The limits of one type of raceway; empty for a type that nothing checked here rules out."""
    type_ = piece.type
    conditions: list[_Condition] = []
    if type_ == "FMC":
        conditions.append(lambda site: _wet(site, side, piece))
    if type_ in _SMALL:
        conditions.append(lambda site: _small(site, side, piece))
    if type_ in _BY_HEAT:
        conditions.append(lambda site: _hot(site, side, type_))
    if type_ == "ENT":
        conditions.append(lambda site: _sunlit(site, side))
    if type_ == "LFNC":
        conditions.append(lambda site: _outdoors(site, side))
    if type_ in _BY_VOLTS:
        conditions.append(lambda site: _high(site, type_, volts_between))
    if type_ in NONMETALLIC_OUTSIDE:
        conditions.append(lambda site: _in_moving_air(site, piece))
    if type_ in _BY_DAMAGE:
        conditions.append(lambda site: _damaged(site, side, type_))
    return conditions


def _wet(site: Site, side: Side, piece: Piece) -> Finding:
    wet = _may_be_wet(site, side)
    if wet and piece.flexible_section:
        # The rigid part may be the wet one.
        return undetermined(
            "FMC is not permitted in wet locations, and part of this run is wet. If the flexible section lies there, use "
            "LFMC in its place.",
            required="not in a wet location",
            found="a section of FMC in a run that is wet",
            cite="fmc_uses",
        )
    return confirm(
        site,
        not wet,
        required="not in a wet location",
        found="FMC in a wet location" if wet else "FMC, not in a wet location",
        reason="FMC is not in a wet location.",
        otherwise="FMC is not permitted in wet locations.",
        remedy="Use another type of raceway, such as LFMC.",
        cite="fmc_uses",
    )


def _small(site: Site, side: Side, piece: Piece) -> Finding:
    type_, trade = piece.type, piece.trade(site, side)
    required, found = "trade size 1/2 or larger", trade_size(trade, type_)
    if trade == "3/8" and _length(site, side, piece) <= SHORT_FEET:
        return undetermined(
            f"Trade size 3/8 is permitted for a few uses only, not over {feet(SHORT_FEET)}: check whether this is one "
            "of them.",
            required=required,
            found=found,
            cite=_SMALL[type_],
        )
    return confirm(
        site,
        trade != "3/8",
        required=required,
        found=found,
        reason="Large enough for general use.",
        otherwise=f"{type_} smaller than trade size 1/2 is not permitted here.",
        remedy="Trade size 1/2 or larger.",
        cite=_SMALL[type_],
    )


def _length(site: Site, side: Side, piece: Piece) -> float:
    if piece.flexible_section:
        return site.need(lambda job: side.raceway(job).flexible_length_feet)
    return site.need(lambda job: side.raceway(job).length_feet)


def _hot(site: Site, side: Side, type_: str) -> Finding:
    """Hold the ambient [°C] against what the type is listed for, whatever the conductors in it add.

    Liquidtight conduit is commonly listed for 80 °C dry and 60 °C wet, its conductors' heat included (a manufacturer's
    word in Mike Holt forum thread 103785); up to this limit they have room, above it nobody can tell from here.
    """
    ambient = site.need(lambda job: side.conductors(job).ambient_celsius)
    most = f"{number(HIGHEST_CELSIUS)} °C"
    if type_ in _LIQUIDTIGHT and ambient > HIGHEST_CELSIUS:
        return undetermined(
            f"{type_} may not get hotter than it is listed for, counting the heat of the air and of its conductors: "
            "commonly 80 °C dry and 60 °C wet. Read the marking on it, and find out how hot it gets.",
            required=f"not over {most}, unless listed for the temperature it reaches",
            found=f"{number(ambient)} °C",
            cite=_BY_HEAT[type_],
        )
    return _unless_listed(
        site,
        ambient <= HIGHEST_CELSIUS,
        required=f"not over {most}, unless listed for more",
        found=f"{number(ambient)} °C",
        reason=f"Not too hot for {type_}.",
        otherwise=f"{type_} is not permitted above {most} unless it is listed for more. Read the marking on it.",
        cite=_BY_HEAT[type_],
    )


def _sunlit(site: Site, side: Side) -> Finding:
    # Outdoors is in the sun somewhere; of a run that is wet nobody says where else it is.
    if _may_be_wet(site, side) and not side.raceway(site.job).on_sunny_rooftop:
        return undetermined(
            "ENT outdoors must be marked sunlight resistant, and ENT is not a permitted outside wiring method on a "
            "building. If the wet part is indoors only, or in concrete, read the marking and the manufacturer's "
            "instructions.",
            required="not outdoors",
            found="in a wet location",
            cite="ent_uses",
        )
    sunny = site.need(lambda job: side.raceway(job).on_sunny_rooftop)
    return _unless_listed(
        site,
        not sunny,
        required="out of the sun, or marked sunlight resistant" if sunny else "out of the sun",
        found="in the sun on a roof" if sunny else "not in the sun on a roof",
        reason="Not in the sun on a roof.",
        otherwise="ENT in direct sun must be marked sunlight resistant. Read the marking on it.",
        cite="ent_uses",
    )


def _outdoors(site: Site, side: Side) -> Finding:
    """LFNC outdoors must be listed and marked for it; a wet run indoors needs no such mark, so that nobody can tell."""
    outdoors = _may_be_wet(site, side)
    return _unless_listed(
        site,
        not outdoors,
        required="listed and marked for outdoor use"
        if outdoors
        else "not outdoors, or marked for it",
        found="LFNC in a wet location" if outdoors else "LFNC, not in a wet location",
        reason="LFNC is not outdoors.",
        otherwise="LFNC outdoors must be listed and marked for outdoor use or sunlight resistance. Read the marking on it. "
        "If it is wet indoors only, it needs no such mark.",
        cite="lfnc_permitted_uses",
    )


def _high(site: Site, type_: str, volts_between: float) -> Finding:
    most = volts(HIGHEST_VOLTS)
    return _unless_listed(
        site,
        volts_between <= HIGHEST_VOLTS,
        required=f"not over {most}",
        found=volts(volts_between),
        reason=f"Not over {most}.",
        otherwise=f"{type_} is not permitted for circuits above {most}, apart from exceptions that this tool does not "
        "check.",
        cite=_BY_VOLTS[type_],
    )


def _unless_listed(
    site: Site,
    holds: bool,
    *,
    required: str,
    found: str,
    reason: str,
    otherwise: str,
    cite: str,
) -> Finding:
    """A limit that a listing or an exception may lift: beyond it, nobody can tell from here."""
    if not holds:
        return undetermined(otherwise, required=required, found=found, cite=cite)
    return confirm(
        site, True, required=required, found=found, reason=reason, otherwise=otherwise, cite=cite
    )


def _may_be_wet(site: Site, side: Side) -> bool:
    """As `is_wet`; a run called dry is taken for that only where it is known whether the transformer is outdoors."""
    if is_wet(site, side):
        return True
    site.need(lambda job: job.transformer.location)
    return False


def _is_in_moving_air(site: Site) -> bool:
    return site.need(lambda job: job.observations.above_ceiling) and site.need(
        lambda job: job.observations.ceiling_moves_air
    )


def _flexible_section(site: Site, side: Side, run: Piece, volts_between: float) -> Finding:
    """The flexible section of a rigid run: what its own type's article asks for."""
    section = flexible_section(site, side)
    if section is None:
        return _not_ruled_out(site, run.type)
    return every(site, *_of_piece(side, section, volts_between))


def _damaged(site: Site, side: Side, type_: str) -> Finding:
    holds = site.need(
        lambda job: (
            job.primary.protected_from_damage
            if side is PRIMARY
            else job.secondary.protected_from_damage
        )
    )
    return confirm(
        site,
        holds,
        required="not where it is subject to physical damage",
        found="protected" if holds else "not protected",
        reason="Protected from damage.",
        otherwise=f"{type_} is not permitted where it is subject to physical damage.",
        remedy="Use RMC or IMC there, or guard it.",
        cite=_BY_DAMAGE[type_],
    )


def _in_moving_air(site: Site, piece: Piece) -> Finding:
    type_, moving = piece.type, _is_in_moving_air(site)
    if moving and piece.flexible_section:
        # The rigid part may be the one that is in that space.
        return undetermined(
            f"In a ceiling space that moves the building's air, {type_} is not permitted. If the flexible section is in "
            "that space, use FMC, or a rigid metal raceway, in its place.",
            required="no nonmetallic raceway or jacket in a ceiling space that moves air",
            found=f"a section of {type_}; the transformer is in such a space",
            cite="air_handling_space",
        )
    return confirm(
        site,
        not moving,
        required="no nonmetallic raceway or jacket in a ceiling space that moves air",
        found=f"{type_} in a ceiling space that moves air" if moving else "not in such a space",
        reason="The transformer is not in a ceiling space that moves the building's air.",
        otherwise=f"In a fire, {type_} would put smoke into the building's air.",
        remedy="Use a metal raceway without a nonmetallic covering.",
        cite="air_handling_space",
    )


def _not_ruled_out(site: Site, type_: str) -> Finding:
    return confirm(
        site,
        True,
        required="a type that may be used here",
        found=type_,
        reason="Nothing checked here rules this type out. Corrosion and severe physical damage are not checked.",
        otherwise="",
    )


def _asks(side: str) -> tuple[str, ...]:
    return (
        f"{side}.raceway.type",
        f"{side}.raceway.trade_size",
        f"{side}.raceway.length_feet",
        f"{side}.raceway.on_sunny_rooftop",
        f"{side}.raceway.flexible_length_feet",
        f"{side}.raceway.flexible_type",
        f"{side}.raceway.flexible_trade_size",
        f"{side}.protected_from_damage",
        f"{side}.conductors.ambient_celsius",
        f"{side}.conductors.wet_location",
        "transformer.location",
        "observations.above_ceiling",
        "observations.ceiling_moves_air",
    )


@rule(
    "primary_raceway_use",
    title="Type of the primary raceway",
    cite="raceway_uses",
    severity="violation",
    group="primary_run",
    asks=_asks("primary"),
)
def primary_raceway_use(site: Site) -> Finding:
    """Whether the type of the primary raceway may be used where it runs [°C, V].

    Section: 300.22(C), 348.12, 348.20(A), 350.12, 350.20(A), 352.12(C) and (D), 356.10, 356.12, 356.20(A), 362.12. Raises Missing.
    """
    return every(site, *_conditions(site, PRIMARY, site.job.transformer.primary_volts))


@rule(
    "secondary_raceway_use",
    title="Type of the secondary raceway",
    cite="raceway_uses",
    severity="violation",
    group="secondary_run",
    asks=(*_asks("secondary"), "secondary.rule", "secondary.first_disconnect_separate"),
)
def secondary_raceway_use(site: Site) -> Finding:
    """Whether the type of the secondary raceway may be used where it runs [°C, V].

    Section: 300.22(C), 348.12, 348.20(A), 350.12, 350.20(A), 352.12(C) and (D), 356.10, 356.12, 356.20(A), 362.12. Raises Missing.
    """
    if is_in_one_case(site):
        return not_applicable(ONE_CASE_WORDS)
    return every(site, *_conditions(site, SECONDARY, site.job.transformer.secondary_volts))
