"""Every structure page: who may see it, what its template gets, and that nothing inline is allowed."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client

from logbook.bench.commands import record_rework
from logbook.projects.commands import add_option
from logbook.web.views.account.account import AccountPage
from logbook.web.views.structure.board_detail import BoardDetailPage
from logbook.web.views.structure.board_list import BoardListPage
from logbook.web.views.structure.changes import ChangeListPage
from logbook.web.views.structure.form_page import FormPage
from logbook.web.views.structure.project_detail import ProjectDetailPage
from logbook.web.views.structure.project_edit import MembersPage
from logbook.web.views.structure.project_list import ProjectListPage
from tests.builders import Bench
from tests.web.contexts import received

READ = {
    "/p/tern/": ProjectDetailPage,
    "/p/tern/members/": MembersPage,
    "/p/tern/changes/": ChangeListPage,
    "/p/tern/boards/": BoardListPage,
    "/p/tern/boards/0001/": BoardDetailPage,
}
EDIT = [
    "/p/tern/edit/",
    "/p/tern/subsystems/new/",
    "/p/tern/subsystems/RLD/edit/",
    "/p/tern/revisions/new/",
    "/p/tern/revisions/A/edit/",
    "/p/tern/options/new/",
    "/p/tern/options/JP3/edit/",
    "/p/tern/boards/new/",
    "/p/tern/boards/0001/edit/",
    "/p/tern/boards/0001/state/",
    "/p/tern/boards/0001/reworks/new/",
    "/p/tern/boards/0001/reworks/RW-01/undo/",
    "/p/tern/boards/0001/options/",
]
MANAGE = ["/p/tern/state/"]
TABLES = ["/projects.csv", "/p/tern/boards.csv", "/p/tern/changes.csv"]
OWN = {"/": ProjectListPage, "/account/": AccountPage, "/projects/new/": FormPage}
NOBODY_ELSE = [*READ, *EDIT, *MANAGE, *TABLES, *OWN]


@pytest.fixture
def furnished(bench: Bench) -> Bench:
    """Return the bench with an option and a rework, so that every address leads somewhere."""
    positions = [("1-2", "flash"), ("2-3", "loader")]
    add_option(
        actor=bench.actor,
        project=bench.project,
        subsystem=bench.subsystem,
        key="JP3",
        name="boot source",
        positions=positions,
    )
    record_rework(
        actor=bench.actor,
        board=bench.board,
        key="RW-01",
        kind="wire link",
        intent="repair",
        what="link from TP7 to C31",
        subsystems=[bench.subsystem],
    )
    return bench


@pytest.mark.parametrize("address", READ)
@pytest.mark.parametrize(
    ("who", "status"), [("owner", 200), ("editor", 200), ("reader", 200), ("stranger", 404)]
)
def test_members_read_and_strangers_find_nothing(
    furnished: Bench, client: Client, address: str, who: str, status: int
) -> None:
    client.force_login(getattr(furnished, who))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", EDIT)
@pytest.mark.parametrize(
    ("who", "status"), [("owner", 200), ("editor", 200), ("reader", 403), ("stranger", 404)]
)
def test_editors_change(furnished: Bench, client: Client, address: str, who: str, status: int) -> None:
    client.force_login(getattr(furnished, who))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", MANAGE)
@pytest.mark.parametrize(
    ("who", "status"), [("owner", 200), ("editor", 403), ("reader", 403), ("stranger", 404)]
)
def test_owners_manage(furnished: Bench, client: Client, address: str, who: str, status: int) -> None:
    client.force_login(getattr(furnished, who))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", EDIT)
def test_a_reader_cannot_send_either(furnished: Bench, client: Client, address: str) -> None:
    client.force_login(furnished.reader)
    assert client.post(address, {}).status_code == 403


@pytest.mark.parametrize("address", NOBODY_ELSE)
def test_somebody_unknown_is_asked_to_sign_in(furnished: Bench, client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/?next=")


@pytest.mark.parametrize(
    ("address", "page"), [*READ.items(), *OWN.items(), *((one, FormPage) for one in EDIT)]
)
def test_the_template_gets_exactly_the_fields_of_the_page(
    furnished: Bench, client: Client, address: str, page: type
) -> None:
    client.force_login(furnished.owner)
    assert received(client.get(address)) == {field.name for field in fields(page)}


@pytest.mark.parametrize("address", ["/", "/p/tern/", "/sign-in/", "/p/none/"])
def test_the_content_policy_allows_nothing_inline(furnished: Bench, client: Client, address: str) -> None:
    client.force_login(furnished.owner)
    policy = client.get(address)["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy
    assert "unsafe" not in policy


@pytest.mark.parametrize("address", [*READ, *OWN, *EDIT])
def test_a_page_has_one_heading_and_one_main_part(furnished: Bench, client: Client, address: str) -> None:
    client.force_login(furnished.owner)
    html = client.get(address).content.decode()
    assert html.count("<h1") == 1
    assert html.count('<main id="main"') == 1
    assert 'href="#main"' in html
    assert " style=" not in html


@pytest.mark.parametrize("address", TABLES)
def test_lists_come_as_tables(furnished: Bench, client: Client, address: str) -> None:
    client.force_login(furnished.reader)
    answer = client.get(address)
    assert answer["Content-Type"].startswith("text/csv")
    assert len(answer.content.decode().splitlines()) >= 2
