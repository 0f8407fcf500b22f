"""One source and several first disconnects: where the system bonding jumper may stand."""

from engine.derived import conductors
from engine.missing import need_at
from engine.rules.rule import rule
from engine.runs import FURTHER
from engine.site import Site
from engine.verdicts import Finding, confirm, not_applicable, undetermined


def _all_in_one(site: Site) -> bool:
    """Whether all runs end in one and the same enclosure."""
    further = site.job.secondary.further_runs
    if any(run.in_first_enclosure is False for run in further):
        return False
    together = (
        need_at(site.job, f"{FURTHER}.{index}.in_first_enclosure") for index in range(len(further))
    )
    return all(site.in_each_run(_ends_in_one)) and all(together)


def _ends_in_one(run: Site) -> bool:
    """Whether a run by itself ends in one enclosure."""
    if run.need(lambda job: job.secondary.protection.kind) != "grouped_devices":
        return True
    return run.need(lambda job: job.secondary.protection.one_enclosure)


@rule(
    "jumper_of_several_enclosures",
    title="Jumper where several enclosures are fed",
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    asks=(
        "transformer.secondary_system",
        "bonding.system_bonding_jumper.location",
        "bonding.system_bonding_jumper.in_each_enclosure",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.protection.kind",
        "secondary.protection.one_enclosure",
    ),
)
def jumper_of_several_enclosures(site: Site) -> Finding:
    """Whether a single jumper at a first disconnect serves only one enclosure.

    For several, 250.28(D)(3) has one in each, or a single one at the source (2017 text). One in each puts neutral current
    on the metal between them, which 250.6 and 250.30(A) do not want: that is for the authority. Unit: none. Raises Missing.
    Section: 250.30(A)(1), 250.28(D)(3).
    """
    if not conductors.is_grounded(site):
        return not_applicable("An ungrounded system has no system bonding jumper.")
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    if location != "first_disconnect":
        return not_applicable("The jumper is not at the first disconnect alone.")
    if site.has_further_runs:
        one = _all_in_one(site)
    elif site.need(lambda job: job.secondary.protection.kind) != "grouped_devices":
        return not_applicable("The secondary conductors end in one enclosure.")
    else:
        one = site.need(lambda job: job.secondary.protection.one_enclosure)
    required = "one enclosure behind a jumper at the first disconnect; for several, one jumper at the transformer"
    if not one and site.need(lambda job: job.bonding.system_bonding_jumper.in_each_enclosure):
        return undetermined(
            f"Each enclosure has its own jumper. {site.section('system_bonding_jumper_size')} gives sizes for that, "
            "but neutral current then flows on the metal between the enclosures. Ask the authority having "
            "jurisdiction. A single jumper at the transformer avoids the question.",
            required=required,
            found="several enclosures, a jumper in each",
        )
    return confirm(
        site,
        one,
        required=required,
        found="one enclosure" if one else "several enclosures",
        reason="All first devices are in one enclosure.",
        otherwise="Several enclosures are fed, and not every one has a jumper. A single jumper for several enclosures "
        "belongs at the transformer.",
        remedy="One system bonding jumper at the transformer, sized by all the conductors together, with the electrode "
        "conductor there.",
    )
