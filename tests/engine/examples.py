"""How many examples a property test tries: few in every run, PLATEPATH_EXAMPLES=N of them in a long one."""

import os

from hypothesis import settings

MANY = int(os.environ.get("PLATEPATH_EXAMPLES") or 0)


def examples(few: int) -> settings:
    """The settings of one test; a long run never tries fewer than every run does."""
    return settings(max_examples=max(few, MANY))
