"""Facts that cannot all be true: both are named, and no verdict rests on either. No source: what words and counting mean."""

import pytest

from engine import evaluate
from engine.contradictions import CONTRADICTIONS, contradictions, doubted_by, without_doubted
from engine.evaluate import without_assumed
from engine.job import NAMEPLATE
from engine.missing import Missing
from tests.engine.checked import checked
from tests.engine.jobs import FACTS, NEEDED, Data, job, single_phase, sound, with_facts

# One job for each entry, with the facts that contradict each other.
CASES: dict[str, Data] = {
    "sole_and_joined": with_facts(
        sound(),
        electrode__used="rod",
        electrode__available=["rod"],
        electrode__sole_connection=True,
        electrode__joined_to_building_system=True,
        electrode__conductor__size="6",
        secondary__conductors__size="500",
        secondary__conductors__sets=2,
        secondary__conductors__raceways=2,
    ),
    # 300.9: a raceway in a wet location above grade is wet inside
    "dry_primary_run_outdoors": with_facts(
        sound(), transformer__location="outdoors", primary__conductors__insulation="THHN"
    ),
    "dry_secondary_run_outdoors": with_facts(
        sound(), transformer__location="outdoors", secondary__grounded_conductor__insulation="XHHW"
    ),
    # 54.1 A and 124.9 A are those of a 45 kVA unit at 480 V and 208 V
    "printed_primary_current": with_facts(sound(), transformer__nameplate_primary_amperes=54.1),
    # 198 V between the lines leaves 114.3 V to a neutral that stands alike to all of them
    "no_place_for_the_neutral": with_facts(
        sound(),
        readings__line_to_line_volts=[198, 198, 198],
        readings__line_to_neutral_volts=[126, 126, 126],
    ),
    "printed_secondary_current": with_facts(
        sound(), transformer__nameplate_secondary_amperes=124.9
    ),
}


def test_every_entry_has_a_case() -> None:
    assert {entry.id for entry in CONTRADICTIONS} == set(CASES)


@pytest.mark.parametrize("entry", CONTRADICTIONS, ids=lambda entry: entry.id)
def test_an_entry_names_facts_of_a_job(entry) -> None:
    assert len(entry.paths) > 1
    assert set(entry.paths) <= {*FACTS, *NEEDED}


@pytest.mark.parametrize("id_", sorted(CASES))
def test_both_facts_are_named_and_no_verdict_rests_on_either(id_: str) -> None:
    made = job(CASES[id_])
    result = checked(made)
    (clash,) = (c for c in result.contradictions if c.id == id_)
    (entry,) = (e for e in CONTRADICTIONS if e.id == id_)
    assert {fact.path for fact in clash.facts} == set(entry.paths)
    assert clash.why
    assert result.overall.verdict != "no_conflict_found"
    assert "contradict" in result.overall.text
    # The verdicts are those of the job in which nobody read these facts.
    doubted = doubted_by(contradictions(without_assumed(made)))
    nullable = {path.replace(".", "__"): None for path in doubted - NAMEPLATE}
    unread = {c.id: c for c in evaluate(job(with_facts(CASES[id_], **nullable))).checks}
    for check in result.checks:
        if doubted & NAMEPLATE:
            # Less is known than that: of what the nameplate carries nothing is judged.
            assert check.verdict in (unread[check.id].verdict, "cannot_tell"), check.id
        else:
            assert check.verdict == unread[check.id].verdict, check.id


def test_a_misread_nameplate_leaves_no_verdict_that_its_figures_carry() -> None:
    result = checked(job(CASES["printed_primary_current"]))
    verdicts = {check.id: check.verdict for check in result.checks}
    for id_ in ("primary_device", "secondary_device", "secondary_rule", "interrupting_ratings"):
        assert verdicts[id_] == "cannot_tell", id_
    # What a look settles stays settled.
    assert verdicts["storage"] == "meets"
    assert all(value.assumed for value in result.values.values())


def test_a_doubted_figure_of_the_nameplate_cannot_be_read() -> None:
    made = without_doubted(job(sound()), {"transformer.kva"})
    assert made.transformer.primary_volts == 480
    with pytest.raises(Missing) as missing:
        _ = made.transformer.kva
    assert missing.value.path == "transformer.kva"


def test_rounding_on_a_nameplate_is_no_contradiction() -> None:
    # 75 kVA: 90.2 A at 480 V (fixtures/published/full_load_current.yaml); plates print 90 or 90.21
    for printed in (90, 90.2, 90.21, 91):
        made = job(with_facts(sound(), transformer__nameplate_primary_amperes=printed))
        assert not contradictions(made)


@pytest.mark.parametrize(
    ("between", "to_neutral", "clash"),
    [
        # geometry: halves add up; three lines and their neutral are points of a plane
        ([240], [114.5, 114.5], True),
        ([240], [118, 121], False),
        ([240], [60, 180], False),
        ([240], [240, 240], False),
    ],
)
def test_halves_add_up_and_what_is_far_off_speaks_for_itself(between, to_neutral, clash) -> None:
    made = job(
        with_facts(
            single_phase(),
            readings__line_to_line_volts=between,
            readings__line_to_neutral_volts=to_neutral,
        )
    )
    assert bool(contradictions(made)) is clash


def test_a_displaced_neutral_and_a_danger_between_the_lines_are_no_contradiction() -> None:
    for between, to_neutral in (
        ([208, 208, 208], [126, 114.2, 120]),
        ([480, 480, 480], [120, 120, 120]),
        ([208, 120, 120], [120, 120, 120]),
        ([209, 208, 207], [120, 121, 120]),
        ([208, 208], [126, 126, 126]),
    ):
        made = job(
            with_facts(
                sound(),
                readings__line_to_line_volts=between,
                readings__line_to_neutral_volts=to_neutral,
            )
        )
        assert not contradictions(made), (between, to_neutral)
