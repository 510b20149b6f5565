"""Swimmer: the body in numbers. It knows no stroke."""
