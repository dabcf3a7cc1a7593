"""Files that chargers and loggers write: received, matched, read piece by piece into the log."""
