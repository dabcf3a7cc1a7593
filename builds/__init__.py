"""What we make of it."""
