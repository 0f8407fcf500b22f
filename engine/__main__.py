"""`python -m engine`: the command line, with the audit of a fleet behind one of its calls."""

import argparse
from collections.abc import Sequence

from engine.interfaces.command_line import run


def _audit(args: argparse.Namespace) -> int:
    from engine.fleet.audit import audit  # noqa: PLC0415  (no other call needs process pools)

    return audit(args)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one call and give its exit code. Unit: none. Section: none."""
    return run(arguments, audit=_audit)


if __name__ == "__main__":
    raise SystemExit(main())
