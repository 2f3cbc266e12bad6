"""Reading projects, with access decided in one place."""

from logbook.projects.queries.access import (
    check_edits_somewhere,
    check_role,
    edits_somewhere,
    membership_for,
    project_for,
    role_of,
)
from logbook.projects.queries.changes import change_of, changes_of
from logbook.projects.queries.connectors import PinTables, connector_of, connectors_of, pin_tables, pins_of
from logbook.projects.queries.option_standing import (
    OptionStanding,
    decisions_of,
    option_standings,
    ordered_positions_of,
    position_in_words,
    standings_of,
)
from logbook.projects.queries.options import designed_positions_of, option_named, option_of, options_of
from logbook.projects.queries.projects import (
    Relatives,
    members_of,
    projects_visible_to,
    relatives_of,
    state_events_of,
)
from logbook.projects.queries.revisions import (
    Descent,
    descent_from,
    descent_of,
    lineages,
    newest_revision_of,
    revision_named,
    revision_of,
    revisions_of,
)
from logbook.projects.queries.shelving import Shelving, shelving_of
from logbook.projects.queries.subsystems import (
    subsystem_keys,
    subsystem_named,
    subsystem_needs,
    subsystem_of,
    subsystems_of,
)

__all__ = [
    "Descent",
    "OptionStanding",
    "PinTables",
    "Relatives",
    "Shelving",
    "change_of",
    "changes_of",
    "check_edits_somewhere",
    "check_role",
    "connector_of",
    "connectors_of",
    "decisions_of",
    "descent_from",
    "descent_of",
    "designed_positions_of",
    "edits_somewhere",
    "lineages",
    "members_of",
    "membership_for",
    "newest_revision_of",
    "option_named",
    "option_of",
    "option_standings",
    "options_of",
    "ordered_positions_of",
    "pin_tables",
    "pins_of",
    "position_in_words",
    "project_for",
    "projects_visible_to",
    "relatives_of",
    "revision_named",
    "revision_of",
    "revisions_of",
    "role_of",
    "shelving_of",
    "standings_of",
    "state_events_of",
    "subsystem_keys",
    "subsystem_named",
    "subsystem_needs",
    "subsystem_of",
    "subsystems_of",
]
