from .append_only import AppendOnly
from .batches import Batch, BatchKind, Charge, ChargeRole, Process
from .catalogue import (
    Material,
    Medium,
    MediumKind,
    MediumRule,
    Property,
    PropertyName,
)
from .estimates import Estimate, Event
from .evidence import Assay, Attachment, AttachmentKind, Impurity
from .hazards import HazardProfile, LotProfile, MediumHazard
from .labelling import LabelPrint, LabelSheet, Mode
from .ledger import End, Method, Movement, MovementKind
from .log import LogEntry
from .people import Role, User
from .places import Balance, Laboratory, Place, PlaceKind
from .projects import Booking, BookingLine, Membership, Project
from .runs import Closing, RunLog, RunReading
from .vessels import (
    USUAL_CLOSURE,
    Cause,
    Closure,
    Vessel,
    VesselKind,
    Weighing,
    WeighingPurpose,
)

__all__ = [
    "USUAL_CLOSURE",
    "AppendOnly",
    "Assay",
    "Attachment",
    "AttachmentKind",
    "Balance",
    "Batch",
    "BatchKind",
    "Booking",
    "BookingLine",
    "Cause",
    "Charge",
    "ChargeRole",
    "Closing",
    "Closure",
    "End",
    "Estimate",
    "Event",
    "HazardProfile",
    "Impurity",
    "LabelPrint",
    "LabelSheet",
    "Laboratory",
    "LogEntry",
    "LotProfile",
    "Material",
    "Medium",
    "MediumHazard",
    "MediumKind",
    "MediumRule",
    "Membership",
    "Method",
    "Mode",
    "Movement",
    "MovementKind",
    "Place",
    "PlaceKind",
    "Process",
    "Project",
    "Property",
    "PropertyName",
    "Role",
    "RunLog",
    "RunReading",
    "User",
    "Vessel",
    "VesselKind",
    "Weighing",
    "WeighingPurpose",
]
