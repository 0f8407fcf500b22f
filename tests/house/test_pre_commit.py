"""What runs before a commit is what `dev.py test` runs, in the versions that the lock files pin."""

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[2]
CONFIG = ROOT / ".pre-commit-config.yaml"
REPOSITORIES = yaml.safe_load(CONFIG.read_text())["repos"]
HOOKS = [hook for repository in REPOSITORIES for hook in repository["hooks"]]


@pytest.fixture
def dev():
    found = importlib.util.spec_from_file_location("dev", ROOT / "dev.py")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


def test_pre_commit_takes_the_file() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pre_commit", "validate-config", CONFIG],
        check=False,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_check_has_its_hook_and_no_hook_fetches_anything(dev) -> None:
    assert {repository["repo"] for repository in REPOSITORIES} == {"local"}
    assert {hook["language"] for hook in HOOKS} == {"system"}
    assert [hook["id"] for hook in HOOKS] == list(dev.LINT)
    assert [hook["entry"] for hook in HOOKS] == [f"python3 dev.py lint {name}" for name in dev.LINT]


def test_lint_and_test_run_the_same_checks_and_go_on_after_one_that_failed(dev, monkeypatch):
    calls = []
    monkeypatch.setattr(dev, "environment", lambda lock: None)
    monkeypatch.setattr(dev, "python", lambda *call, check=True: calls.append(call) or 1)
    with pytest.raises(dev.Stop, match=r"ruff-check, ruff-format, under-node\."):
        dev.lint([])
    assert calls == list(dev.LINT.values())
    linted, calls[:] = calls[:], []
    with pytest.raises(dev.Stop, match="ruff-check, ruff-format, under-node, build and types"):
        dev.test(["--quick"])
    assert calls[: len(linted)] == linted
    with pytest.raises(dev.Stop, match="There are ruff-check"):
        dev.lint(["no-such"])
