"""Tables of projects and of what a design is made of."""

from logbook.projects.models.bills import BillLine, BillOfMaterials, DesignatorRule
from logbook.projects.models.changes import Change
from logbook.projects.models.connectors import Connector, ConnectorPin
from logbook.projects.models.keys import KEY, SLUG
from logbook.projects.models.option_decisions import OptionDecision, OrderedPosition
from logbook.projects.models.options import DesignedPosition, Option, OptionPosition
from logbook.projects.models.projects import Characteristic, Membership, Project, ProjectStateEvent
from logbook.projects.models.revisions import Revision
from logbook.projects.models.shelving import NOTE_TEXTS, ShelvingNote
from logbook.projects.models.subsystems import Subsystem, SubsystemDependency

__all__ = [
    "KEY",
    "NOTE_TEXTS",
    "SLUG",
    "BillLine",
    "BillOfMaterials",
    "Change",
    "Characteristic",
    "Connector",
    "ConnectorPin",
    "DesignatorRule",
    "DesignedPosition",
    "Membership",
    "Option",
    "OptionDecision",
    "OptionPosition",
    "OrderedPosition",
    "Project",
    "ProjectStateEvent",
    "Revision",
    "ShelvingNote",
    "Subsystem",
    "SubsystemDependency",
]
