"""What the test suite needs before Django reads its settings."""
