"""Prints the wizard's questions as a Python module, so that the phone need not make them from the job model."""

from engine.wizard.walk import compiled_source

if __name__ == "__main__":
    print(compiled_source(), end="")
