"""The builds app."""

from django.apps import AppConfig


class BuildsConfig(AppConfig):
    """What we make of the parts: builds, their figures and findings."""

    name = "builds"
    default_auto_field = "django.db.models.BigAutoField"
