"""How findings are made and joined. Plain properties of `engine.judging.verdicts`; no standard asks for them."""

import pytest

from engine.code import code_for
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import TOLERANCE
from tests.engine.jobs import job, sound

SITE = Site(job(sound()), code_for(2023))


def _compared(found: float, **limit: float) -> Finding:
    return compare(
        SITE,
        found=found,
        required=f"required {limit}",
        found_shown=f"found {found}",
        reason=f"{found} holds",
        otherwise=f"{found} does not hold",
        remedy="mend it",
        **limit,
    )


def _confirmed(holds: bool) -> Finding:
    return confirm(
        SITE, holds, required="so", found="seen", reason="It is.", otherwise="It is not."
    )


def _missing(_: Site) -> Finding:
    raise Missing("transformer.impedance_percent")


def _joined(*findings: Finding) -> Finding:
    return every(SITE, *[lambda _, finding=finding: finding for finding in findings])


@pytest.mark.parametrize(
    ("found", "limit", "expected"),
    [
        (100, {"at_least": 100}, "meets"),
        (100 * (1 - TOLERANCE / 2), {"at_least": 100}, "meets"),
        (100 * (1 - TOLERANCE * 2), {"at_least": 100}, "does_not_meet"),
        (100, {"at_most": 100}, "meets"),
        (100 * (1 + TOLERANCE / 2), {"at_most": 100}, "meets"),
        (100 * (1 + TOLERANCE * 2), {"at_most": 100}, "does_not_meet"),
        # nothing against nothing just agrees
        (0, {"at_least": 0}, "meets"),
        (0, {"at_most": 0}, "meets"),
        # beside nothing a share forgives nothing: there it is 1e-12
        (-1e-12, {"at_least": 0}, "meets"),
        (-1.2e-12, {"at_least": 0}, "does_not_meet"),
        (1e-12, {"at_most": 0}, "meets"),
        (1.2e-12, {"at_most": 0}, "does_not_meet"),
        (-0.001, {"at_least": 0}, "does_not_meet"),
        (0.001, {"at_most": 0}, "does_not_meet"),
    ],
)
def test_only_the_last_bits_of_arithmetic_are_forgiven(found, limit, expected):
    assert _compared(found, **limit).verdict == expected


@pytest.mark.parametrize(
    ("found", "limit", "margin"),
    [
        (150, {"at_least": 100}, 1.5),
        (50, {"at_least": 100}, 0.5),
        (1.5, {"at_least": 0.5}, 3),
        (1.5, {"at_least": 0}, float("inf")),
        (50, {"at_most": 100}, 2),
        (200, {"at_most": 100}, 0.5),
        (0.5, {"at_most": 1.5}, 3),
        (0, {"at_most": 1.5}, float("inf")),
    ],
)
def test_the_margin_is_what_is_in_hand(found, limit, margin):
    # it chooses the worst case among the values that an unknown may have
    assert _compared(found, **limit).margin == pytest.approx(margin)


def test_what_is_so_or_not_has_all_or_nothing_in_hand():
    assert _confirmed(True).margin == float("inf")
    assert _confirmed(False).margin == 0
    assert undetermined("Not known.").margin == 0
    assert not_applicable("Not here.").margin == float("inf")


HOLDS, HARDLY = _compared(150, at_least=100), _compared(120, at_least=100)
FAILS, FAILS_MORE = _compared(80, at_least=100), _compared(50, at_least=100)
OPEN = undetermined("Takes a study.", required="a study", found="none", cite="interrupting_rating")
ELSEWHERE = not_applicable("Not here.", required="elsewhere")


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ((HOLDS, HARDLY), "meets"),
        ((HOLDS, FAILS), "does_not_meet"),
        ((FAILS, OPEN), "does_not_meet"),
        ((OPEN, FAILS), "does_not_meet"),
        # what no one can tell yet keeps everything that holds from passing
        ((HOLDS, OPEN), "cannot_tell"),
        ((OPEN, HOLDS), "cannot_tell"),
        ((OPEN,), "cannot_tell"),
        ((ELSEWHERE, HOLDS), "meets"),
        ((HOLDS, ELSEWHERE), "meets"),
        ((ELSEWHERE, OPEN), "cannot_tell"),
        ((ELSEWHERE,), "does_not_apply"),
    ],
)
def test_a_broken_condition_decides_then_an_open_one_then_all_hold(findings, expected):
    assert _joined(*findings).verdict == expected


def test_a_missing_fact_outweighs_what_holds_and_never_what_is_broken():
    for conditions in ((_missing, lambda _: HOLDS), (lambda _: HOLDS, _missing)):
        with pytest.raises(Missing):
            every(SITE, *conditions)
    assert every(SITE, _missing, lambda _: FAILS).verdict == "does_not_meet"


def test_the_joined_finding_has_the_least_in_hand_and_says_what_decided():
    assert _joined(HOLDS, HARDLY).margin == pytest.approx(1.2)
    both = _joined(HOLDS, FAILS, FAILS_MORE)
    assert both.margin == pytest.approx(0.5)
    assert both.reason == f"{FAILS.reason} {FAILS_MORE.reason}"
    assert _joined(HOLDS, OPEN).reason == OPEN.reason
    assert _joined(ELSEWHERE, HOLDS).reason == HOLDS.reason
    assert _joined(ELSEWHERE, HOLDS).margin == HOLDS.margin


def test_the_section_of_what_is_open_is_named():
    assert _joined(HOLDS, OPEN).cite == "interrupting_rating"
    assert _joined(HOLDS, HARDLY).cite is None


def test_a_condition_with_nothing_to_require_says_nothing():
    silent = confirm(SITE, True, required="", found="", reason="", otherwise="")
    joined = _joined(silent, HOLDS)
    assert (joined.required, joined.margin) == (HOLDS.required, HOLDS.margin)
    assert _joined(silent).verdict == "meets"


def test_what_cannot_be_told_is_never_lost_beside_what_holds() -> None:
    joined = _joined(_compared(1, at_least=1), undetermined("Outside this tool."))
    assert joined.verdict == "cannot_tell"
    assert "Outside this tool." in joined.reason
