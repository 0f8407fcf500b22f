"""Where the build has written the questions down, as on the phone, nothing that makes them is loaded."""

import subprocess
import sys

PHONE = """
import sys
from types import ModuleType

written = ModuleType("engine.wizard._compiled_questions")
question = {"path": "transformer.kva", "label": "Rated power", "kind": "number", "unit": "kVA", "group": "nameplate"}
written.CATALOGUE, written.OF_FURTHER_RUNS = (question,), ()
sys.modules[written.__name__] = written

from engine.interfaces.handle import handle
from engine.wizard.questions import question_at

assert '"failed"' not in handle('{"op": "check_answer", "path": "transformer.kva", "value": "75"}')
assert question_at("transformer.kva") is question
print(*(name for name in sys.modules if name.startswith("engine.wizard")))
"""


def test_the_phone_reads_questions_and_loads_nothing_that_makes_them() -> None:
    run = subprocess.run([sys.executable, "-c", PHONE], capture_output=True, text=True, check=True)
    assert set(run.stdout.split()) == {
        "engine.wizard",
        "engine.wizard._compiled_questions",
        "engine.wizard.answers",
        "engine.wizard.purposes",
        "engine.wizard.questions",
    }
