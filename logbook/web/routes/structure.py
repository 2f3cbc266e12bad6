"""Addresses of signing in, the account, projects, boards and what a design is made of."""

from __future__ import annotations

from django.urls import URLPattern, path

from logbook.web.views import health
from logbook.web.views.account import account, setup, sign_in
from logbook.web.views.structure import (
    board_detail,
    board_edit,
    board_list,
    changes,
    connector_edit,
    connectors,
    design_edit,
    option_decisions,
    option_list,
    project_detail,
    project_edit,
    project_list,
    reworks,
)

P = "p/<str:slug>/"
BOARD = "p/<str:slug>/boards/<str:serial>/"
REWORK = f"{BOARD}reworks/<str:key>/"
CONNECTOR = "p/<str:slug>/connectors/<str:key>/"

urlpatterns: list[URLPattern] = [
    path("", project_list.project_list, name="project-list"),
    path("projects.csv", project_list.project_csv, name="project-csv"),
    path("healthz/", health.healthz, name="healthz"),
    path("readyz/", health.readyz, name="readyz"),
    path("metrics", health.metrics_page, name="metrics"),
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path("setup/", setup.setup, name="setup"),
    path("account/", account.account, name="account"),
    path("account/tokens/", account.token_create, name="token-create"),
    path("account/tokens/<str:prefix>/revoke/", account.token_revoke, name="token-revoke"),
    path("projects/new/", project_edit.project_create, name="project-create"),
    path(P, project_detail.project_detail, name="project-detail"),
    path(f"{P}edit/", project_edit.project_edit, name="project-edit"),
    path(f"{P}state/", project_edit.project_state, name="project-state"),
    path(f"{P}members/", project_edit.project_members, name="project-members"),
    path(f"{P}changes/", changes.change_list, name="change-list"),
    path(f"{P}changes.csv", changes.change_csv, name="change-csv"),
    path(f"{P}subsystems/new/", design_edit.subsystem_create, name="subsystem-create"),
    path(f"{P}subsystems/<str:key>/edit/", design_edit.subsystem_edit, name="subsystem-edit"),
    path(f"{P}revisions/new/", design_edit.revision_create, name="revision-create"),
    path(f"{P}revisions/<str:label>/edit/", design_edit.revision_edit, name="revision-edit"),
    path(f"{P}options/new/", design_edit.option_create, name="option-create"),
    path(f"{P}options/<str:key>/edit/", design_edit.option_edit, name="option-edit"),
    path(f"{P}options/", option_list.option_list, name="option-list"),
    path(f"{P}options.csv", option_list.option_csv, name="option-csv"),
    path(f"{P}options/<str:key>/decide/", option_decisions.option_decide, name="option-decide"),
    path(f"{P}options/<str:key>/ordered/", option_decisions.option_order, name="option-order"),
    path(f"{P}connectors/", connectors.connector_list, name="connector-list"),
    path(f"{P}connectors.csv", connectors.connector_csv, name="connector-csv"),
    path(f"{P}connectors/new/", connector_edit.connector_create, name="connector-create"),
    path(CONNECTOR, connectors.connector_detail, name="connector-detail"),
    path(f"{CONNECTOR}edit/", connector_edit.connector_edit, name="connector-edit"),
    path(f"{CONNECTOR}pins/", connector_edit.connector_pins, name="connector-pins"),
    path(f"{P}boards/", board_list.board_list, name="board-list"),
    path(f"{P}boards.csv", board_list.board_csv, name="board-csv"),
    path(f"{P}boards/new/", board_edit.board_create, name="board-create"),
    path(BOARD, board_detail.board_detail, name="board-detail"),
    path(f"{BOARD}edit/", board_edit.board_edit, name="board-edit"),
    path(f"{BOARD}state/", board_edit.board_event_create, name="board-event-create"),
    path(f"{BOARD}reworks/new/", board_edit.rework_create, name="rework-create"),
    path(f"{REWORK}undo/", board_edit.rework_undo, name="rework-undo"),
    path(REWORK, reworks.rework_detail, name="rework-detail"),
    path(f"{REWORK}edit/", board_edit.rework_edit, name="rework-edit"),
    path(f"{REWORK}re-check/", reworks.rework_recheck, name="rework-recheck"),
    path(f"{REWORK}evidence/", reworks.rework_evidence, name="rework-evidence"),
    path(f"{REWORK}findings/", reworks.rework_finding, name="rework-finding"),
    path(f"{P}reworks/", reworks.rework_list, name="rework-list"),
    path(f"{P}reworks.csv", reworks.rework_csv, name="rework-csv"),
    path(f"{BOARD}options/", board_edit.option_setting_create, name="option-setting-create"),
]
