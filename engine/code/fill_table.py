"""How many equal conductors a raceway may hold, made from Tables 1, 4 and 5 with note 7 of Chapter 9."""

from math import floor

from engine.code.electrical_code import Code

_TOLERANCE = 1e-9


def equal_conductors(
    code: Code, raceway: str, trade_size: str, size: str, insulation: str
) -> int | None:
    """Largest number of conductors of one size and insulation in a raceway; None where a table has no cell.

    Note 7 rounds a decimal of 0.8 or more up, for a single conductor as well.
    Section: raceway_fill, raceway_fill_round_up, raceway_dimensions, insulated_conductor_dimensions.

    >>> from engine.code import code_for
    >>> equal_conductors(code_for(2023), "EMT", "1/2", "12", "THHN")  # allclearmister.com fill chart
    9
    """
    raceway_area = code.raceway_area(raceway, trade_size)
    conductor_area = code.conductor_area(size, insulation)
    if raceway_area is None or conductor_area is None:
        return None

    def count_at(percent: float) -> int:
        exact = raceway_area * percent / 100 / conductor_area
        whole = floor(exact + _TOLERANCE)
        return whole + (exact - whole >= code.fill_round_up_decimal - _TOLERANCE)

    many = count_at(code.fill_percent(3))
    if many >= 3:
        return many
    if count_at(code.fill_percent(2)) >= 2:
        return 2
    return min(count_at(code.fill_percent(1)), 1)
