"""What several readings of a meter share: how far off is far, whether anything is live, what a displaced neutral shows."""

from collections.abc import Sequence

from engine.job import Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm
from engine.physics.neutral_point import is_dead, line_to_neutral_volts

# Outside both ranges of ANSI C84.1 (range B of the service ends at +5.8 % and -8.3 %, from memory): not the supply's doing.
# That it is a danger from there on is common practice, no source.
FAR_OFF = 0.10


def _lists(job: Job) -> tuple[list[float], ...]:
    read = job.readings
    each = (read.line_to_line_volts, read.line_to_neutral_volts, read.line_to_ground_volts)
    return tuple(readings or [] for readings in each)


def is_off(site: Site, readings: list[float]) -> bool:
    """Whether nothing that was read on this visit shows the secondary live, these readings [V] included. Section: none."""
    return is_dead(readings) and all(is_dead(others) for others in _lists(site.job))


def danger_if(finding: Finding, is_danger: bool, why: str) -> Finding:
    """A broken reading that is worse than advice, and why. Unit: none. Section: none."""
    if finding.verdict != "does_not_meet" or not is_danger:
        return finding
    return finding._replace(severity="danger", reason=f"{finding.reason} {why}")


def displaced_neutral(site: Site, required: str, found: str, why: str, step: str) -> Finding:
    """The finding that a neutral is not where it belongs [V]. Section: none; common practice, no source."""
    return confirm(
        site,
        False,
        required=required,
        found=found,
        reason="",
        otherwise=f"{why} Suspect an open or loose neutral; equipment on the higher leg burns out.",
        remedy="Keep the loads off. De-energize, and check the neutral connections and the tap links.",
        steps=(step,),
    )._replace(severity="danger")


def low_legs(readings: Sequence[float], nominal: Sequence[float]) -> list[float]:
    """The readings [V] of lines that belong at the lowest voltage of a pattern, which is not zero. Section: none."""
    between = (nominal[0] + nominal[-1]) / 2
    return [r for r in readings if r < between] if nominal[-1] > nominal[0] else [*readings]


def nominal_to_ground(system: str, line: float) -> tuple[float, ...]:
    """Voltages to ground of a grounded system [V], the lowest first. Section: none; the connection on the nameplate."""
    by_neutral = line_to_neutral_volts(system, line)
    if by_neutral:
        return by_neutral
    return (0.0, line) if system == "single_phase_2_wire" else (0.0, line, line)
