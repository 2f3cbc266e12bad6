"""Stores the lines of an archive as rows, record type after record type."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, TypeVar

from django.db import DatabaseError, DataError, IntegrityError, models

from logbook.accounts.models import User
from logbook.projects.models import Project
from logbook.recall.archive.format import refused
from logbook.recall.archive.lines import Line, plain
from logbook.recall.archive.naming import Name, as_key
from logbook.recall.archive.reading import lines_of, plain_values
from logbook.recall.archive.records import RECORDS, Record
from logbook.recall.archive.records.record import NUMBER, OBJECT
from logbook.recall.archive.unpacking import Opened

PIECE = 500
T = TypeVar("T")
Placed = tuple[str, Line, models.Model]


@dataclass
class Loader:
    """Stores lines and remembers which row each name became; ``remarks`` say what was not taken over."""

    found: Opened
    people: Mapping[str, User]
    project: Project | None = None
    remarks: list[str] = field(default_factory=list)
    _keys: dict[type[models.Model], dict[Name, int | None]] = field(default_factory=lambda: defaultdict(dict))
    _met: dict[type[models.Model], set[int]] = field(default_factory=lambda: defaultdict(set))

    def load(self, record: Record) -> None:
        """Store the lines of one record type."""
        late: list[tuple[str, Line, int]] = []
        number = 0
        for piece in pieces(lines_of(self.found, record.name, record.names), PIECE):
            new: list[Placed] = []
            for where, line in piece:
                number += 1
                name = self._name_of(record, line, number, where)
                if record.shared and self._is_met(record, line, name, where):
                    continue
                new.append((where, line, self._row(record, line, where)))
                self._claim(record, name, where)
            self._insert(record, new)
            for where, line, row in new:
                self._keys[record.model][self._name(record, line)] = row.pk
                late.append((where, line, row.pk))
        self._name_own_kind(record, late)

    @property
    def own(self) -> Project:
        """Return the project that comes in."""
        if self.project is None:
            raise refused("it holds no project", where="data/projects.jsonl")
        return self.project

    def key(self, model: type[models.Model], name: Name) -> int | None:
        """Return the row a name became."""
        return self._keys[model].get(as_key(name))

    def take_project(self, record: Record, line: Line, project: Project, where: str) -> None:
        """Fill a project that was known by name only, or store a new one."""
        for name, value in plain_values(record, line, where).items():
            setattr(project, name, value)
        self._guarded(where, project.save)
        self._keys[Project][line["slug"]] = project.pk
        self.project = project

    def name_own_project(self, record: Record, line: Line, where: str) -> None:
        """Store what the project descends from and is part of."""
        self._name_own_kind(record, [(where, line, self.own.pk)])

    def _name(self, record: Record, line: Line) -> Name:
        if not record.key:
            return line[NUMBER]
        parts = [line[part] for part in record.key]
        return as_key(parts[0] if len(parts) == 1 else parts)

    def _name_of(self, record: Record, line: Line, number: int, where: str) -> Name:
        if not record.key and line[NUMBER] != number:
            raise refused("the lines are not numbered 1, 2, 3 …", where=where, given=line[NUMBER])
        try:
            name = self._name(record, line)
            hash(name)
        except TypeError as error:
            raise refused("its name is no text", where=where) from error
        return name

    def _claim(self, record: Record, name: Name, where: str) -> None:
        if name in self._keys[record.model]:
            raise refused("this name is there twice", where=where, given=name)
        self._keys[record.model][name] = None

    def _is_met(self, record: Record, line: Line, name: Name, where: str) -> bool:
        """Say whether a shared row is on the site already, or belongs to one that is."""
        parent = self._parent_met(record, line, where)
        values = plain_values(record, line, where)
        here = self._here(record, line, values) if record.key else None
        if here is None and parent is None:
            return False
        if here is not None:
            self._keys[record.model][name] = here.pk
            self._met[record.model].add(here.pk)
            self._compare(record, here, values)
        elif record.key:
            self._keys[record.model][name] = None
            self.remarks.append(
                f"{record.kind} {shown(name)} was left out: the {record.parent} here has none"
            )
        return True

    def _parent_met(self, record: Record, line: Line, where: str) -> int | None:
        if not record.parent:
            return None
        parent = record.model._meta.get_field(record.parent)
        pk = self._reference(parent, line[record.parent], where)
        return pk if pk in self._met[parent.related_model] else None  # type: ignore[index]

    def _here(self, record: Record, line: Line, values: Mapping[str, Any]) -> models.Model | None:
        wanted: dict[str, Any] = {}
        for part in record.key:
            column = record.model._meta.get_field(part)
            named = column.related_model
            wanted[part] = values[part] if named is None else self.key(named, line[part])
        return record.model._default_manager.filter(**wanted).first()

    def _compare(self, record: Record, here: models.Model, values: Mapping[str, Any]) -> None:
        differing = [name for name, value in values.items() if plain(getattr(here, name)) != plain(value)]
        if differing and record.model is not Project:
            self.remarks.append(
                f"{record.kind} {here} is on this site already and was kept as it is; "
                f"the archive differs in {', '.join(sorted(differing))}"
            )

    def _row(self, record: Record, line: Line, where: str) -> models.Model:
        values = plain_values(record, line, where)
        for one in record.fields:
            if one.is_relation and one.related_model is not record.model:
                values[one.attname] = self._reference(one, line[one.name], where)
        if record.path == "project":
            values["project"] = self.own
        if record.names_object:
            values |= self._of_object(line, where)
        return record.model(**values)

    def _reference(self, column: Any, name: Name, where: str) -> int | None:
        if name is None:
            if not column.null:
                raise refused(f"{column.name}: nothing is named", where=where)
            return None
        if column.related_model is User:
            return self._person(name, where).pk
        try:
            known = self._keys[column.related_model]
            found = known[as_key(name)]
        except (KeyError, TypeError) as error:
            raise refused(
                f"{column.name}: the archive has none of this name", where=where, given=name
            ) from error
        if found is None and not column.null:
            raise refused(f"{column.name}: it was left out", where=where, given=name)
        return found

    def _person(self, name: Name, where: str) -> User:
        if not isinstance(name, str) or name not in self.people:
            raise refused("people.jsonl does not name this person", where=where, given=name)
        return self.people[name]

    def _of_object(self, line: Line, where: str) -> dict[str, Any]:
        """Return what a line of the record of changes is about; 0 for what is no more."""
        record = KINDS.get(line["kind"])
        pk: int | None = 0
        if line[OBJECT] is not None:
            pk = None if record is None else self.key(record.model, line[OBJECT])
            is_known = record is not None and as_key(line[OBJECT]) in self._keys[record.model]
            if not is_known:
                raise refused("the archive has no such object", where=where, given=line[OBJECT])
        return {"object_id": pk or 0, "project_id": self.own.pk}

    def _insert(self, record: Record, new: list[Placed]) -> None:
        where = new[0][0] if new else record.name
        rows = [row for _, _, row in new]
        self._guarded(where, lambda: record.model._default_manager.bulk_create(rows))
        for one in record.lists:
            through: Any = one.remote_field.through
            source, target = f"{one.m2m_field_name()}_id", f"{one.m2m_reverse_field_name()}_id"
            links = [
                through(**{source: row.pk, target: pk})
                for place, line, row in new
                for pk in self._listed(one, line, place)
            ]
            self._guarded(where, lambda links=links, through=through: through.objects.bulk_create(links))

    def _listed(self, column: Any, line: Line, where: str) -> Iterator[int | None]:
        names = line[column.name]
        if not isinstance(names, list):
            raise refused(f"{column.name} is no list", where=where, given=names)
        for name in names:
            yield self._reference(column, name, where)

    def _name_own_kind(self, record: Record, late: Iterable[tuple[str, Line, int]]) -> None:
        """Store which row of the same file a row names, now that all have their place."""
        own = [one for one in record.fields if one.related_model is record.model]
        for where, line, pk in late if own else ():
            named = {one.attname: self._reference(one, line[one.name], where) for one in own}
            if any(named.values()):
                record.model._default_manager.filter(pk=pk).update(**named)

    def _guarded(self, where: str, write: Any) -> None:
        try:
            write()
        except (IntegrityError, DataError) as error:
            raise refused(
                f"here or soon after, a rule of the site is broken ({error})", where=where
            ) from error
        except DatabaseError as error:
            raise refused(f"it cannot be stored ({error})", where=where) from error


KINDS = {record.kind: record for record in RECORDS if not record.only}


def pieces(items: Iterable[T], size: int) -> Iterator[list[T]]:
    """Yield the items in lists of up to ``size``."""
    rest = iter(items)
    while piece := list(islice(rest, size)):
        yield piece


def shown(name: Name) -> str:
    """Return a name as people write it."""
    return " ".join(str(part) for part in name) if isinstance(name, tuple) else str(name)
