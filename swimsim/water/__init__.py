"""Water: forces on a moving body, its speed and its float. It knows no stroke and no fault."""
