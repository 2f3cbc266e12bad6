"""Tables of the search: one document an object, the words met so far, and how far the record was followed."""

from __future__ import annotations

from django.db import models

from logbook.projects.models import Project


class Document(models.Model):
    """What the search knows of one object. Derived; ``manage.py reindex`` makes all of them anew.

    ``main_key`` is the key without its signs, so RLD-2, RLD2 and rld 2 are one. The words of a document lie
    in a table of the database's own kind of full-text index, under the same id.
    """

    kind = models.CharField(max_length=20)
    object_id = models.BigIntegerField()
    project = models.ForeignKey(Project, models.CASCADE, null=True, blank=True, related_name="+")
    for_everyone = models.BooleanField(default=False)
    key = models.CharField(max_length=200)
    main_key = models.CharField(max_length=200)
    title = models.CharField(max_length=300)
    place = models.CharField(max_length=200, blank=True)
    body = models.TextField(blank=True)
    address = models.JSONField(default=list, blank=True)
    at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = "document"
        constraints = [models.UniqueConstraint(fields=["kind", "object_id"], name="document_once")]
        indexes = [models.Index(fields=["main_key"], name="document_by_key")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Word(models.Model):
    """A word some document holds; what was mistyped is compared with these."""

    word = models.CharField(max_length=40, unique=True)
    length = models.PositiveSmallIntegerField()
    first = models.CharField(max_length=1)
    last = models.CharField(max_length=2)

    class Meta:
        verbose_name = "word"
        indexes = [
            models.Index(fields=["first", "length"], name="word_by_first"),
            models.Index(fields=["last", "length"], name="word_by_last"),
        ]

    def __str__(self) -> str:
        return self.word


class Followed(models.Model):
    """How far one source of news was followed.

    ``gaps`` is ``[[first, last, noticed]]``: ids below ``seen`` that were not there when the search passed
    them, because their transaction had taken its ids and was not yet committed.
    """

    source = models.CharField(max_length=20, unique=True)
    seen = models.BigIntegerField(default=0)
    gaps = models.JSONField(default=list, blank=True)

    class Meta:
        verbose_name = "source followed"

    def __str__(self) -> str:
        return f"{self.source} up to {self.seen}"
