"""What we own."""
