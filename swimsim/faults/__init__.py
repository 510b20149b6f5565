"""Faults: each one maps a pattern to a pattern. They set targets and compute no position."""
