"""Building and running the environment: standard library only, until the environment stands."""
