"""Forms of the inventory, one file for each thing that is written."""
