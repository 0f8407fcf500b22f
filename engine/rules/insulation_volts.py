"""Voltage of the insulation: every conductor of a run is made for the voltage between its lines."""

from engine.derived import currents
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, every, not_applicable
from engine.physics.quantities import volts
from engine.rules.rule import rule

# What the table of insulations is for, unless more is printed: Table 310.104(A), later Table 310.4(1), "Conductor
# Applications and Insulations Rated 600 Volts" (IAEI Magazine, November 2013, Article 310).
EVERY_INSULATION_VOLTS = 600.0
_NOT_ABOVE = "Not above 600 V, which every insulation type in the table is rated for."


def _of(site: Site, side: Side, line_volts: float) -> Finding:
    if line_volts <= EVERY_INSULATION_VOLTS:
        return not_applicable(_NOT_ABOVE)
    # The letters do not tell: THWN-2 and XHHW-2 are sold for 1000 V too, RHW-2 for 2000 V, each printed so.
    printed = site.need(lambda job: side.conductors(job).insulation_volts)
    return confirm(
        site,
        printed >= line_volts,
        required=f"{side.name}: at least {volts(line_volts)}",
        found=f"{side.name}: {volts(printed)} printed",
        reason="The insulation is rated for the voltage.",
        otherwise=f"The {side.name} insulation is rated {volts(printed)}, but the conductors run at "
        f"{volts(line_volts)}.",
        remedy="Install conductors marked for at least the line-to-line voltage.",
    )


def _primary(site: Site) -> Finding:
    return _of(site, PRIMARY, site.job.transformer.primary_volts)


def _secondary(site: Site) -> Finding:
    return _of(site, SECONDARY, site.job.transformer.secondary_volts)


@rule(
    "insulation_voltage",
    title="Insulation voltage rating",
    cite="insulation_voltage",
    severity="danger",
    group="secondary_run",
    asks=("primary.conductors.insulation_volts", "secondary.conductors.insulation_volts"),
)
def insulation_voltage(site: Site) -> Finding:
    """Whether the conductors of both runs are insulated for the voltage line to line [V].

    A primary above 1000 V is outside this tool, as its conductors are. Section: 300.3(C)(1), Table 310.4(1). Raises
    Missing above 600 V.
    """
    if currents.is_over_1000_volts(site):
        return _secondary(site)
    return every(site, _primary, _secondary)
