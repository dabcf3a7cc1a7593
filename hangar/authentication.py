"""Who sends a request to the API with a key."""

from typing import Any

from django.utils import timezone
from knox.auth import TokenAuthentication


class KeyAuthentication(TokenAuthentication):
    """A key in the Authorization header.

    Only the key that is sent is looked at: the library would also read all others of the person
    at every request and delete those that have ended.
    """

    def _cleanup_token(self, auth_token: Any) -> bool:
        return auth_token.expiry is not None and auth_token.expiry < timezone.now()
