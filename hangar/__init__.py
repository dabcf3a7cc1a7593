"""The tool itself: settings, addresses, people and clubs, quantities, the command."""
