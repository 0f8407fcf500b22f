"""What is said beside the verdicts: facts, written questions, cautions, the drawing, numbers as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import evaluate
from engine.files.migrations import CURRENT, STEPS, UnknownFormat, migrate
from engine.job.missing import Missing, need, path_of
from engine.physics.quantities import (
    amperes,
    area_kcmil,
    at_most,
    feet,
    kiloamperes,
    number,
    percent,
    shown,
    size,
    square_inches,
    trade_size,
    volts,
)
from tests.engine.checked import checked
from tests.engine.examples import examples
from tests.engine.jobs import (
    FACTS,
    get,
    high_leg,
    job,
    nameplate,
    parallel,
    put,
    single_phase,
    sound,
    ungrounded_delta,
    with_facts,
)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (90.211, "90.21"),
        (208.1764, "208.2"),
        (1000, "1,000"),
        (1387.9, "1,388"),
        (12345.6, "12,346"),
        (1.5, "1.5"),
        (0.85, "0.85"),
        (0.0804, "0.0804"),
        (0.000123, "0.000123"),
        (float("inf"), "inf"),
        (112.5, "112.5"),
        (10, "10"),
    ],
)
def test_numbers_have_about_four_digits_and_no_idle_zeros(value, text) -> None:
    assert number(value) == text


@examples(200)
@given(st.floats(1e-3, 1e7))
def test_a_number_is_read_back_within_half_a_percent(value: float) -> None:
    assert float(number(value).replace(",", "")) == pytest.approx(value, rel=5e-3)


def test_units_are_shown_as_the_trade_writes_them() -> None:
    assert amperes(90.211) == "90.2 A"
    assert amperes(125) == "125 A"
    assert percent(25.51) == "25.5 %"
    assert kiloamperes(4626) == "4.63 kA"
    assert size("1/0", "copper") == "1/0 AWG copper"
    assert size("250") == "250 kcmil"
    assert size("4") == "4 AWG"
    assert area_kcmil(250) == "250 kcmil"
    assert volts(208) == "208 V"
    assert feet(25) == "25 ft"
    assert square_inches(0.5193) == "0.5193 in²"
    assert trade_size("1-1/2", "EMT") == "1-1/2 in. EMT"
    assert trade_size("2", "PVC40") == "2 in. PVC schedule 40"
    assert trade_size("2") == "2 in."
    assert shown(None, "A") == "not determined"
    assert shown("2", "trade size") == "2 in."
    assert shown("1/0", "AWG or kcmil") == "1/0 AWG"
    assert shown("x", "") == "x"
    assert shown(3.5, "A") == "3.5 A"
    assert shown(40.0, "%") == "40 %"
    assert shown(250.0, "kcmil") == "250 kcmil"
    assert shown(1.5, "ohm") == "1.5 ohm"


def test_a_limit_forgives_the_last_bits_and_no_more() -> None:
    assert at_most(0.1 + 0.2, 0.3)
    assert at_most(225.0, 225.0)
    assert not at_most(225.001, 225)
    assert at_most(0.0, 0.0)


def test_every_known_fact_is_listed_with_how_it_is_known() -> None:
    data = with_facts(sound())
    data["provenance"] = {"primary.device.rating": "told"}
    facts = {fact.path: fact for fact in evaluate(job(data)).facts}
    assert facts["primary.device.rating"].known == "told"
    assert facts["primary.device.rating"].shown == "125 A"
    assert facts["transformer.kva"].known == "read"
    for path in FACTS:
        if get(data, path) is not None and path in facts:
            assert facts[path].shown, path
    assert len(facts) > 150


def test_unknown_facts_are_not_listed() -> None:
    facts = evaluate(job(nameplate(75, 3, 480, 208))).facts
    assert {fact.path for fact in facts} == {
        "transformer.kva",
        "transformer.phases",
        "transformer.primary_volts",
        "transformer.secondary_volts",
    }


QUESTIONS = [
    # below full-load current (90.2 A): capacity cannot be used; common practice, no source
    (with_facts(sound(), primary__device__rating=70), ("70 A", "90.2 A", "cannot be used")),
    # below 125 %: may trip
    (with_facts(sound(), primary__device__rating=100), ("100 A", "112.8 A")),
    # above the limit alone: legal only with the secondary device
    (with_facts(sound(), primary__device__rating=200), ("200 A", "125 A", "secondary")),
    # inside the inrush band
    (with_facts(sound(), primary__device__instantaneous_multiple=6), ("inrush",)),
    # secondary device below full-load current
    (with_facts(sound(), secondary__protection__rating=150), ("150 A", "208.2 A")),
    # neutral smaller than the phases with electronic load
    (
        with_facts(
            sound(), observations__nonlinear_load=True, secondary__grounded_conductor__size="2"
        ),
        ("neutral", "2 AWG", "4/0 AWG"),
    ),
    # informational note to 215.2(A): 3 % for a feeder, 5 % in all
    (
        with_facts(sound(), secondary__conductors__length_feet=600),
        ("secondary run", "3 %", "5 %", "larger conductors"),
    ),
    # 450.11(B); Mike Holt forum thread 2566235
    (
        with_facts(
            sound(),
            transformer__primary_volts=208,
            transformer__secondary_volts=480,
            transformer__primary_system="wye_4_wire",
            transformer__secondary_system="delta_3_wire_ungrounded",
        ),
        ("208 V to 480 V", "X0 must not be bonded", "inrush"),
    ),
]


@pytest.mark.parametrize(("data", "words"), QUESTIONS)
def test_what_is_legal_and_unwise_draws_a_question_with_its_figures(data, words) -> None:
    texts = checked(job(data)).written_questions
    assert any(all(word in text for word in words) for text in texts), texts
    assert all("in writing" in text for text in texts)


def test_a_sound_job_draws_no_question_and_a_bare_one_none_either() -> None:
    assert checked(job(sound())).written_questions == []
    assert checked(job(nameplate(75, 3, 480, 208))).written_questions == []


def test_a_question_says_nothing_that_a_check_contradicts() -> None:
    def asked(word, data, **facts):
        return [t for t in checked(job(data, **facts)).written_questions if word in t]

    # Harmonics add up in the neutral of a wye alone.
    small = {"observations__nonlinear_load": True, "secondary__grounded_conductor__size": "6"}
    assert asked("Harmonic", sound(), **small)
    assert not asked("Harmonic", single_phase(), **small)
    # 4/0 AWG copper carries 230 A at 75 °C, 250 kcmil aluminum 205 A (Table 310.16): that neutral is not the smaller one.
    metals = {"secondary__conductors__size": "250", "secondary__conductors__material": "aluminum"}
    assert not asked("Harmonic", sound(), **metals, observations__nonlinear_load=True)
    # Fuses have no trip without delay.
    assert asked("inrush", sound(), primary__device__instantaneous_multiple=6)
    assert not asked(
        "inrush",
        sound(),
        primary__device__instantaneous_multiple=6,
        primary__device__kind="fuse",
    )
    # An equipment grounding conductor is called enough only where its own line does not fail, and a load carried only
    # where the device lets it through.
    light = {"primary__load__continuous_amperes": 60, "primary__load__noncontinuous_amperes": 0}
    assert asked("equipment grounding", sound(), **light)
    assert not asked(
        "equipment grounding", sound(), **light, primary__equipment_grounding__size="8"
    )
    assert not asked("equipment grounding", sound(), primary__load__noncontinuous_amperes=200)


def test_what_may_be_the_case_is_never_shown_as_found() -> None:
    # No possibility of the electrode in use is among those at the building, so each alone would be a misreading.
    data = with_facts(sound(), electrode__available=["rod"], electrode__used=None)
    check = {c.id: c for c in checked(job(data)).checks}["grounding_electrode"]
    assert check.verdict == "cannot_tell"
    assert check.found == "not known" and not check.required


def test_the_possible_answers_are_told_apart() -> None:
    data = with_facts(sound(), transformer__secondary_system=None)
    check = {c.id: c for c in checked(job(data)).checks}["system_bonding_jumper"]
    assert "wye, 4-wire / wye, 3-wire" in check.reason
    data = with_facts(sound(), primary__raceway__type=None, primary__raceway__trade_size="1-1/2")
    reasons = [c.reason for c in checked(job(data)).checks]
    assert not any("pVC" in reason for reason in reasons)


def test_how_many_are_a_danger_to_life_is_said_of_all_or_of_some() -> None:
    def text(**facts):
        # Bonds that are said to be back are a requirement of their own.
        return checked(job(sound(), replacement__bonds_refitted=None, **facts)).overall.text

    bar, bond = (
        {"observations__terminal_bar_used": False},
        {"observations__enclosure_bonded": False},
    )
    assert "1 requirement not met." in text(**bar)
    assert "1 requirement not met, a danger to life." in text(**bond)
    assert "2 requirements not met, 1 of them a danger to life." in text(**bar, **bond)
    downstream = {"bonding__neutral_bonded_downstream": True}
    assert "2 requirements not met, all of them a danger to life." in text(**bond, **downstream)


def test_an_ungrounded_system_lacks_no_bond() -> None:
    assert not any("bond is missing" in t for t in checked(job(ungrounded_delta())).cautions)
    two = with_facts(sound(), bonding__system_bonding_jumper__location="both")
    assert any("bond is missing or doubled" in t for t in checked(job(two)).cautions)


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"bonding__system_bonding_jumper__location": "none"}, "treat all metal as live"),
        ({"bonding__neutral_bonded_downstream": True}, "treat all metal as live"),
        ({"purpose": "replacement"}, "isolate both"),
        ({"transformer__primary_volts": 4160}, "above 1000 V"),
        ({"edition": 2026}, "2026 edition"),
        (
            {"transformer__autotransformer": None, "transformer__secondary_volts": 480},
            "autotransformer",
        ),
        ({"transformer__kva": 1, "secondary__class_1_2_3_circuits_only": None}, "1000 VA"),
        # Mike Holt forum thread 2566235 (X0 of the fed wye left open); electricallicenserenewal.com section 85 (inrush, taps)
        (
            {
                "transformer__primary_system": "wye_4_wire",
                "transformer__secondary_system": "delta_3_wire_ungrounded",
            },
            "leave X0 (or H0) of the fed wye open",
        ),
        ({"transformer__secondary_volts": 600}, "do not land the supply's neutral"),
        ({"transformer__secondary_volts": 600}, "expect more inrush"),
        # physics of a star without a neutral; from memory
        ({"transformer__primary_system": "wye_3_wire"}, "neutral point of the primary floats"),
        # common practice, no source
        ({"transformer__secondary_system": "delta_high_leg"}, "center tap of a high-leg delta"),
    ],
)
def test_cautions_stand_where_they_matter(facts, words) -> None:
    plain = with_facts(sound(), purpose="installation")
    assert not any(words in text for text in checked(job(plain)).cautions)
    assert any(words in text for text in checked(job(plain, **facts)).cautions)


def test_some_cautions_always_stand() -> None:
    text = " ".join(checked(job(nameplate(75, 3, 480, 208))).cautions)
    for words in (
        "qualified persons",
        "authority having jurisdiction",
        "no conflict was found",
        "open a cover",
    ):
        assert words in text


def test_the_drawing_follows_the_checks() -> None:
    result = checked(job(sound()))
    states = {check.id: check.verdict for check in result.checks}
    for part in result.drawing.parts:
        if part.id in states:
            assert part.state == states[part.id]
    assert result.drawing.jumper == "first_disconnect"
    assert checked(job(ungrounded_delta())).drawing.grounded is False
    assert checked(job(nameplate(75, 3, 480, 208))).drawing.grounded is None
    assert checked(job(parallel())).drawing.grounded is True


@pytest.mark.parametrize(
    ("base", "facts", "grounded", "jumper"),
    [
        # 250.20(B): 480Y/277 and a high-leg delta may stay ungrounded while no neutral is run, 208Y/120 may not
        (sound, {"transformer__secondary_volts": 480}, False, False),
        (high_leg, {"transformer__secondary_volts": 480}, False, False),
        (single_phase, {"transformer__secondary_volts": 480}, False, False),
        (sound, {}, False, True),
        (sound, {"bonding__system_bonding_jumper__location": "source"}, True, True),
    ],
)
def test_a_system_that_nothing_grounds_is_drawn_so(base, facts, grounded, jumper):
    left = {
        "secondary__grounded_conductor__present": False,
        "bonding__system_bonding_jumper__location": "none",
        **facts,
    }
    result = checked(job(base(), **left))
    assert result.drawing.grounded is grounded
    assert ("system_bonding_jumper_minimum" in result.values) is jumper


def test_a_missing_fact_is_named_by_the_way_to_it() -> None:
    read = lambda job: job.primary.device.rating  # noqa: E731
    assert path_of(read) == "primary.device.rating"
    with pytest.raises(Missing) as missing:
        need(job(nameplate(75, 3, 480, 208)), read)
    assert missing.value.path == "primary.device.rating"
    assert need(job(sound()), read) == 125


def test_formats_move_forward_step_by_step_or_not_at_all(monkeypatch) -> None:
    data = nameplate(75, 3, 480, 208)
    assert migrate(data) == (data, None)
    for found in ("platepath.job/2", None, 7, ""):
        with pytest.raises(UnknownFormat):
            migrate({**data, "format": found})
    monkeypatch.setitem(STEPS, "platepath.job/0", lambda old: {**old, "format": CURRENT})
    moved, came_from = migrate({**data, "format": "platepath.job/0"})
    assert came_from == "platepath.job/0"
    assert moved == data


def test_the_overall_answer_is_the_worst_of_its_parts_and_never_says_more() -> None:
    broken = checked(job(sound(), secondary__conductors__length_feet=30)).overall
    assert broken.verdict == "conflict_found"
    bare = checked(job(nameplate(75, 3, 480, 208))).overall
    assert bare.verdict == "not_determined"
    data = with_facts(sound(), purpose="installation")
    for path in FACTS:
        if path.startswith("readings."):
            put(data, path, None)
    whole = checked(job(data)).overall
    assert whole.verdict == "no_conflict_found"
    assert "No conflict found" in whole.text
    assert "authority" in whole.text


def test_advice_that_is_not_taken_is_counted_apart_from_what_is_not_met() -> None:
    # trips inside the usual inrush: legal, and advice only (common practice, no source)
    result = checked(job(sound(), primary__device__instantaneous_multiple=6))
    inrush = next(check for check in result.checks if check.id == "inrush")
    assert (inrush.verdict, inrush.severity) == ("does_not_meet", "advice")
    assert result.overall.verdict != "conflict_found"
    assert result.overall.counts["does_not_meet"] == 0
    assert result.overall.counts["advice_not_met"] == 1
    assert sum(result.overall.counts.values()) == sum(check.asked for check in result.checks)
