"""`python -m web.build.lint`: the checkers that run under Node.

Pyright on all Python but the tests themselves; on the web prettier, and knip, which finds exports and files that nothing uses.
"""

import sys

from web.build.tools import ROOT, WEB, BuildError, node, npm_install

FORMATTED = (
    "../service_worker/*.{ts,html}",
    "*.{ts,tsx,css,html,json}",
    "build/*.mjs",
    "{jobs,offline,parts,screens,session,wizard,words,worker}/**/*.{css,json,ts,tsx}",
)


def main() -> int:
    """Runs them all and prints what they found."""
    npm_install()
    bad = 0
    for arguments, folder in (
        ((WEB / "node_modules" / "pyright" / "index.js",), ROOT),
        ((WEB / "node_modules" / "prettier" / "bin" / "prettier.cjs", "--check", *FORMATTED), WEB),
        ((WEB / "node_modules" / "knip" / "bin" / "knip.js",), WEB),
    ):
        try:
            node(*arguments, cwd=folder)
        except BuildError as problem:
            print(problem, file=sys.stderr)
            bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main())
