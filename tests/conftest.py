"""Profiles of the property tests: few examples by default, many with PLATEPATH_EXAMPLES=N."""

import os

from hypothesis import HealthCheck, settings

_TOO_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]

settings.register_profile(
    "ci", deadline=None, derandomize=True, print_blob=True, suppress_health_check=_TOO_SLOW
)
settings.register_profile(
    "long",
    deadline=None,
    max_examples=int(os.environ.get("PLATEPATH_EXAMPLES") or 20000),
    print_blob=True,
    suppress_health_check=_TOO_SLOW,
)
settings.load_profile("long" if os.environ.get("PLATEPATH_EXAMPLES") else "ci")
