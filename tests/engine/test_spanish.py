"""The Spanish words of the wizard: complete, nothing left over, figures and letters untouched, the trade's terms."""

import gettext
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.interfaces.messages import Questions
from engine.wizard.answers import ANSWER_WORDS
from engine.wizard.walk import questions
from engine.wizard.words import MalformedCatalogue, catalogue_of, read_catalogue, with_translations

PLAIN = questions()
WORDS = catalogue_of("es")
FILE = Path(__file__).resolve().parents[2] / "engine" / "wizard" / "words" / "es.po"
HEADER = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n'

# Choices that stay as they are: insulation and raceway letters, sizes, years. They are printed so on the product.
UNCHANGED = re.compile(r"[A-Z]{2,4}W?(-2)?|\d+(-\d/\d|/\d|\.\d+)?")


def _texts() -> Iterator[tuple[str, str]]:
    """Where a text is shown, and the text."""
    for kind in ("purposes", "groups"):
        for item in PLAIN[kind]:
            for key in ("title", "text"):
                yield f"{kind} {item['id']} {key}", item[key]
    for question in (*PLAIN["questions"], *PLAIN["further_runs"]["questions"]):
        for key in ("label", "ask", "help"):
            yield f"{question['path']} {key}", question[key]
        for choice in question["choices"]:
            yield f"{question['path']} choice", choice["label"]
    for several in PLAIN["together"]:
        for key in ("ask", "help"):
            yield f"{several['id']} {key}", several[key]
        for choice in several["choices"]:
            yield f"{several['id']} choice", choice["label"]
    for key in ("name", "title", "text"):
        yield f"further runs {key}", PLAIN["further_runs"][key]
    for number, limit in enumerate(PLAIN["limits"]):
        yield f"limit {number}", limit["text"]


TEXTS = list(_texts())


def test_every_text_of_the_wizard_is_in_spanish_or_unchanged_on_purpose() -> None:
    missing = [
        (place, text)
        for place, text in TEXTS
        if text and text not in WORDS and not (" choice" in place and UNCHANGED.fullmatch(text))
    ]
    assert not missing, f"add to engine/wizard/words/es.po: {missing}"


def test_what_is_unchanged_is_no_word_of_an_answer() -> None:
    letters = {v for v in ANSWER_WORDS.values() if UNCHANGED.fullmatch(v)}
    assert not letters, f"{letters} are words and need an entry"


def test_no_entry_is_orphaned() -> None:
    shown = {text for _, text in TEXTS}
    assert not [english for english in WORDS if english not in shown]


# Numbers, bracketed units, abbreviations and marks in capitals, units of length: what a reader compares with the product.
FIGURES = re.compile(
    r"\d+(?:[./]\d+)*R?|\[[^\]]+\]|%Z|\b(?:[A-Z]+-)?[A-Z]+\d*(?:-\d+)?\b|\b(?:in\.|ft|kcmil|kVA|Ir)(?!\w)"
)


def _figures(text: str) -> Counter[str]:
    # A single capital is a word in one language ("A wire") and a terminal or a phase in the other.
    found = (match for match in FIGURES.findall(text))
    return Counter(one for one in found if len(one) > 1 or one.isdigit())


@pytest.mark.parametrize("english", sorted(WORDS))
def test_figures_units_and_letters_are_the_same_in_both(english: str) -> None:
    assert _figures(WORDS[english]) == _figures(english)


def test_the_figures_looked_for_are_found() -> None:
    shown = _figures("K-13 at 112.5 kVA, 3/0 AWG, 24 in. or 120/240 [V dc], AA-8000, X0, 3R, %Z")
    assert set(shown) == {
        *("K-13", "112.5", "kVA", "3/0", "AWG", "24", "in.", "120/240", "[V dc]", "AA-8000", "X0"),
        *("3R", "%Z"),
    }


def test_questions_and_sentences_keep_their_form() -> None:
    for english, spanish in WORDS.items():
        assert spanish.startswith("¿") == english.endswith("?") == spanish.endswith("?"), english
        assert english.endswith(".") == spanish.endswith("."), english
        assert spanish[0].isupper() or spanish[0] in "¿", spanish
        assert spanish == spanish.strip() and "  " not in spanish, spanish


# The terms of the code in Spanish. NTC: Norma Técnica Colombiana 2050, section 250.30, the code in Spanish;
# the others are common practice, no source.
TERMS = {
    "system bonding jumper": "puente de unión del sistema",  # NTC 2050, 250.30(A)(1)
    "grounding electrode conductor": "conductor del electrodo de puesta a tierra",  # NTC 2050, 250.30(A)
    "first disconnect": "primer medio de desconexión",  # NTC 2050, 250.30(A)(1)
    "grounded conductor": "puesto a tierra",  # NTC 2050, 250.30(A)(1): conductor puesto a tierra
    "enclosure": "envolvente",  # NTC 2050, 250.30(A)(1), exception 1
    "electrode conductor": "conductor del electrodo",
    "supply-side bonding jumper": "puente de unión del lado de la alimentación",
    "equipment grounding conductor": "conductor de puesta a tierra de equipos",
    "panelboard": "tablero de distribución",
    "voltage drop": "caída de tensión",
    "fault current": "corriente de falla",
    "interrupting rating": "capacidad de interrupción",
    "trade size": "tamaño comercial",
    "lugs": "zapatas",
    "nipple": "niple",
    "insulation letters": "letras de aislamiento",
    "ungrounded": "no puest",
    "bonding jumper": "puente de unión",
    "single-phase": "monofásico",
    "transformer": "transformador",
    "primary": "primario",
    "secondary": "secundario",
}
TERM_WORDS = {
    # The plural of the term, or a pronoun where Spanish needs no noun.
    "Grounded conductors in parallel": "conductores puestos a tierra",
    "How many grounded conductors in parallel?": "conductores puestos a tierra",
}


@pytest.mark.parametrize("term", sorted(TERMS))
def test_a_term_of_the_code_is_always_the_same_term(term: str) -> None:
    held = [english for english in WORDS if re.search(rf"\b{term}\b", english, re.IGNORECASE)]
    assert held, f"no text speaks of {term} any more"
    for english in held:
        wanted = TERM_WORDS.get(english, TERMS[term])
        assert wanted in WORDS[english].lower(), f"{english} = {WORDS[english]}"


def test_grounded_and_grounding_are_never_confused() -> None:
    for english, spanish in WORDS.items():
        if (
            re.search(r"grounded conductor", english, re.IGNORECASE)
            and "grounding" not in english.lower()
        ):
            assert "de puesta a tierra" not in spanish.lower(), english
        if (
            re.search(r"grounding conductor", english, re.IGNORECASE)
            and "grounded" not in english.lower()
        ):
            assert not re.search(r"conductor(es)? puestos? a tierra", spanish, re.IGNORECASE), (
                english
            )


def test_different_questions_never_get_the_same_label() -> None:
    labels: dict[str, set[str]] = {}
    for question in (*PLAIN["questions"], *PLAIN["further_runs"]["questions"]):
        labels.setdefault(WORDS[question["label"]], set()).add(question["label"])
    assert not {spanish: english for spanish, english in labels.items() if len(english) > 1}


def test_choices_of_one_question_stay_apart() -> None:
    for question in with_translations(PLAIN)["questions"]:
        translated = question["translations"]["es"]["choices"]
        shown = [translated.get(str(c["value"]), c["label"]) for c in question["choices"]]
        assert len(set(shown)) == len(shown), question["path"]


def test_the_wizard_written_out_carries_the_translations_and_keeps_the_english() -> None:
    written: dict[str, Any] = with_translations(PLAIN)
    Questions.model_validate(written)
    system = next(q for q in written["questions"] if q["path"] == "transformer.secondary_system")
    assert system["label"] == "Secondary connection"
    words = system["translations"]["es"]
    assert words["label"] == "Conexión del secundario"
    assert words["choices"]["wye_4_wire"] == "Estrella, 4 hilos"
    insulation = next(
        q for q in written["questions"] if q["path"] == "primary.conductors.insulation"
    )
    assert insulation["translations"]["es"]["choices"] == {}
    assert written["groups"][0]["translations"]["es"]["title"] == "Placa de datos"
    for kind in ("purposes", "groups", "questions", "together", "limits"):
        for item in written[kind]:
            del item["translations"]
    for item in (written["further_runs"], *written["further_runs"]["questions"]):
        del item["translations"]
    assert written == PLAIN


@pytest.mark.skipif(not shutil.which("msgfmt"), reason="GNU gettext is not on this machine")
def test_gettext_itself_reads_the_same_catalogue(tmp_path: Path) -> None:
    compiled = tmp_path / "es.mo"
    subprocess.run(["msgfmt", "-o", compiled, FILE], check=True)
    with compiled.open("rb") as file:
        read = gettext.GNUTranslations(file)
    assert {english: read.gettext(english) for english in WORDS} == WORDS


TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=["C", "Z"], include_characters=' "\\\n\t')
)


def _quoted(text: str) -> str:
    for plain, escaped in (("\\", "\\\\"), ('"', '\\"'), ("\n", "\\n"), ("\t", "\\t")):
        text = text.replace(plain, escaped)
    return f'"{text}"'


@given(st.dictionaries(TEXT.filter(bool), TEXT.filter(str.strip), max_size=5), st.integers(0, 9))
def test_what_is_written_by_the_rules_of_gettext_is_read_back(
    words: dict[str, str], cut: int
) -> None:
    body = "".join(
        f"#: somewhere\nmsgid {_quoted(en)}\nmsgstr {_quoted(es[:cut])}\n{_quoted(es[cut:])}\n\n"
        for en, es in words.items()
    )
    assert read_catalogue(f"{HEADER}\n{body}") == words


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ('msgid "a"\nmsgstr ""\n', "no translation"),
        ('msgid "a"\nmsgstr " "\n', "no translation"),
        ('msgid "a"\n', "no translation"),
        ('msgid "a"\nmsgid "b"\nmsgstr "c"\n', "no msgstr"),
        ('msgstr "c"\n', "without a msgid"),
        ('msgid "a"\n\nmsgstr "c"\n', "without a msgid"),
        ('msgid "a"\nmsgstr "b"\nmsgstr "c"\n', "without a msgid"),
        ('msgid "a"\nmsgstr "b"\n\n"c"\n', "belongs to nothing"),
        ('msgid "a"\nmsgstr "b"\nmsgid "a"\nmsgstr "c"\n', "twice"),
        ('msgid "a"\nmsgid_plural "as"\nmsgstr[0] "b"\n', "not a msgid"),
        ('msgctxt "x"\nmsgid "a"\nmsgstr "b"\n', "not a msgid"),
        ('msgid "a"\nmsgstr "b\n', "not a msgid"),
        ('msgid "a"\nmsgstr "b" c\n', "not a msgid"),
        ('msgid "a"\nmsgstr "b"c"\n', "not a msgid"),
        ('msgid "a"\nmsgstr "\\x"\n', "not a msgid"),
        ("msgid a\nmsgstr b\n", "not a msgid"),
        ('#, fuzzy\nmsgid "a"\nmsgstr "b"\n', "finish or remove"),
        ('#~ msgid "a"\n#~ msgstr "b"\n', "finish or remove"),
    ],
)
def test_a_malformed_catalogue_is_refused(wrong: str, why: str) -> None:
    with pytest.raises(MalformedCatalogue, match=why):
        read_catalogue(f"{HEADER}\n{wrong}")


def test_a_catalogue_without_its_header_is_refused() -> None:
    with pytest.raises(MalformedCatalogue, match="charset"):
        read_catalogue('msgid "a"\nmsgstr "b"\n')
