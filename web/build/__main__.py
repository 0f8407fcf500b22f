"""`python -m web.build [--engine FOLDER] [--out FOLDER]`: builds the static folder."""

import argparse
import sys
from pathlib import Path

from web.build import parts, python_parts, screen
from web.build.assemble import assemble, write
from web.build.tools import ROOT, WEB, BuildError, npm_install, one_build_at_a_time


def build(*, engine: Path = ROOT / "engine", out: Path = WEB / "dist") -> Path:
    """Builds the static folder from an engine folder. Raises BuildError, said for people."""
    with one_build_at_a_time():
        npm_install()
        parts.check_pyodide()
        screen.generate(engine)
        screen.check_types()
        python = python_parts.build_python(engine)
        write(assemble(screen.bundle(), python), out)
    return out


def main() -> int:
    """Builds as the command line says."""
    parser = argparse.ArgumentParser(prog="python -m web.build", description=__doc__)
    parser.add_argument("--engine", type=Path, default=ROOT / "engine")
    parser.add_argument("--out", type=Path, default=WEB / "dist")
    chosen = parser.parse_args()
    try:
        out = build(engine=chosen.engine.resolve(), out=chosen.out.resolve())
    except BuildError as problem:
        print(problem, file=sys.stderr)
        return 1
    print(f"Built {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
