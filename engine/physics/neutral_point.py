"""Where a neutral stands between its lines, by the voltages read."""

from collections.abc import Sequence
from itertools import combinations, permutations
from math import hypot, inf, sqrt

# Readings one after another, of a supply that moves, by a meter that is 1 % off: common practice, no source.
READING_SHARE = 0.03
# Below this a meter reads stray voltage, not a phase [V]: common practice, no source.
NEAR_ZERO = 10.0
_ROUNDING = 1e-9


def is_dead(readings: Sequence[float]) -> bool:
    """Whether no reading [V] shows a phase. Section: none. Source: common practice.

    >>> is_dead([0.4, 9.9]), is_dead([5, 120])
    (True, False)
    """
    return all(reading < NEAR_ZERO for reading in readings)


def fit_some_places(readings: Sequence[float], nominal: Sequence[float], share: float) -> bool:
    """Whether each reading [V] fits another place of a pattern, within a share of it; near zero where the place is at zero.

    Fewer readings than places may still fit: no further reading can rescue what does not. Section: none; counting. Source:
    own arithmetic.

    >>> fit_some_places([208], [120, 120, 208], 0.1), fit_some_places([208, 208], [120, 120, 208], 0.1)
    (True, False)
    """
    found = sorted(readings)
    # Both sides sorted, so that each reading meets the place that suits it best.
    return any(
        all(
            abs(reading - place) <= (share * place if place else NEAR_ZERO) + _ROUNDING
            for reading, place in zip(found, places, strict=True)
        )
        for places in combinations(sorted(nominal), len(found))
    )


def line_to_neutral_volts(system: str, line_volts: float) -> tuple[float, ...]:
    """Voltages from each line to the neutral [V] of a connection, the lowest first; none where no neutral serves all lines.

    Section: none; geometry. Source: own arithmetic. High leg: half the line voltage twice, and √3/2 of it.

    >>> [round(volts, 1) for volts in line_to_neutral_volts("delta_high_leg", 240)]
    [120.0, 120.0, 207.8]
    """
    shares = {
        "wye_4_wire": (1 / sqrt(3),) * 3,
        # Its neutral point is there, whether a wire leaves it or not.
        "wye_3_wire": (1 / sqrt(3),) * 3,
        "single_phase_3_wire": (0.5, 0.5),
        "delta_high_leg": (0.5, 0.5, sqrt(3) / 2),
    }
    return tuple(share * line_volts for share in shares.get(system, ()))


def neutral_misfit(line_to_line: list[float], line_to_neutral: list[float]) -> float:
    """By how much readings to a neutral [V] miss every point that the readings between the lines [V] leave for it.

    Voltages of one frequency are points of a plane, and readings their distances. Of one pair of lines the two halves add
    up. Whatever the order in which they were read, the best order counts. Infinite where the lines make no triangle.
    Section: none; geometry. Source: own arithmetic (trilateration).

    >>> round(neutral_misfit([198, 198, 198], [126, 126, 126]), 1)
    11.7
    >>> neutral_misfit([240], [114.5, 114.5])
    11.0
    """
    if len(line_to_line) == 1:
        return abs(sum(line_to_neutral) - line_to_line[0])
    ab, bc, ca = line_to_line
    if min(line_to_line) <= 0 or 2 * max(line_to_line) >= sum(line_to_line):
        return inf
    # A at the origin, B on the axis, C above it.
    cx = (ab**2 + ca**2 - bc**2) / (2 * ab)
    cy = sqrt(ca**2 - cx**2)
    misfits: list[float] = []
    for a, b, c in permutations(line_to_neutral):
        x = (a**2 - b**2 + ab**2) / (2 * ab)
        y = (a**2 - c**2 + ca**2 - 2 * cx * x) / (2 * cy)
        ends = ((0.0, 0.0, a), (ab, 0.0, b), (cx, cy, c))
        misfits.append(max(abs(hypot(x - ex, y - ey) - read) for ex, ey, read in ends))
    return min(misfits)
