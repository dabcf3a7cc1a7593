"""The kinds of part: one file and one line each, nothing else to touch."""

from inventory.kinds.airframe import Airframe, TemplatePosition
from inventory.kinds.antenna import Antenna
from inventory.kinds.base import DataSheet, kind_choices
from inventory.kinds.camera import Camera
from inventory.kinds.flight_controller import FlightController
from inventory.kinds.gps import Gps
from inventory.kinds.ground_gear import GroundGear
from inventory.kinds.hardware import Hardware
from inventory.kinds.lead import Lead
from inventory.kinds.motor import Motor
from inventory.kinds.pack import Pack
from inventory.kinds.propeller import Propeller
from inventory.kinds.receiver import Receiver
from inventory.kinds.regulator import Regulator
from inventory.kinds.servo import Servo
from inventory.kinds.speed_controller import SpeedController
from inventory.kinds.video_unit import VideoUnit

__all__ = (
    "Airframe",
    "Antenna",
    "Camera",
    "DataSheet",
    "FlightController",
    "Gps",
    "GroundGear",
    "Hardware",
    "Lead",
    "Motor",
    "Pack",
    "Propeller",
    "Receiver",
    "Regulator",
    "Servo",
    "SpeedController",
    "TemplatePosition",
    "VideoUnit",
    "kind_choices",
)
