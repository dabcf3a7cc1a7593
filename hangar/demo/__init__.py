"""The demo: a club, its members and their aircraft, made through the operations."""

from hangar.demo.load import Account, load

__all__ = ("Account", "load")
