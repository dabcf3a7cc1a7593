"""Pages of builds, one file for each thing that is shown."""
