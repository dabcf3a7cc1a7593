"""Commands of the inventory."""
