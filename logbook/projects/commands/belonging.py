"""What a write names belongs to the project it is made in."""

from __future__ import annotations

from typing import Protocol

from logbook.common.errors import InvalidInputError
from logbook.projects.models import Option, OptionPosition, Project


class OfProject(Protocol):
    """A subsystem, revision, option, board or the like."""

    project_id: int


def check_belongs(field: str, thing: OfProject | None, project: Project | int) -> None:
    """Refuse what belongs to another project."""
    own = project.pk if isinstance(project, Project) else project
    if thing is not None and thing.project_id != own:
        raise InvalidInputError.of(field, "this belongs to another project", given=thing)


def check_position(position: OptionPosition | None, option: Option) -> None:
    """Refuse a position of another option."""
    if position is not None and position.option_id != option.pk:
        message = f"{option} has no position {position.name!r}"
        raise InvalidInputError.of("position", message, given=position)
