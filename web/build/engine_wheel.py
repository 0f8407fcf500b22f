"""`python -m web.build.engine_wheel [FOLDER]`: builds the engine's wheel from pyproject.toml."""

import argparse
import shutil
import sys
import tempfile
from pathlib import Path

from web.build.tools import ROOT, BuildError, checked


def engine_wheel(folder: Path) -> Path:
    """Puts the engine's wheel into a folder. Raises BuildError with what pip said.

    Needs no network: what builds it is installed already.
    """
    with tempfile.TemporaryDirectory() as copied:
        # setuptools leaves what it has built beside the sources, and would pack it again the next time.
        source = Path(copied)
        for name in ("pyproject.toml", "README.md"):
            shutil.copy(ROOT / name, source)
        shutil.copytree(
            ROOT / "engine", source / "engine", ignore=shutil.ignore_patterns("__pycache__")
        )
        made = source / "made"
        pip = (sys.executable, "-m", "pip", "wheel", "--quiet", "--disable-pip-version-check")
        alone = ("--no-deps", "--no-build-isolation", "--no-index", "--wheel-dir", str(made))
        checked([*pip, *alone, str(source)])
        (wheel,) = made.glob("*.whl")
        folder.mkdir(parents=True, exist_ok=True)
        return Path(shutil.copy(wheel, folder))


def main() -> int:
    """Builds it where the command line says."""
    parser = argparse.ArgumentParser(prog="python -m web.build.engine_wheel", description=__doc__)
    parser.add_argument("folder", type=Path, nargs="?", default=ROOT / "dist")
    try:
        print(f"Built {engine_wheel(parser.parse_args().folder)}")
    except BuildError as problem:
        print(problem, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
