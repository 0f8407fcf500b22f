"""Platepath's engine: what the electrical code asks of a transformer installation, held against what was found."""

__version__ = "1.0.0"

from engine.evaluation.evaluate import evaluate
from engine.job import Job
from engine.result import Result

__all__ = ["Job", "Result", "__version__", "evaluate"]
