"""Runs the tests of the wizard and of the store under Node, without a browser."""

import os
from pathlib import Path

import pytest

from tests.web.bundle import bundled_store, bundled_test
from web.build.tools import ROOT, checked, environment, node, npm_install

TESTS = sorted(Path(__file__).parent.glob("*.test.ts"))


@pytest.mark.parametrize("source", TESTS, ids=lambda path: path.stem)
def test_under_node_it_does_what_its_tests_say(source: Path, tmp_path: Path) -> None:
    npm_install()
    bundle = bundled_test(source, tmp_path)
    store = bundled_store(tmp_path / "store.js")
    settings = {**environment(), "FIXTURES": str(ROOT / "fixtures"), "STORE": str(store)}
    settings.pop("NODE_TEST_CONTEXT", None)
    assert os.access(bundle, os.R_OK)
    done = checked(["node", "--test", str(bundle)], cwd=tmp_path, env=settings)
    assert "# fail 0" in done.stdout
    assert "# pass 0" not in done.stdout


def test_the_words_of_every_language_are_complete_and_keep_their_places() -> None:
    check = """
    import { readFileSync } from "node:fs";
    const [english, ...others] = ["en", "es"].map((name) =>
      JSON.parse(readFileSync(`words/${name}.json`, "utf8")));
    const places = (text) => (text.match(/\\{\\w+\\}/g) ?? []).sort().join();
    for (const other of others) {
      for (const word of Object.keys(english)) {
        if (!other[word]?.trim()) throw new Error(`missing: ${word}`);
        if (places(other[word]) !== places(english[word])) throw new Error(`places: ${word}`);
      }
      for (const word of Object.keys(other))
        if (!(word in english)) throw new Error(`not in English: ${word}`);
    }
    """
    assert node("--input-type=module", "--eval", check).stderr == ""
