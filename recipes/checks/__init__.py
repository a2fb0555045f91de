"""One question a module; each answers with findings."""
