"""The inventory as JSON."""
