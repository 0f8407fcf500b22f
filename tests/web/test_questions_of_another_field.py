"""The questions of another field, which try the screen, say nothing that the engine does not say."""

import json

from engine.interfaces.messages import PurposeOffered, Questions
from web.build.tools import ROOT

FIXTURE = ROOT / "fixtures" / "other_domain" / "questions.json"


def test_the_screen_gets_no_field_from_a_fixture_that_the_contract_lacks() -> None:
    said = json.loads(FIXTURE.read_text(encoding="utf-8"))
    # Other fields have other purposes, and may have nothing that comes in runs.
    names = PurposeOffered.model_fields["id"].annotation.__args__
    for number, purpose in enumerate(said["purposes"]):
        purpose["id"] = names[number]
    assert "further_runs" not in said
    runs = {"name": "", "title": "", "text": "", "most": 0, "path": "", "places": {}}
    said["further_runs"] = {**runs, "questions": [], "translations": {}}
    assert len(Questions.model_validate(said).questions) > 5
