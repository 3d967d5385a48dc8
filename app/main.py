"""The way in: a command goes to the command line, anything else opens the window. Only the window loads Qt."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import traceback
from collections.abc import Sequence
from io import TextIOWrapper
from pathlib import Path

from app.screen import has_screen, require_qt
from colourcore.cli import COMMANDS, EXAMPLE_SHEET, example_folder
from colourcore.cli import main as run_command
from colourcore.errors import InputError

__all__ = ["DEBUG_VARIABLE", "OUR_FAULT", "main"]

DEBUG_VARIABLE = "DUSKGRAIN_DEBUG"
"""Set to anything, our own faults show their traceback instead of one sentence."""

OUR_FAULT = 70
"""The exit code of a fault of ours, as in the BSD header sysexits.h (EX_SOFTWARE)."""

_INTERRUPTED = 130


def main() -> int:
    """Run `duskgrain` with the arguments of this process and return its exit code."""
    _speak_utf8()
    try:
        code = _dispatch(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        _leave_the_pipe()
        return 0
    except KeyboardInterrupt:
        return _INTERRUPTED
    except InputError as error:
        print(f"duskgrain: {error}", file=sys.stderr)
        return 1
    except Exception as fault:  # the last door: what nobody caught is ours, and is told as such
        if os.environ.get(DEBUG_VARIABLE):
            raise
        print(_our_fault(fault), file=sys.stderr)
        return OUR_FAULT
    return code


def _dispatch(arguments: Sequence[str]) -> int:
    if not arguments or (arguments[0] not in COMMANDS and not arguments[0].startswith("-")):
        return _open_window(arguments)
    try:
        code = run_command(arguments)
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else int(leaving.code is not None)
    if code or arguments[0] != "example":
        return code
    sys.stdout.flush()
    if not has_screen(os.environ, sys.platform):
        print("There is no screen here, so the window stays closed.", file=sys.stderr)
        return 0
    return _open_window([str(example_folder() / EXAMPLE_SHEET)])


def _open_window(paths: Sequence[str]) -> int:
    for path in paths:
        if not Path(path).exists():
            raise InputError(f"expected a command ({', '.join(COMMANDS)}) or a file that exists, got {path}")
    if not has_screen(os.environ, sys.platform):
        commands = f"{', '.join(COMMANDS[:-1])} and {COMMANDS[-1]}"
        raise InputError(f"expected a screen to open the window on, got none; the commands {commands} need no screen")
    require_qt(os.environ, sys.platform)
    from app.views.window import run_window

    # Qt's loop would keep an interrupt waiting for good; every edit is on disk, so the system may end it at once
    kept = signal.signal(signal.SIGINT, signal.SIG_DFL)
    try:
        return run_window(paths)
    finally:
        signal.signal(signal.SIGINT, kept)


def _speak_utf8() -> None:
    """Write UTF-8 with plain line ends into files and pipes, and never stumble over a letter a terminal lacks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            if stream.isatty():
                stream.reconfigure(errors="replace")
            else:
                stream.reconfigure(encoding="utf-8", newline="\n")


def _leave_the_pipe() -> None:
    """Point standard output at nothing, so that the interpreter's last flush finds no closed pipe."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def _our_fault(fault: Exception) -> str:
    frames = traceback.walk_tb(fault.__traceback__)
    ours = [str(frame.f_globals.get("__name__", "")) for frame, _ in frames]
    module = next((name for name in reversed(ours) if name.startswith(("app.", "colourcore."))), __name__)
    beginning = f"duskgrain: {module} failed ({type(fault).__name__}), which is our fault and not yours;"
    details = "".join(traceback.format_exception(fault))
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", prefix="duskgrain-fault-", suffix=".txt", delete=False
        ) as file:
            file.write(details)
    except OSError:
        return f"{beginning} run it again with {DEBUG_VARIABLE}=1 to see the details."
    return f"{beginning} the details are in {file.name}"


if __name__ == "__main__":
    sys.exit(main())
