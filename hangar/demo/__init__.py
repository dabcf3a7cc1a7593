"""The demo: a club, its members and their aircraft, made through the operations."""

from hangar.demo.loading import ACCOUNTS, Account, load

__all__ = ("ACCOUNTS", "Account", "load")
