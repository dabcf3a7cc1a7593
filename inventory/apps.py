"""The inventory app."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    """What we own: data sheets, parts, places, packs and the pool."""

    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Settle what a person shares with a club when they leave it."""
        from hangar.clubs.operations import LEAVING
        from inventory.operations.leaving import settle_leaver

        LEAVING.append(settle_leaver)
