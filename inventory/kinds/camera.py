"""Data sheet of a camera."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import measure
from inventory.kinds.base import DataSheet


class Camera(DataSheet):
    """An on-board camera."""

    kind_name: ClassVar[str] = "camera"
    label: ClassVar[str] = "camera"
    label_plural: ClassVar[str] = "cameras"

    video_system = models.CharField(
        max_length=40,
        blank=True,
        help_text="Video system family: camera, unit and ground side must be of one",
    )
    video_standard = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("625/50", "625 lines, 50 Hz"),
            ("525/60", "525 lines, 60 Hz"),
            ("both", "either, by setting"),
            ("digital", "digital"),
        ),
        help_text="Lines and pictures a second",
    )
    lens_diameter_mm = measure("Lens diameter")
    field_of_view_deg = measure("Field of view", maximum=360)
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    current_ma = measure("Current drawn")
    lead_length_mm = measure("Length of the lead")
    plug = models.CharField(max_length=40, blank=True, help_text="Plug of the lead")
    hardware_revision = models.CharField(
        max_length=40, blank=True, help_text="Hardware revision on the label"
    )
