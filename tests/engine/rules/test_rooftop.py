"""Direct sun on a roof makes a raceway hotter: what is added depends on the edition and on the height above the roof."""

import pytest

from engine.code import code_for
from engine.derived.conditions_of_use import heat_of
from engine.derived.sides import SECONDARY
from engine.job.site import Site
from tests.engine.checked import found, verdict
from tests.engine.jobs import job, sound, with_facts

# Table of 2014 as printed by pveducation.com, Temp Adjustment Conduit on Roof; 2017 and 2020: 7/8 in.
# (electricalcodeacademy.net; electricallicenserenewal.com, NEC content 879); 2023: 3/4 in. (the same, content 1315)
ADDERS = [
    (2014, {0: 33, 0.5: 33, 0.6: 22, 3.5: 22, 3.6: 17, 12: 17, 13: 14, 36: 14, 37: 0}),
    (2017, {0: 33, 0.5: 33, 0.8: 33, 0.875: 0, 6: 0}),
    (2020, {0: 33, 0.8: 33, 0.875: 0}),
    (2023, {0: 33, 0.7: 33, 0.75: 0, 0.8: 0}),
]


def on_a_roof(inches, **facts):
    return with_facts(
        sound(),
        secondary__conductors__wet_location=True,
        secondary__raceway__on_sunny_rooftop=True,
        secondary__raceway__height_above_roof_inches=inches,
        **facts,
    )


@pytest.mark.parametrize(("edition", "adders"), ADDERS)
def test_what_the_sun_adds_by_height_and_edition(edition, adders):
    for inches, adder in adders.items():
        made = job(on_a_roof(inches, edition=edition))
        site = Site(made, code_for(edition))
        assert heat_of(site, SECONDARY, "THWN-2", 90).ambient == 30 + adder, (edition, inches)


def test_a_published_example_of_a_raceway_close_to_the_roof():
    # electricallicenserenewal.com, NEC content 1315: 8 AWG THWN, 50 A, 1/2 in. above the roof, 90 °F and 60 °F more:
    # × 0.33, 16.5 A
    data = on_a_roof(
        0.5,
        secondary__conductors__size="8",
        secondary__conductors__insulation="THWN",
        secondary__conductors__ambient_celsius=32.2,
    )
    check = found("secondary_conductors", data)
    assert "16.5 A" in check.found
    assert any("sun on the roof" in step for step in check.steps)


def test_xhhw_2_is_excepted_in_every_edition():
    # 310.15(B)(3)(c), its exception, new in 2014 (Mike Holt forum, NECA analysis of change, post 1875289; thread 111616)
    for edition in (2014, 2017, 2023):
        made = job(on_a_roof(0, edition=edition))
        site = Site(made, code_for(edition))
        assert heat_of(site, SECONDARY, "XHHW-2", 90).ambient == 30
        assert heat_of(site, SECONDARY, "THWN-2", 90).ambient == 63


def test_the_roof_is_asked_for_only_where_the_run_is_wet():
    data = with_facts(sound(), secondary__raceway__on_sunny_rooftop=None)
    assert verdict("secondary_conductors", data) == "meets"
    wet = with_facts(data, secondary__conductors__wet_location=True)
    check = found("secondary_conductors", wet)
    assert check.verdict == "cannot_tell"
    assert "secondary.raceway.on_sunny_rooftop" in check.missing
    assert verdict("secondary_conductors", on_a_roof(1)) == "meets"
    # 4/0 THWN-2, 90 °C: 260 A × 0.65 at 63 °C = 169 A against 225 A
    assert verdict("secondary_conductors", on_a_roof(0)) == "does_not_meet"
    assert verdict("secondary_conductors", on_a_roof(None)) == "cannot_tell"
