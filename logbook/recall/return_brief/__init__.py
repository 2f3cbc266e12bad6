"""The return brief: where a project stands for somebody who comes back after a long time.

Every part is derived from what is recorded, today or at the end of a past day; nothing here is stored.
"""

from logbook.recall.return_brief.brief import ReturnBrief, return_brief_of

__all__ = ["ReturnBrief", "return_brief_of"]
