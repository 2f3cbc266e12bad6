"""App of recall."""

from django.apps import AppConfig


class RecallConfig(AppConfig):
    name = "logbook.recall"
    label = "recall"

    def ready(self) -> None:
        """Name the background work, and check that the database can search."""
        from django.core.checks import register as register_check

        from logbook.common.jobs import register  # this needs the models, which are loaded by now
        from logbook.recall import choices, commands, jobs
        from logbook.recall.reports import choices as of_reports
        from logbook.recall.reports.commands import give_up_report
        from logbook.recall.reports.jobs import make_report
        from logbook.recall.search import checks, following

        register(following.CATCH_UP, following.catch_up, following.note_not_caught_up)
        register(choices.EXPORT_ARCHIVE, jobs.export_archive, commands.give_up_export)
        register(choices.LAY_LEVELS, jobs.lay_levels, jobs.note_no_levels)
        register(of_reports.MAKE_REPORT, make_report, give_up_report)
        register_check(checks.full_text_is_there)
