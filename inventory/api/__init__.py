"""The API of the inventory."""
