"""Stroke: the pattern of a stroke as data. It knows no fault."""
