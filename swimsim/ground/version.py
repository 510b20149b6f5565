"""Version of the package; the same as in `pyproject.toml`."""

VERSION = "0.1.0"
