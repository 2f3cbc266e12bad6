"""``python -m board_logbook_client``."""

import sys

from board_logbook_client.command_line import main

sys.exit(main())
