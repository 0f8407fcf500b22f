"""Citations by edition: what changed, and what may not be printed."""

import pytest

from engine.code import EDITIONS, UnknownEdition, code_for
from engine.code.lookups import NO_SUCH_RULE, NOT_CONFIRMED


@pytest.mark.parametrize(
    ("cite_id", "edition", "section"),
    [
        # source: EC&M electrical connections (2023) and IAEI Magazine on the reorganization of Article 310
        ("ampacity_table", 2017, "Table 310.15(B)(16)"), ("ampacity_table", 2020, "Table 310.16"),
        # source: Electrical License Renewal QID=1460; electriciantalk.com
        ("no_load_side_neutral_connection", 2020, "250.24(A)(5)"), ("no_load_side_neutral_connection", 2023, "250.24(B)"),
        # source: Electrical License Renewal sectionID=270.1; EC&M code quiz 55355490
        ("parallel_conductors", 2017, "310.10(H)"), ("parallel_conductors", 2020, "310.10(G)"),
        # source: Electrical License Renewal sectionID=797; 2017 NEC change guide, captaincode2017.leviton.com
        ("terminal_torque", 2014, "110.3(B)"), ("terminal_torque", 2017, "110.14(D)"),
        # source: Electrical License Renewal sectionID=2001
        ("in_sight", 2020, "Article 100, In Sight From"), ("in_sight", 2023, "110.29"),
        # source: Mike Holt forum 2577373; Electrical License Renewal sectionID=1888
        ("electrode_conductor_openings", 2020, NO_SUCH_RULE), ("electrode_conductor_openings", 2023, "250.64(G)"),
        # source: Electrical License Renewal sectionID=915 and sectionID=1934
        ("panelboard_short_circuit_rating", 2017, "110.9 and 110.10"), ("panelboard_short_circuit_rating", 2026, "408.6"),
        # source: Electrical License Renewal sectionID=1949
        ("transformer_grounding_terminal", 2023, "450.10(A)"), ("transformer_grounding_terminal", 2026, "450.12(A)"),
        # source: Electrical License Renewal sectionID=1841; first-draft newsletter, naylornetwork.com aid=841704
        ("load_calculation", 2023, "Article 220"), ("load_calculation", 2026, "Article 120"),
    ],
)  # fmt: skip
def test_section_numbers_that_moved(cite_id: str, edition: int, section: str) -> None:
    assert code_for(edition).cite(cite_id).section == section


def test_of_article_450_in_2026_only_one_number_is_printed() -> None:
    # source: research notes; one public page gives 450.12(A), no page gives any other 2026 number of Article 450
    old, new = code_for(2023), code_for(2026)
    cited = [cite_id for cite_id in old.lookups["sections"] if "450." in old.cite(cite_id).section]
    assert len(cited) >= 15
    assert [cite_id for cite_id in cited if new.cite(cite_id).confirmed] == [
        "transformer_grounding_terminal"
    ]


def test_what_is_not_confirmed_is_never_printed_as_a_number() -> None:
    # source: owner's rule, unknown never passes
    for edition in EDITIONS:
        for cite_id in code_for(edition).lookups["sections"]:
            citation = code_for(edition).cite(cite_id)
            assert citation.confirmed == (citation.section != NOT_CONFIRMED)
            assert citation.exists == (citation.section != NO_SUCH_RULE)
            assert citation.title
            if not citation.confirmed:
                assert not any(character.isdigit() for character in citation.section)


def test_up_to_2023_every_rule_has_a_number_or_does_not_exist() -> None:
    # source: property of sections.csv
    for edition in (e for e in EDITIONS if e <= 2023):
        assert all(
            code_for(edition).cite(cite_id).confirmed
            for cite_id in code_for(edition).lookups["sections"]
        )


def test_an_unknown_cite_id_is_a_programmers_error() -> None:
    with pytest.raises(KeyError):
        code_for(2023).cite("no_such_rule")


@pytest.mark.parametrize("edition", [2008, 2011, 2015, EDITIONS[-1] + 3, 0, "2023", None])
def test_an_edition_outside_the_tool_is_refused(edition: object) -> None:
    with pytest.raises(UnknownEdition, match="outside this tool"):
        code_for(edition)  # type: ignore[arg-type]
