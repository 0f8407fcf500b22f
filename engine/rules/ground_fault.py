"""Whether a ground fault at the transformer opens the primary device: the length of the run decides, not the table alone."""

from engine.derived import ground_fault
from engine.derived.currents import is_over_1000_volts, primary_device_rating
from engine.job import HIGHEST_INSTANTANEOUS_MULTIPLE
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, not_applicable, undetermined
from engine.physics.quantities import amperes, number
from engine.rules.conditions.facts_read import DEVICE_RATING
from engine.rules.conditions.words import OVER_1000
from engine.rules.rule import rule

# A device opens quickly at some five times its rating: common practice, no source. The code gives no figure.
TIMES_RATING = 5.0


@rule(
    "ground_fault_path",
    title="Ground fault opens the primary device",
    cite="effective_ground_fault_path",
    severity="advice",
    group="primary_run",
    asks=(
        "primary.equipment_grounding.kind",
        "primary.equipment_grounding.size",
        "primary.equipment_grounding.material",
        "primary.conductors.size",
        "primary.conductors.material",
        "primary.conductors.sets",
        "primary.conductors.raceways",
        "primary.conductors.length_feet",
        "primary.raceway.type",
        *DEVICE_RATING,
        "primary.device.instantaneous_multiple",
    ),
)
def ground_fault_path(site: Site) -> Finding:
    """Whether a fault to the transformer's case drives enough current [A] to open the primary device at once.

    Section: 250.4(A)(5), which gives no figure. A current below the rating itself never opens it. Raises Missing.
    """
    if is_over_1000_volts(site):
        return undetermined(OVER_1000)
    if site.need(lambda job: job.primary.equipment_grounding.kind) != "wire":
        return not_applicable(
            "No wire carries the fault back, and the tables here give no impedance for a raceway."
        )
    current = ground_fault.primary_ground_fault_current(site)
    rating = primary_device_rating(site)
    is_fuse = site.job.primary.device.kind == "fuse"
    multiple = None if is_fuse else site.job.primary.device.instantaneous_multiple
    # Some breakers trip at once at five times their rating, some only far above it; below five few do.
    is_clear = (
        current.amount < TIMES_RATING * rating
        or current.amount >= HIGHEST_INSTANTANEOUS_MULTIPLE * rating
    )
    if multiple is None and not is_fuse and not is_clear:
        multiple = site.need(lambda job: job.primary.device.instantaneous_multiple)
    times, words = (
        (multiple, "its instantaneous trip")
        if multiple is not None
        else (TIMES_RATING, "five times its rating (common practice)")
    )
    finding = compare(
        site,
        found=current.amount,
        at_least=times * rating,
        required=f"at least {amperes(times * rating)}, {words}",
        found_shown=f"at most {amperes(current.amount)}",
        reason="A fault to the case draws enough current to open the device at once, if the source can deliver it.",
        otherwise="The run is long for its wires: a fault to the case may not open the device at once, and metal stays live "
        "meanwhile.",
        remedy="A larger equipment grounding conductor, larger phases, or a lower instantaneous trip; have an "
        f"engineer check it. {number(times)} × the rating is what is counted here.",
        steps=current.steps,
    )
    if finding.verdict == "does_not_meet" and current.amount <= rating:
        return finding._replace(severity="danger")
    return finding
