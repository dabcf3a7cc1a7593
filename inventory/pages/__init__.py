"""Pages of the inventory, one file for each thing that is shown."""
