"""App of evidence."""

from django.apps import AppConfig


class EvidenceConfig(AppConfig):
    name = "logbook.evidence"
    label = "evidence"

    def ready(self) -> None:
        """Name the background work on evidence."""
        from logbook.common.dependencies import register as depend_on
        from logbook.common.jobs import register  # these need the models, which are loaded by now
        from logbook.evidence import bucket, choices, commands, jobs

        depend_on("bucket", bucket.check, lambda: bucket.bucket() is not None)
        register(choices.ANALYSE, jobs.analyse, commands.give_up_analysis)
        register(choices.PREPARE_PICTURE, jobs.prepare_picture, jobs.note_no_picture)
        register(choices.DRAW_GERBER, jobs.draw_gerber, commands.give_up_drawing)
