"""Scenario: reads a file of plain words and plays the making side."""
