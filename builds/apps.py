"""The builds app."""

from django.apps import AppConfig


class BuildsConfig(AppConfig):
    """What we make of the parts: builds, their figures and findings."""

    name = "builds"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Ask for fitted parts of a club when a person leaves it."""
        from builds.operations.leaving import refuse_fitted
        from hangar.clubs.operations import LEAVING

        LEAVING.append(refuse_fitted)
