"""People and clubs."""
