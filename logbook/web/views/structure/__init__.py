"""Views of projects, subsystems, revisions, boards and the record of changes."""
