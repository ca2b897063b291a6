from .append_only import AppendOnly
from .asking import MetalRequest, RequestState, RequestStep, StepKind, Where
from .batches import Batch, BatchKind, Charge, ChargeRole, Process
from .bookings import Booking, BookingLine
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
from .handing import HandOver, HandOverLine, Return, ReturnKind
from .hazards import HazardProfile, LotProfile, MediumHazard
from .inspections import CalendarLink, Inspection, Seal
from .labelling import LabelPrint, LabelSheet, Mode
from .ledger import End, Method, Movement, MovementKind
from .log import LogEntry
from .people import Role, User
from .places import Balance, Laboratory, Place, PlaceKind
from .projects import MemberRole, Membership, Partner, Project, Share
from .runs import Closing, RunLog, RunReading
from .vessels import USUAL_CLOSURE, Closure, Vessel, VesselKind
from .weighings import Cause, Weighing, WeighingPurpose

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
    "CalendarLink",
    "Cause",
    "Charge",
    "ChargeRole",
    "Closing",
    "Closure",
    "End",
    "Estimate",
    "Event",
    "HandOver",
    "HandOverLine",
    "HazardProfile",
    "Impurity",
    "Inspection",
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
    "MemberRole",
    "Membership",
    "MetalRequest",
    "Method",
    "Mode",
    "Movement",
    "MovementKind",
    "Partner",
    "Place",
    "PlaceKind",
    "Process",
    "Project",
    "Property",
    "PropertyName",
    "RequestState",
    "RequestStep",
    "Return",
    "ReturnKind",
    "Role",
    "RunLog",
    "RunReading",
    "Seal",
    "Share",
    "StepKind",
    "User",
    "Vessel",
    "VesselKind",
    "Weighing",
    "WeighingPurpose",
    "Where",
]
