from .append_only import AppendOnly
from .batches import Batch, BatchKind, Charge, ChargeRole
from .catalogue import (
    HazardProfile,
    Material,
    Medium,
    MediumKind,
    MediumRule,
    Property,
    PropertyName,
)
from .estimates import Estimate, Event
from .ledger import End, Method, Movement, MovementKind
from .log import LogEntry
from .people import Role, User
from .places import Balance, Laboratory, Place, PlaceKind
from .projects import Booking, BookingLine, Membership, Project
from .vessels import Cause, Closure, Vessel, VesselKind, Weighing, WeighingPurpose

__all__ = [
    "AppendOnly",
    "Balance",
    "Batch",
    "BatchKind",
    "Booking",
    "BookingLine",
    "Cause",
    "Charge",
    "ChargeRole",
    "Closure",
    "End",
    "Estimate",
    "Event",
    "HazardProfile",
    "Laboratory",
    "LogEntry",
    "Material",
    "Medium",
    "MediumKind",
    "MediumRule",
    "Membership",
    "Method",
    "Movement",
    "MovementKind",
    "Place",
    "PlaceKind",
    "Project",
    "Property",
    "PropertyName",
    "Role",
    "User",
    "Vessel",
    "VesselKind",
    "Weighing",
    "WeighingPurpose",
]
