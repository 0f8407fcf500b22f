"""`python -m web.build.lint`: the checkers that run under Node: pyright on the engine, prettier on the web."""

import sys

from web.build.tools import ROOT, WEB, BuildError, node, npm_install

FORMATTED = (
    "../service_worker/*.{ts,html}",
    "*.{ts,tsx,css,html,json}",
    "build/*.mjs",
    "{screens,parts,words}/**/*.{ts,tsx,json}",
)


def main() -> int:
    """Runs both and prints what they found."""
    npm_install()
    bad = 0
    for arguments, folder in (
        ((WEB / "node_modules" / "pyright" / "index.js",), ROOT),
        ((WEB / "node_modules" / "prettier" / "bin" / "prettier.cjs", "--check", *FORMATTED), WEB),
    ):
        try:
            node(*arguments, cwd=folder)
        except BuildError as problem:
            print(problem, file=sys.stderr)
            bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main())
