"""Profiles of the property tests: the same examples every time by default, others in a long run."""

from hypothesis import HealthCheck, settings

from tests.chromium import browser, playwright
from tests.engine.examples import MANY

# Fixtures of every test below.
__all__ = ["browser", "playwright"]

_TOO_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]

settings.register_profile(
    "ci", deadline=None, derandomize=True, print_blob=True, suppress_health_check=_TOO_SLOW
)
settings.register_profile(
    "long",
    deadline=None,
    max_examples=max(MANY, 100),
    print_blob=True,
    suppress_health_check=_TOO_SLOW,
)
settings.load_profile("long" if MANY else "ci")
