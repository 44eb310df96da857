"""A fault of ours: in full in a log, in one line for the user."""

from __future__ import annotations

import os
import platform
import tempfile
import traceback
from datetime import UTC, datetime
from pathlib import Path

from platformdirs import user_log_path

from annotate.text import one_line


def report_fault(error: BaseException) -> str:
    """Write the details to a log file and return the line for the user."""
    what = one_line(f"{type(error).__name__}: {error}")[:200]
    log = _write_log(error)
    where = f"details are in {log}" if log else "the details could not be written to a log"
    return f"takeproof failed through a fault of its own ({what}); {where}"


def _write_log(error: BaseException) -> Path | None:
    now = datetime.now(UTC)
    text = "\n".join(
        [
            f"{now.isoformat(timespec='seconds')}  Python {platform.python_version()}  "
            f"{platform.platform()}",
            "".join(traceback.format_exception(error)),
        ]
    )
    for folder in (user_log_path("takeproof", appauthor=False), Path(tempfile.gettempdir())):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            log = folder / f"takeproof-fault-{now:%Y%m%d-%H%M%S}-{os.getpid()}.log"
            log.write_text(text, encoding="utf-8")
        except OSError:
            continue
        return log
    return None
