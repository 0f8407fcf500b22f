"""The editions of the electrical code, the oldest first, listed here and nowhere else.

An edition is added by its line here and by the rows of `engine/code` that changed: a row without a last edition is
still in force.
"""

from typing import Literal, get_args

Edition = Literal[
    2014,
    2017,
    2020,
    2023,
    2026,
]
EDITIONS: tuple[Edition, ...] = get_args(Edition)
# What a new job starts with, and what is read where no job is at hand.
DEFAULT_EDITION: Edition = 2023
