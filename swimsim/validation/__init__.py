"""Validation: where truth and findings meet. How well the blind reader recovers what was set."""
