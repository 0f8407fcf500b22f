"""Conductors in raceways: areas, shares, and how many of one size fit."""

from collections.abc import Iterable


def total_area(conductors: Iterable[tuple[int, float]]) -> float:
    """Sum of the cross sections [in²] of (number, area of one [in²]) pairs.

    Section: Chapter 9, Table 1, note 6 (mixed sizes).
    Source: Mike Holt, "Code Calculations", EC&M August 2004 (three 3/0, one 1 AWG, one 6 AWG THHN: 1.0106 in²).

    >>> round(total_area([(3, 0.2679), (1, 0.1562), (1, 0.0507)]), 4)
    1.0106
    """
    return sum(count * area for count, area in conductors)


def fill_percent(*, conductors_area: float, raceway_area: float) -> float:
    """Share of the raceway's cross section that is filled [%]; both areas in in².

    Section: Chapter 9, Table 1.
    Source: own arithmetic.

    >>> fill_percent(conductors_area=1.0, raceway_area=4.0)
    25.0
    """
    return 100 * conductors_area / raceway_area


def number_that_fits(
    *, raceway_area: float, percent: float, conductor_area: float, round_up_decimal: float
) -> int:
    """How many conductors of one size fit: a whole number, rounded up when the decimal is large enough.

    Areas in in²; percent is the permitted share [%]; round_up_decimal without unit.
    Section: Chapter 9, Table 1, note 7.
    Source: Mike Holt forum, "Conduit fill" (note 7: 0.8 and over rounds up).

    >>> number_that_fits(raceway_area=1.0, percent=40, conductor_area=0.1, round_up_decimal=0.8)
    4
    >>> number_that_fits(raceway_area=0.98, percent=40, conductor_area=0.1, round_up_decimal=0.8)
    4
    >>> number_that_fits(raceway_area=0.94, percent=40, conductor_area=0.1, round_up_decimal=0.8)
    3
    """
    exact = raceway_area * percent / 100 / conductor_area
    whole = int(exact + 1e-9)
    return whole + 1 if exact - whole >= round_up_decimal - 1e-9 else whole
