"""Who works here, how they sign in, and who may do what."""
