"""Usual ratings and voltages: what is offered first, and what a condition of equality can name."""

# Both phases' usual sizes in one row; any other can be entered.
USUAL_KVA = (5, 10, 15, 25, 30, 37.5, 45, 50, 75, 100, 112.5, 150, 167, 225, 300, 500, 750, 1000)
# Usual ratings above 1 kVA, and those of them above 50 kVA; any other may be at or below that.
ABOVE_1_KVA = (1.5, 2, 3, 6, 7.5, 9, *USUAL_KVA)
ABOVE_50_KVA = tuple(kva for kva in USUAL_KVA if kva > 50)
# Usual secondary voltages at which the lowest slash label for them holds to ground too; at any other it may not.
HELD_WYE_VOLTS = (208, 380, 400, 415, 440, 460, 480, 575, 600)
# Usual secondary voltages below 50 V.
BELOW_50_VOLTS = (12, 16, 24, 28, 32, 36, 48)
HELD_2_WIRE_VOLTS = (12, 24, 32, 36, 48, 110, 115, 120, 277)
# Usual voltages that every building wire is made for, and those above 1000 V, whose conductors are not judged here.
HELD_BY_600_VOLTS = (
    *(12, 16, 24, 32, 36, 48, 110, 115, 120, 127, 200, 208, 220, 230, 240),
    *(277, 346, 347, 380, 400, 415, 416, 440, 450, 460, 480, 550, 575, 600),
)
ABOVE_1000_VOLTS = (
    2300,
    2400,
    4000,
    4160,
    4800,
    6900,
    7200,
    8320,
    12000,
    12470,
    13200,
    13800,
    34500,
)
