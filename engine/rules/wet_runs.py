"""Insulation where a run is wet inside: every insulated wire of it, not the phases alone."""

from collections.abc import Callable

from engine.derived import circuits
from engine.derived.circuits import CONDUCTORS, Role
from engine.derived.conductor_runs import is_wet
from engine.derived.sides import PRIMARY, SECONDARY
from engine.job.missing import need_at
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, every
from engine.rules.rule import rule

_INSULATED: tuple[Role, ...] = circuits.with_fact_of("insulation")
_SIDES = {"primary": PRIMARY, "secondary": SECONDARY}


def _of(role: Role) -> Callable[[Site], Finding]:
    return lambda site: _fit(site, role)


def _fit(site: Site, role: Role) -> Finding:
    """Whether the insulation of one conductor may be wet where its run is. Bare wires have none."""
    conductor = CONDUCTORS[role]
    insulation = need_at(site.job, conductor.insulation) if circuits.is_there(site, role) else ""
    dry_only = insulation not in ("", "bare") and (
        site.code.insulation_column(insulation, True) is None
    )
    side = _SIDES[conductor.side or "primary"]
    wet = dry_only and is_wet(site, side)
    return confirm(
        site,
        not wet,
        required="insulation for wet locations where the run is wet",
        found=f"{conductor.title}: {insulation}" if dry_only else "",
        reason="The insulation suits the run where it is wet.",
        otherwise=f"{conductor.title}: {insulation} is for dry and damp locations only, and this run is wet inside.",
        remedy="Wires with an insulation for wet locations.",
    )


@rule(
    "wet_run_insulation",
    title="Insulation of every wire in a wet run",
    cite="wet_location_insulation",
    severity="violation",
    group="secondary_run",
    asks=(
        *circuits.asks_of(*_INSULATED, parts=("insulation",)),
        "primary.conductors.wet_location",
        "secondary.conductors.wet_location",
        "primary.raceway.on_sunny_rooftop",
        "secondary.raceway.on_sunny_rooftop",
        "transformer.location",
        "secondary.rule",
    ),
)
def wet_run_insulation(site: Site) -> Finding:
    """Whether every insulated wire of both runs may be wet where its run is wet.

    Unit: none. Section: 310.10(C), 300.9, Table 310.4(1). Raises Missing.
    """
    finding = every(site, *map(_of, _INSULATED))
    return finding._replace(found=finding.found or "each suits its run")
