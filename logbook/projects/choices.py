"""Fixed words of projects and subsystems."""

from django.db import models


class ProjectState(models.TextChoices):
    ACTIVE = "active", "active"
    SHELVED = "shelved", "shelved"
    FINISHED = "finished", "finished"


class Role(models.TextChoices):
    OWNER = "owner", "owner"
    EDITOR = "editor", "editor"
    READER = "reader", "reader"


def with_article(role: str) -> str:
    """Return a role as it is spoken of: *a reader*, *an editor*."""
    return f"{'an' if role[:1] in 'aeiou' else 'a'} {role}"


class SubsystemKind(models.TextChoices):
    POWER = "power", "power"
    PROCESSOR = "processor", "processor"
    CLOCKS = "clocks", "clocks"
    MEMORY = "memory", "memory"
    SENSOR_BUS = "sensor bus", "sensor bus"
    CONVERTER = "converter", "converter"
    AUDIO_PATH = "audio path", "audio path"
    PROGRAMMING_LINK = "programming link", "programming link"
    SERIAL_LINK = "serial link", "serial link"
    USER_INTERFACE = "user interface", "user interface"
    MECHANICAL = "mechanical", "mechanical"
    FIRMWARE = "firmware", "firmware"
    THERMAL = "thermal", "thermal"
    EMC = "EMC", "EMC"
    SYSTEM = "system", "system"
    OTHER = "other", "other"


class ChangeKind(models.TextChoices):
    SCHEMATIC = "schematic", "schematic"
    LAYOUT = "layout", "layout"
    STACK_UP = "stack-up", "stack-up"
    BOM = "BOM", "BOM"
    MECHANICAL = "mechanical", "mechanical"
    FIRMWARE = "firmware", "firmware"


class ChangeState(models.TextChoices):
    PLANNED = "planned", "planned"
    IN_THE_FILES = "in the files", "in the files"
    BUILT = "built", "built"
    PROVEN = "proven", "proven"


class CauseKind(models.TextChoices):
    FINDING = "finding", "finding"
    LESSON = "lesson", "lesson"
    RISK = "risk", "risk"
    WISH = "wish", "wish"
    REWORK = "rework", "rework"
    NONE = "none", "none"


class DecisionWord(models.TextChoices):
    """What became of an option on a revision."""

    DECIDED = "decided", "decided"
    LEFT_OPEN = "left open", "left open"


class CableKind(models.TextChoices):
    STRAIGHT = "straight", "straight"
    CROSSED = "crossed", "crossed"


class PinDirection(models.TextChoices):
    """Seen from the board."""

    OUT = "out", "out"
    IN = "in", "in"
    BOTH = "both", "both"
    POWER_OUT = "power out", "power out"
    POWER_IN = "power in", "power in"
    GROUND = "ground", "ground"
    OPEN = "open", "open"


# What each role may do. "manage" is people and the project's own state.
MAY: dict[str, frozenset[str]] = {
    Role.READER: frozenset({"read"}),
    Role.EDITOR: frozenset({"read", "record", "edit"}),
    Role.OWNER: frozenset({"read", "record", "edit", "manage"}),
}
