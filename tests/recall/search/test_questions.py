"""The fixed questions to the invented demo, written down before the search was built."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from logbook.accounts.models import User
from logbook.recall.models import Document
from logbook.recall.search.asking import address_of, search
from logbook.recall.search.documents import KINDS
from logbook.recall.search.excerpts import plain
from logbook.recall.search.following import bring_up_to_date

ASKED = json.loads((Path(__file__).resolve().parents[3] / "fixtures/search/queries.json").read_text())

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


@pytest.mark.parametrize("row", ASKED["queries"], ids=lambda row: row["q"])
def test_what_is_expected_is_among_the_first(row: dict[str, Any]) -> None:
    hits = search(User.objects.get(username="iv"), row["q"]).hits[: ASKED["first"]]
    assert set(row["expects"]) <= {f"{hit.kind}:{hit.key or plain(hit.title)}" for hit in hits}


@pytest.mark.parametrize("row", ASKED["later"], ids=lambda row: row["q"])
def test_what_a_label_or_a_place_says_comes_first(row: dict[str, Any]) -> None:
    hits = search(User.objects.get(username="iv"), row["q"]).hits
    assert f"{hits[0].kind}:{hits[0].key}" == row["first"]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_there_and_its_address_opens(kind: str, client: Client) -> None:
    bring_up_to_date()
    document = Document.objects.filter(kind=kind).select_related("project").first()
    assert document is not None
    client.force_login(User.objects.get(username="iv"))
    assert client.get(address_of(document)).status_code == 200
