"""Voltage readings against each other, the connection and the high leg."""

from collections.abc import Callable, Sequence
from operator import attrgetter

from engine.job import Job
from engine.judging.contradictions.entry import Contradiction
from engine.physics.neutral_point import (
    NEAR_ZERO,
    READING_SHARE,
    is_dead,
    line_to_neutral_volts,
    neutral_misfit,
)


def _more_readings_than_places(name: str, of_three: int, of_one: int) -> Callable[[Job], bool]:
    read = attrgetter(f"readings.{name}")

    def found(job: Job) -> bool:
        readings = read(job)
        if readings is None:
            return False
        return len(readings) > (of_three if job.transformer.phases == 3 else of_one)

    return found


# What is farther off its nominal value speaks for itself: the line of that reading says that it is a danger.
PLAUSIBLE_SHARE = 0.10


def _near(readings: Sequence[float], nominal: Sequence[float]) -> bool:
    """Whether readings are as many as their nominal values, and each near its own [V]."""
    return len(readings) == len(nominal) and all(
        abs(reading - value) <= PLAUSIBLE_SHARE * value
        for reading, value in zip(sorted(readings), nominal, strict=True)
    )


def _no_place_for_the_neutral(job: Job) -> bool:
    line, phases = job.transformer.secondary_volts, job.transformer.phases
    between = job.readings.line_to_line_volts or []
    to_neutral = job.readings.line_to_neutral_volts or []
    nominal = line_to_neutral_volts(job.transformer.secondary_system or "", line)
    if not nominal or not _near(to_neutral, nominal):
        return False
    if not _near(between, (line,) * (1 if phases == 1 else 3)):
        return False
    return neutral_misfit(between, to_neutral) > READING_SHARE * max(nominal)


def _neutral_elsewhere(job: Job) -> bool:
    """Whether the lines stand farther from ground and from the neutral [V] than these two are said to lie apart.

    A line's two readings differ by no more than the neutral has to ground, in the best order of them.
    """
    plate, read = job.transformer, job.readings
    nominal = line_to_neutral_volts(plate.secondary_system or "", plate.secondary_volts)
    to_neutral, to_ground = read.line_to_neutral_volts or [], read.line_to_ground_volts or []
    if read.neutral_to_ground_volts is None or not nominal or not _near(to_neutral, nominal):
        return False
    # What is far off speaks for itself, and is condemned; a meter that shows nothing to metal does not.
    dead = len(to_ground) == len(nominal) and is_dead(to_ground)
    if not _near(to_ground, nominal) and not dead:
        return False
    pairs = zip(sorted(to_neutral), sorted(to_ground), strict=True)
    apart = max(abs(neutral - ground) for neutral, ground in pairs)
    return apart > read.neutral_to_ground_volts + READING_SHARE * max(nominal)


def _no_place_for_the_ground(job: Job) -> bool:
    """As `_no_place_for_the_neutral`: a grounded neutral and the ground are one point."""
    line, phases = job.transformer.secondary_volts, job.transformer.phases
    between = job.readings.line_to_line_volts or []
    to_ground = job.readings.line_to_ground_volts or []
    nominal = line_to_neutral_volts(job.transformer.secondary_system or "", line)
    if not nominal or not _near(to_ground, nominal):
        return False
    if not _near(between, (line,) * (1 if phases == 1 else 3)):
        return False
    return neutral_misfit(between, to_ground) > READING_SHARE * max(nominal)


def _lines_at_ground_and_apart(job: Job) -> bool:
    """Whether lines read next to nothing [V] to ground, more of them than the voltages between the lines allow."""
    system = job.transformer.secondary_system
    to_ground = job.readings.line_to_ground_volts or []
    between = job.readings.line_to_line_volts or []
    if len(to_ground) < 2 or not is_dead(to_ground):
        return False
    # Where nothing is grounded, the meter itself pulls each line to ground in turn.
    if system in (None, "delta_3_wire_ungrounded") or (
        job.bonding.system_bonding_jumper.location == "none"
    ):
        return False
    pairs = 1 if job.transformer.phases == 1 else 3
    together = len(to_ground) * (len(to_ground) - 1) // 2
    return sum(volts > 2 * NEAR_ZERO for volts in between) > pairs - together


def _high_leg_of_another_line(job: Job) -> bool:
    """Whether the line with the high voltage [V] to the neutral is not the one with the high voltage to ground."""
    plate, read = job.transformer, job.readings
    if plate.secondary_system != "delta_high_leg":
        return False
    nominal = line_to_neutral_volts("delta_high_leg", plate.secondary_volts)
    to_neutral, to_ground = read.line_to_neutral_volts or [], read.line_to_ground_volts or []
    if not _near(to_neutral, nominal) or not _near(to_ground, nominal):
        return False
    return to_neutral.index(max(to_neutral)) != to_ground.index(max(to_ground))


def _high_leg_on_a(name: str) -> Callable[[Job], bool]:
    """Whether readings [V] in the order A, B, C show the high leg on A, though an answer has it on B.

    Section: 408.3(E). On C it may be beside a meter, and the answer is then the same.
    """
    read = attrgetter(f"readings.{name}")

    def found(job: Job) -> bool:
        plate = job.transformer
        volts: list[float] = read(job) or []
        if plate.secondary_system != "delta_high_leg" or not job.observations.high_leg_on_b:
            return False
        nominal = line_to_neutral_volts("delta_high_leg", plate.secondary_volts)
        return _near(volts, nominal) and volts.index(max(volts)) == 0

    return found


READINGS: tuple[Contradiction, ...] = (
    *(
        Contradiction(
            f"{name}_more_than_places",
            ("transformer.phases", f"readings.{name}"),
            "There are more readings than this transformer has places to take them.",
            _more_readings_than_places(name, of_three, of_one),
        )
        for name, of_three, of_one in (
            ("line_to_line_volts", 3, 1),
            ("line_to_neutral_volts", 3, 2),
            ("line_to_ground_volts", 3, 2),
        )
    ),
    Contradiction(
        "no_place_for_the_neutral",
        ("readings.line_to_line_volts", "readings.line_to_neutral_volts"),
        "No neutral point fits these line-to-line and line-to-neutral voltages. One was misread, or they were not "
        "read at the same time.",
        _no_place_for_the_neutral,
    ),
    Contradiction(
        "neutral_elsewhere",
        (
            "readings.line_to_neutral_volts",
            "readings.line_to_ground_volts",
            "readings.neutral_to_ground_volts",
        ),
        "The line-to-neutral and line-to-ground readings differ by more than the neutral-to-ground reading. One was "
        "misread, or they were not read at the same time.",
        _neutral_elsewhere,
    ),
    Contradiction(
        "no_place_for_the_ground",
        ("readings.line_to_line_volts", "readings.line_to_ground_volts"),
        "No grounded neutral fits these line-to-line and line-to-ground voltages. One was misread, or they were not "
        "read at the same time.",
        _no_place_for_the_ground,
    ),
    Contradiction(
        "lines_at_ground_and_apart",
        ("readings.line_to_line_volts", "readings.line_to_ground_volts"),
        "Lines with a voltage between them can't all be at ground. A reading is wrong, or the metal you measured to "
        "is not bonded to anything.",
        _lines_at_ground_and_apart,
    ),
    Contradiction(
        "high_leg_of_another_line",
        ("readings.line_to_neutral_volts", "readings.line_to_ground_volts"),
        "The high leg is on one line in the line-to-neutral readings and on another in the line-to-ground readings. "
        "Enter both in the order A, B, C.",
        _high_leg_of_another_line,
    ),
    *(
        Contradiction(
            f"high_leg_on_a_to_{place}",
            ("observations.high_leg_on_b", f"readings.line_to_{place}_volts"),
            "In the order A, B, C, the readings put the high leg on A. The other answer says that the high leg is in "
            "its proper place. Enter the readings again in that order, or check again where the orange conductor "
            "lands.",
            _high_leg_on_a(f"line_to_{place}_volts"),
        )
        for place in ("neutral", "ground")
    ),
)
