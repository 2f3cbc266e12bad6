"""Who an archive names, and who they are on this site.

Rule: a name in a file gives nobody rights. Whoever is not named as one of this site's people comes in as
somebody who cannot sign in, and an active person of the same name is never taken for them unasked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django.core.exceptions import ValidationError

from logbook.accounts.models import User
from logbook.accounts.queries import user_named
from logbook.common.errors import FieldProblem, InvalidInputError, NotAllowedError
from logbook.recall.archive.format import RefusedArchiveError, refused
from logbook.recall.archive.reading import lines_of, value_of
from logbook.recall.archive.unpacking import Opened

LINE = frozenset({"name"})


class PeopleTakenError(RefusedArchiveError):
    """Names of the archive that people of this site have too; ``names`` are those to be told apart."""

    def __init__(self, message: str, *, names: Sequence[str], problems: Sequence[FieldProblem]) -> None:
        super().__init__(message, problems=problems)
        self.names = tuple(names)


def people_in(found: Opened) -> list[str]:
    """Return the user names an archive names."""
    names = []
    for where, line in lines_of(found, "people", LINE):
        try:
            names.append(value_of(User._meta.get_field("username"), line["name"]))
        except (TypeError, ValueError, ValidationError) as error:
            raise refused(f"this is no user name ({error})", where=where, given=line["name"]) from error
    return names


def people_here(names: list[str], mapped: Mapping[str, str]) -> dict[str, User]:
    """Return who each name is here; who is new comes in unable to sign in."""
    unknown = sorted(set(mapped) - set(names))
    if unknown:
        raise refused(f"it names no {', '.join(unknown)}", given=unknown[0], allowed=", ".join(names))
    there = {user.username: user for user in User.objects.filter(username__in=names)}
    taken = [
        name for name in names if name in there and name not in mapped and not is_only_named(there[name])
    ]
    if taken:
        message = (
            f"{', '.join(taken)} can sign in here and may be somebody else; say who each one is, "
            f"for instance {taken[0]}={taken[0]} where they are the same"
        )
        error = refused(message, given=taken[0], allowed="one NAME=NAME for each")
        raise PeopleTakenError(error.message, names=taken, problems=error.problems)
    return {name: _one(name, mapped, there) for name in names}


def _one(name: str, mapped: Mapping[str, str], there: Mapping[str, User]) -> User:
    if name in mapped:
        return user_named(mapped[name], field="person")
    if name in there:
        return there[name]
    user = User(username=name, is_active=False)
    user.set_unusable_password()
    user.save(force_insert=True)
    return user


def is_only_named(user: User) -> bool:
    """Say whether a person came in with an archive and cannot sign in."""
    return not user.is_active and not user.has_usable_password()


def mapping_of(pairs: Iterable[str]) -> dict[str, str]:
    """Return who is who from texts such as ``iv=iv``."""
    found = {}
    for pair in pairs:
        name, sign, here = pair.partition("=")
        if not sign or not name.strip() or not here.strip():
            message = f"{pair!r} does not say who is who"
            raise InvalidInputError.of("person", message, given=pair, allowed="NAME=NAME HERE")
        found[name.strip()] = here.strip()
    return found


def check_may_import(user: User) -> None:
    """Refuse everybody but an owner of the site: an archive brings in a whole project and its people."""
    if not user.is_superuser:
        message = "only an owner of the site may read an archive into it"
        raise NotAllowedError(message)
