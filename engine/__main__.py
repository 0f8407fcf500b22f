"""`python -m engine`: the command line of `engine.interfaces.command_line`."""

from engine.interfaces.command_line import main

if __name__ == "__main__":
    raise SystemExit(main())
