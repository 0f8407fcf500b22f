"""Access to the transformer: working space, reach, and a disconnect in sight or locked."""

from engine.derived import volts_to_ground
from engine.derived.volts_to_ground import VoltsToGround
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import number
from engine.rules.rule import rule

_FACES = {
    "nothing_grounded": "nothing grounded",
    "grounded": "grounded parts",
    "live": "live parts",
}


def _of_supply(site: Site) -> VoltsToGround:
    """What the primary has to ground [V], by what is known of its supply."""
    supply = site.job.primary.supply_system
    to_ground = volts_to_ground.of_primary(site, supply)
    if supply != "impedance_grounded":
        return to_ground
    # The lines behind an impedance can have the whole voltage to ground for as long as a fault stands.
    return VoltsToGround(to_ground.most, to_ground.most)


def _to_ground(site: Site) -> tuple[float, float]:
    """The highest voltage to ground on either side [V], at the least and at the most that facts leave."""
    sides = (_of_supply(site), volts_to_ground.of_secondary(site))
    return max(side.least for side in sides), max(side.most for side in sides)


def _working_space_figures(site: Site) -> str:
    """Depth, width and height in words [in., ft]."""
    _, highest = _to_ground(site)
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
        "bonding.system_bonding_jumper.location",
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


def _what_decides(site: Site, depth: float, faces: str) -> str:
    """What would settle whether a depth [in.] is enough, of the side whose voltage to ground leaves it open. Raises Missing."""
    of_supply = _of_supply(site)
    if depth < site.code.working_space_depth(of_supply.most, faces):
        site.need(lambda job: job.primary.supply_system)
        return f"On the primary: {of_supply.find_out}"
    volts_to_ground.settle_secondary(site)
    return volts_to_ground.of_secondary(site).find_out


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
        "bonding.system_bonding_jumper.location",
    ),
)
def working_space_depth(site: Site) -> Finding:
    """Whether the taped depth is that of the table [in.]. The tape is advice; a depth that is too small breaks the rule.

    Section: Table 110.26(A)(1), above 1000 V to ground Table 110.34(A). Raises Missing.
    """
    depth = site.need(lambda job: job.observations.working_space_depth_inches)
    # What is known of either side narrows it: no answer about the other one brings it below.
    least, most = _to_ground(site)
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
        if low <= depth < wanted:
            return undetermined(
                "Whether it is deep enough depends on the voltage to ground. "
                f"{_what_decides(site, depth, faces)}",
                required=f"at least {number(low)} in. or {number(wanted)} in.{facing}",
                found=f"{number(depth)} in.",
            )._replace(severity="violation")
        wanted = wanted if depth >= wanted else low
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
