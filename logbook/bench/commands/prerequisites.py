"""What a target needs first; the whole is kept free of circles."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.bench.commands.current import cells_of_targets, recompute
from logbook.bench.models import Prerequisite, Target
from logbook.bench.queries.evaluation import Pair
from logbook.bench.queries.needs import direct_needs
from logbook.common.changes import Actor, note_change
from logbook.common.errors import InvalidInputError
from logbook.core.graph import closure, find_cycle
from logbook.projects.models import Project


def replace_prerequisites(target: Target, keys: Sequence[str], *, actor: Actor) -> None:
    """Make exactly these targets come first, and derive what depends on that."""
    # Two changes that are no circle each may be one together.
    Project.objects.select_for_update(no_key=True).get(pk=target.project_id)
    ids = dict(Target.objects.filter(project=target.project_id).values_list("key", "pk"))
    unknown = [key for key in keys if key not in ids]
    if unknown:
        raise InvalidInputError.of(
            "prerequisites", f"no target {unknown[0]!r} here", given=unknown[0], allowed="keys of targets"
        )
    names = {pk: key for key, pk in ids.items()}
    before = direct_needs(target.project, names)
    wanted = {ids[key] for key in keys}
    if before[target.pk] == wanted:
        return
    after = before | {target.pk: wanted}
    circle = find_cycle(after)
    if circle:
        message = f"targets would need each other in a circle: {' → '.join(names[pk] for pk in circle)}"
        raise InvalidInputError.of("prerequisites", message, given=", ".join(keys), code="circle")
    Prerequisite.objects.filter(target=target).delete()
    Prerequisite.objects.bulk_create(Prerequisite(target=target, needs_id=pk) for pk in sorted(wanted))
    fields = {"needs": [_listed(before[target.pk], names), _listed(wanted, names)]}
    note_change(target, action="changed", actor=actor, project_id=target.project_id, fields=fields)
    _derive_anew(target, before[target.pk] | wanted, after)


def _listed(ids: set[int], names: dict[int, str]) -> str:
    return ", ".join(sorted(names[pk] for pk in ids))


def _derive_anew(target: Target, needed: set[int], needs: dict[int, set[int]]) -> None:
    """Derive the cells of the target and of all that need it, and the spans of what it needs."""
    dependents = {pk for pk, below in closure(needs).items() if target.pk in below}
    pairs = {Pair(cell.board_id, cell.target_id) for cell in cells_of_targets(needed)}
    recompute(target.project, cells=cells_of_targets(dependents | {target.pk}), pairs=pairs)
