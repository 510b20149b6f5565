"""Motion: pattern and body become joint positions in closed form, and the exact truth about them."""
