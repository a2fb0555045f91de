"""What to do about a gap: substitutes, and what each costs. Pure, like the checks."""
