"""Every write to projects and to what a design is made of."""

from logbook.projects.commands.changes import add_change, describe_change, withdraw_change
from logbook.projects.commands.connectors import PinInput, add_connector, change_connector, set_pins
from logbook.projects.commands.option_decisions import (
    decide_option,
    leave_option_open,
    record_ordered_position,
)
from logbook.projects.commands.options import add_option, change_option, set_designed_position
from logbook.projects.commands.people import remove_member, set_member
from logbook.projects.commands.projects import change_project, create_project, set_project_state
from logbook.projects.commands.revisions import add_revision, change_revision
from logbook.projects.commands.shelving import write_shelving_note
from logbook.projects.commands.subsystems import add_subsystem, change_subsystem

__all__ = [
    "PinInput",
    "add_change",
    "add_connector",
    "add_option",
    "add_revision",
    "add_subsystem",
    "change_connector",
    "change_option",
    "change_project",
    "change_revision",
    "change_subsystem",
    "create_project",
    "decide_option",
    "describe_change",
    "leave_option_open",
    "record_ordered_position",
    "remove_member",
    "set_designed_position",
    "set_member",
    "set_pins",
    "set_project_state",
    "withdraw_change",
    "write_shelving_note",
]
