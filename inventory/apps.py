"""The inventory app."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    """What we own: data sheets, parts, places, packs and the pool."""

    name = "inventory"
    default_auto_field = "django.db.models.BigAutoField"
