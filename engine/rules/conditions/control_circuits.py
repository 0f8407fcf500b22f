"""Control transformers and Class 1, 2 and 3 circuits: what the code leaves out or asks less of; circuits below 50 V."""

from collections.abc import Callable

from engine.code import size_index
from engine.job import Conductors, GroundedConductor, Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import size
from engine.rules.rule import Rule

CONTROL_TRANSFORMER_KVA = 1.0


def feeds_control_circuits_only(site: Site) -> bool:
    """Whether a unit of at most 1000 VA feeds Class 1, 2 or 3 circuits alone, which need less grounding.

    Unit: kVA. Section: 250.30(A)(1) and (A)(5), the exceptions for such circuits. Raises Missing up to 1 kVA.
    """
    return site.job.transformer.kva <= CONTROL_TRANSFORMER_KVA and site.need(
        lambda job: job.secondary.class_1_2_3_circuits_only
    )


def large_enough_below_50_volts(
    site: Site, conductor: Callable[[Job], Conductors | GroundedConductor]
) -> Finding:
    """Whether a conductor of a secondary below 50 V is at least as large as 12 AWG copper (AWG).

    Section: 720.4; circuits with rules of their own are left out by 720.2 (Article 720 as printed at thenecwiki.com).
    Raises Missing.
    """
    if site.job.transformer.secondary_volts >= 50:
        return not_applicable("Not below 50 V.")
    size_ = site.need(lambda job: conductor(job).size)
    material = site.need(lambda job: conductor(job).material)
    least = "12" if material == "copper" else "10"
    if size_index(size_) >= size_index(least):
        return not_applicable("No rule for circuits below 50 V requires a larger size.")
    if feeds_control_circuits_only(site):
        return not_applicable("Class 1, 2 and 3 circuits have rules of their own.")
    required = f"{size(least, material)} or larger, below 50 V"
    board = site.job.secondary.panelboard
    if board.rating is None and not site.need(lambda job: job.secondary.panelboard.present):
        return undetermined(
            f"Below 50 V and smaller than {size(least, material)}. Only circuits with their own rules may be that "
            f"small, such as low-voltage lighting and fire alarm circuits. Find out what it feeds.",
            required=required,
            found=size(size_, material),
            cite="conductors_below_50_volts",
        )
    return confirm(
        site,
        False,
        required=required,
        found=size(size_, material),
        reason="",
        otherwise="Too small for a power circuit below 50 V.",
        remedy=f"{size(least, material)} or larger.",
        cite="conductors_below_50_volts",
    )


# The most that a transformer for Class 2 or 3 circuits is rated for: Chapter 9, Table 11(A), from memory.
CLASS_2_OR_3_KVA = 0.1
CLASS_2_OR_3 = "secondary.class_1_2_3_circuits_only"
# Of Article 450, by the exceptions of 450.1; of the conductors, by 240.4(G), from memory.
ARTICLE_LEAVES_OUT = "This article does not apply to a Class 2 or Class 3 transformer"
LIMITED_BY_ITS_SOURCE = (
    "What limits a Class 2 or Class 3 circuit is its transformer, not the size of these conductors"
)


def but_class_2_or_3(rule: Rule, why: str = ARTICLE_LEAVES_OUT) -> Rule:
    """A rule that does not condemn what may be a Class 2 or 3 transformer or circuit, which it leaves out.

    Unit: kVA. Section: 450.1 exceptions, 450.14; 240.4(G). Raises Missing up to 0.1 kVA.
    """

    def doubt(site: Site) -> str:
        left_out = site.job.transformer.kva <= CLASS_2_OR_3_KVA and site.need(
            lambda job: job.secondary.class_1_2_3_circuits_only
        )
        return (
            f"{why}, and this may be one: read the nameplate. If it says neither:"
            if left_out
            else ""
        )

    return _in_doubt(rule, (CLASS_2_OR_3,), doubt)


def _in_doubt(rule: Rule, paths: tuple[str, ...], doubt: Callable[[Site], str]) -> Rule:
    """A rule that does not condemn where there is a doubt, which reads these paths and stands before the reason."""

    def judge(site: Site) -> Finding:
        finding = rule.judge(site)
        why = doubt(site) if finding.verdict == "does_not_meet" else ""
        if not why:
            return finding
        return undetermined(
            f"{why} {finding.reason}",
            required=finding.required,
            found=finding.found,
            cite=finding.cite,
        )

    asks = (*rule.asks, *(path for path in paths if path not in rule.asks))
    return rule._replace(asks=asks, judge=judge)


# What `but_control_circuits` reads.
_MAY_STAY_UNGROUNDED = (
    "bonding.system_bonding_jumper.location",
    "secondary.class_1_2_3_circuits_only",
    "secondary.qualified_persons_only",
)


def but_control_circuits(rule: Rule) -> Rule:
    """A rule that does not condemn for its missing ground what 250.21(A)(3) may leave ungrounded.

    A system for control circuits alone that only qualified persons service may do without where continuity of control
    power is required, which nobody is asked. Unit: V. Section: 250.21(A)(3), from memory. Raises Missing.
    """

    def doubt(site: Site) -> str:
        job = site.job
        may_stay_ungrounded = (
            job.bonding.system_bonding_jumper.location == "none"
            and job.secondary.class_1_2_3_circuits_only
            and all(run.job.secondary.qualified_persons_only for run in site.runs)
            and job.transformer.secondary_volts >= 50
            and job.transformer.primary_volts <= 1000
        )
        if not may_stay_ungrounded:
            return ""
        return (
            "A system for control circuits alone that only qualified persons service may stay ungrounded where control "
            "power must not be interrupted: find out whether it must not. If it may:"
        )

    return _in_doubt(rule, _MAY_STAY_UNGROUNDED, doubt)


def needs_no_electrode(site: Site) -> bool:
    """Whether a control transformer is grounded well enough without an electrode conductor of its own.

    Its neutral is bonded to its own frame, and the frame is grounded by the primary's equipment grounding conductor.
    Unit: none. Section: 250.30(A)(5), the exception for Class 1, 2 and 3 circuits. Raises Missing.
    """
    return (
        feeds_control_circuits_only(site)
        and site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source"
        and site.need(lambda job: job.primary.equipment_grounding.kind) != "none"
    )
