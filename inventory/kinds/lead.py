"""Data sheet of a lead."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import measure
from inventory.kinds.base import DataSheet


class Lead(DataSheet):
    """A wire, lead, harness or adapter."""

    kind_name: ClassVar[str] = "lead"
    label: ClassVar[str] = "lead"
    label_plural: ClassVar[str] = "leads"
    is_consumable: ClassVar[bool] = True

    gauge_awg = measure("Wire gauge", minimum=-3, maximum=40)
    conductor_mm2 = measure("Cross-section of the conductor", positive=True)
    mass_g_m = measure("Mass per metre")
    reach_mm = measure("How far it reaches from end to end")
    loop_length_mm = measure("Length of the current's way, there and back")
    resistance_mohm_m = measure("Resistance per metre")
    adapter_mohm = measure("Resistance of plugs and adapter together")
    plug_a = models.CharField(max_length=40, blank=True, help_text="Plug at one end")
    plug_a_gender = models.CharField(
        max_length=16,
        blank=True,
        choices=(("plug", "plug"), ("socket", "socket")),
        help_text="Gender of that plug",
    )
    plug_polarity = models.CharField(
        max_length=16,
        blank=True,
        choices=(("usual", "as the plug is marked"), ("reversed", "the other way round")),
        help_text="Where plus and minus are in the plug to the pack, by a meter",
    )
    plug_b = models.CharField(max_length=40, blank=True, help_text="Plug at the other end")
    plug_b_gender = models.CharField(
        max_length=16,
        blank=True,
        choices=(("plug", "plug"), ("socket", "socket")),
        help_text="Gender of that plug",
    )
    current_rating_a = measure("Current the maker allows")
    insulation_max_c = measure("Highest temperature of the insulation", maximum=400, positive=True)
    capacitor_uf = measure("Capacitor in the lead")
    capacitor_voltage_v = measure("Voltage rating of that capacitor")
