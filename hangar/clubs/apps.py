"""The people and clubs app."""

from django.apps import AppConfig


class ClubsConfig(AppConfig):
    """People, clubs, memberships and invitations."""

    name = "hangar.clubs"
    label = "clubs"
    verbose_name = "People and clubs"
