"""The API of builds."""
