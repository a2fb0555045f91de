"""Power, batteries, stands, booms, wind: pure functions on numbers and arrays."""
