"""The correction notice cites the section of every conflict, and says what was required and found."""

from conftest import Printed

from engine.report import correction_notice


def test_each_conflict_has_section_required_found_and_remedy(bonded: Printed) -> None:
    result = bonded(
        bonding__system_bonding_jumper__location="both",
        bonding__supply_side_bonding_jumper__size="6",
        observations__ventilation_clear=False,
    )
    text = correction_notice(result)
    broken = [check for check in result.checks if check.verdict == "does_not_meet" and check.asked]
    assert len(broken) >= 3
    for check in broken:
        start = text.index(f". {check.title} (")
        item = text[start:].split("\n\n")[0]
        for label, said in (
            ("Section", check.section),
            ("Required", check.required),
            ("Found", check.found),
            ("To correct", check.remedy),
        ):
            assert f"{label}: {' '.join(said.split())}" in item, (check.id, label)


def test_the_sections_cited_are_those_of_the_published_code(bonded: Printed) -> None:
    # Source: NFPA 70, National Electrical Code, 2023: 250.30(A)(1) one jumper, 250.30(A)(2) supply-side bonding
    # jumper, 250.142(B) no grounded conductor on the load side, 450.9 ventilation.
    text = correction_notice(
        bonded(
            bonding__system_bonding_jumper__location="both",
            bonding__supply_side_bonding_jumper__size="6",
            bonding__neutral_bonded_downstream=True,
            observations__ventilation_clear=False,
        )
    )
    for section in ("250.30(A)(1)", "250.30(A)(2)", "250.142(B)", "450.9"):
        assert f"Section: {section}\n" in text
    assert "National Electrical Code, 2023 edition" in text


def test_without_a_conflict_it_says_only_that_none_was_found(bonded: Printed) -> None:
    text = correction_notice(bonded())
    assert "No conflict was found in what was looked at." in text
    assert "Not determined at this visit" in text
    assert "To correct" not in text


def test_advice_and_what_was_seen_beside_the_visit_stand_apart(bonded: Printed) -> None:
    result = bonded(purpose="grounding", observations__ventilation_clear=False)
    text = correction_notice(result)
    beside = [
        check for check in result.checks if check.verdict == "does_not_meet" and not check.asked
    ]
    assert beside
    assert text.index("Also seen, outside the purpose of this visit:") < text.index(beside[0].title)


def test_advice_is_said_to_require_nothing(bonded: Printed) -> None:
    text = correction_notice(
        bonded(
            primary__device__kind="breaker",
            primary__device__instantaneous_multiple=6,
            bonding__system_bonding_jumper__location="none",
            bonding__system_bonding_jumper__size=None,
            bonding__system_bonding_jumper__material=None,
        )
    )
    corrections, advice = text.split("Advice, no correction required by the code:")
    advice = advice.split("Not determined at this visit")[0]
    assert "Required: " in corrections and "To correct: " in corrections
    assert "Advised: " in advice and "What would help: " in advice
    assert "Required: " not in advice and "To correct: " not in advice and "(advice)" not in advice


def test_line_breaks_in_a_text_cannot_forge_a_line_of_the_notice(bonded: Printed) -> None:
    job = bonded().job.model_copy(update={"place": "Room 1\nPermit: forged\u2028x", "permit": ""})
    text = correction_notice(bonded().model_copy(update={"job": job}))
    assert not [line for line in text.splitlines() if line.startswith("Permit:")]


def test_answers_that_contradict_each_other_are_named_with_the_reason(bonded: Printed) -> None:
    assert "contradict each other" not in correction_notice(bonded())
    # One main device and two mains ahead of one bus: the words of the two answers exclude each other.
    result = bonded(secondary__panelboard__fed_by_two_mains=True)
    [clash] = result.contradictions
    text = correction_notice(result)
    item = text[text.index("contradict each other") :].split("\n\n")[1]
    assert clash.why in item
    assert len(clash.facts) == 2
    for fact in clash.facts:
        assert f"{fact.label}: {fact.shown}" in item
