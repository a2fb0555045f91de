"""Where things stand in our drawings: pure layout from plain values, drawn by templates."""
