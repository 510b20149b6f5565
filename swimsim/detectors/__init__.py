"""Detectors: one rule for each fault, from measures and the limits of `shared/definitions.toml`.

They see a reading and nothing else, and never the side that made the stroke.
"""

from .judge import clip_finding, detect
from .rules import Rule, rules

__all__ = ["Rule", "clip_finding", "detect", "rules"]
