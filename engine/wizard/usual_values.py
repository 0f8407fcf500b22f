"""Usual ratings and voltages: what is offered first, and what a condition of equality can name."""

from engine.code import code_for
from engine.code.editions import DEFAULT_EDITION

# Both phases' usual sizes in one row; any other can be entered.
USUAL_KVA = (5, 10, 15, 25, 30, 37.5, 45, 50, 75, 100, 112.5, 150, 167, 225, 300, 500, 750, 1000)
USUAL_K_FACTORS = (1, 4, 9, 13, 20)
USUAL_SETS = (1, 2, 3, 4)
USUAL_POWER_FACTORS = (0.8, 0.85, 0.9, 0.95, 1)
USUAL_INTERRUPTING_KILOAMPERES = (10, 14, 18, 22, 25, 35, 42, 65)
# Usual ratings above 1 kVA, and those of them above 50 kVA; any other may be at or below that.
ABOVE_1_KVA = (1.5, 2, 3, 6, 7.5, 9, *USUAL_KVA)
ABOVE_50_KVA = tuple(kva for kva in USUAL_KVA if kva > 50)
# Usual secondary voltages at which the lowest slash label for them holds to ground too; at any other it may not.
HELD_WYE_VOLTS = (208, 380, 400, 415, 440, 460, 480, 575, 600)
# Usual secondary voltages below 50 V.
BELOW_50_VOLTS = (12, 16, 24, 28, 32, 36, 48)
HELD_2_WIRE_VOLTS = (12, 24, 32, 36, 48, 110, 115, 120, 277)
# Usual voltages that are stepped up, and up to.
USUAL_STEP_UP_VOLTS = (120, 208, 230, 240, 277, 380, 400, 415, 480, 600)
# Usual voltages of which no wye is above 150 V to ground, and nothing is above 250 V to ground.
UP_TO_240_VOLTS = (120, 208, 240)
# Usual voltages that every building wire is made for, and those above 1000 V, whose conductors are not judged here.
HELD_BY_600_VOLTS = (
    *(12, 16, 24, 32, 36, 48, 110, 115, 120, 127, 200, 208, 220, 230, 240),
    *(277, 346, 347, 380, 400, 415, 416, 440, 450, 460, 480, 550, 575, 600),
)
ABOVE_1000_VOLTS = (
    *(2300, 2400, 4000, 4160, 4800, 6900, 7200),
    *(8320, 12000, 12470, 13200, 13800, 34500),
)


def breaker_ratings(up_to: float) -> tuple[float, ...]:
    """Standard ratings of breakers from 15 A [A]. Section: 240.6(A)."""
    standard = code_for(DEFAULT_EDITION).standard_ratings("breaker")
    return tuple(rating for rating in standard if 15 <= rating <= up_to)
