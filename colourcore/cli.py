"""The command line over pipeline and report. Exit 0: done; 1: the input is at fault, one sentence; 2: wrong usage."""

from __future__ import annotations

import argparse
import contextlib
import dataclasses
import sys
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from colourcore.errors import InputError
from colourcore.job.files import write_whole
from colourcore.job.model import Choices, Job, Lab
from colourcore.job.opening import open_job
from colourcore.job.places import ENDING
from colourcore.job.sheet import camera_file, is_sheet, read_sheet, read_table
from colourcore.run.options import OPTIONS, SWITCHES, wish_of

if TYPE_CHECKING:
    from colourcore.image.chart import ChartReference
    from colourcore.pipeline import PatchReading

__all__ = ["COMMANDS", "EXAMPLE_SHEET", "example_folder", "main"]

EXAMPLE_SHEET = "music_chest.csv"

_CHOICES = (
    ("--confidence", 0.0, 1.0, 0.9, "probability inside the interval"),
    ("--past-odds", 0.0, 1.0, 0.1, "odds of being past the target at look_from"),
    ("--due-odds", 0.0, 1.0, 1 / 3, "odds of the piece being past the target when it is due out"),
    ("--pace-spread", 0.0, 1.0, 0.12, "how far a run's pace strays from the test's, as a share"),
    ("--slow-pace", 0.0, 10.0, 0.25, "L* an hour under which darkening counts as slowed"),
    ("--tolerance", 0.0, 20.0, 2.0, "CIEDE2000 that still counts as right"),
)

COMMANDS = ("example", "read", "hours", "plan", "report", "pack", "unpack", "check", "camera")
"""Words that stand for a command; anything else opens the window."""

_REPORT_ENDINGS = (".pdf", ".html", ".csv", ".json")


def example_folder() -> Path:
    """Return the folder of the invented example job: inside the installed package, or at the checkout's top level."""
    packaged = Path(str(resources.files("colourcore"))) / "sample_images"
    return packaged if packaged.is_dir() else Path(str(resources.files("colourcore"))).parent / "sample_images"


def _number_between(low: float, high: float, what: str) -> Callable[[str], float]:
    def parse(text: str) -> float:
        try:
            number = float(text)
        except ValueError:
            number = float("nan")
        if not low < number < high:
            raise argparse.ArgumentTypeError(f"expected {what} between {low:g} and {high:g}, got {text}")
        return number

    return parse


def _lab_numbers(text: str, count: int) -> Lab:
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != count or not 0 <= numbers[0] <= 100 or not all(-150 <= n <= 150 for n in numbers[1:]):
        expected = "L from 0 to 100" if count == 1 else "L,a,b with L from 0 to 100 and a, b from -150 to 150"
        raise argparse.ArgumentTypeError(f"expected {expected}, got {text}")
    return (numbers[0], None, None) if count == 1 else (numbers[0], numbers[1], numbers[2])


def _report_file(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() not in _REPORT_ENDINGS:
        raise argparse.ArgumentTypeError(f"expected a file ending in {', '.join(_REPORT_ENDINGS)}, got {text}")
    return path


def _typed(parse: Callable[[str], Any]) -> Callable[[str], Any]:
    def parsed(text: str) -> Any:
        try:
            return parse(text)
        except InputError as error:
            raise argparse.ArgumentTypeError(error.problem) from error

    return parsed


def _job_file(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() != ENDING:
        raise argparse.ArgumentTypeError(f"expected a file ending in {ENDING}, got {text}")
    return path


def _add_read(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    read = commands.add_parser("read", help="every patch's reading", description="Print the reading of every patch.")
    read.add_argument("sheet", type=Path, metavar="SHEET|JOB", help="a sheet, or a job file")
    form = read.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="JSON, for programs")
    form.add_argument("--csv", action="store_true", help="CSV, which 'hours' takes back")
    _add_light(read)
    read.set_defaults(run=_read)


def _add_hours(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    hours = commands.add_parser(
        "hours", help="the hours to the target shade, with odds", description="Print the hours."
    )
    hours.add_argument("table", type=Path, metavar="SHEET|JOB|READINGS", help="a sheet, a job file, or readings as CSV")
    hours.add_argument("--json", action="store_true", help="JSON, for programs")
    target = hours.add_mutually_exclusive_group()
    target.add_argument(
        "--target-L",
        dest="target",
        type=lambda text: _lab_numbers(text, 1),
        metavar="N",
        help="a target of this lightness",
    )
    target.add_argument(
        "--target-lab",
        dest="target",
        type=lambda text: _lab_numbers(text, 3),
        metavar="L,a,b",
        help="a target of this colour",
    )
    for option, low, high, default, text in _CHOICES:
        kind = _number_between(low, high, option[2:])
        hours.add_argument(option, type=kind, default=default, metavar="N", help=f"{text} (default {default:.3g})")
    _add_light(hours)
    hours.set_defaults(run=_hours)


def _add_plan(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = commands.add_parser("plan", help="charge, looks, clock times, airing, cautions", description="Plan a run.")
    plan.add_argument("table", type=Path, nargs="?", metavar="JOB|SHEET|READINGS", help="where the hours come from")
    for one in OPTIONS:
        plan.add_argument(f"--{one.name}", type=_typed(one.parse), metavar=one.stands_for, help=one.means)
    for name, means in SWITCHES:
        plan.add_argument(f"--{name}", action="store_true", help=means)
    plan.add_argument("--zone-name", metavar="NAME", help="time zone, Europe/Berlin (default: this machine's)")
    plan.add_argument("--us", action="store_true", help="tell amounts in US units too")
    plan.add_argument("--calendar", type=Path, metavar="FILE.ics", help="write the steps as a calendar with alarms")
    plan.add_argument("--sheet", type=Path, metavar="FILE.pdf", help="write the sheet for the wall, .pdf or .html")
    plan.add_argument("--json", action="store_true", help="JSON, for programs")
    _add_light(plan)
    plan.set_defaults(run=_plan)


def _add_report(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    report = commands.add_parser("report", help="a report as PDF, HTML, CSV or JSON", description="Write the report.")
    report.add_argument("sheet", type=Path, metavar="SHEET|JOB", help="a sheet, or a job file")
    report.add_argument(
        "-o",
        "--output",
        type=_report_file,
        required=True,
        metavar="FILE",
        help=f"its ending says the form: {', '.join(_REPORT_ENDINGS)}",
    )
    _add_light(report)
    report.set_defaults(run=_report)


def _add_job_files(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    pack = commands.add_parser("pack", help="a sheet and its photos into a job file", description="Make a job file.")
    pack.add_argument("sheet", type=Path, help="a sheet: CSV that names photos and outlines")
    pack.add_argument("-o", "--output", type=_job_file, required=True, metavar="JOB", help=f"ending in {ENDING}")
    pack.set_defaults(run=_pack)
    unpack = commands.add_parser("unpack", help="a job file's sheet and photos into a folder")
    unpack.add_argument("job", type=Path, metavar="JOB", help="a job file")
    unpack.add_argument("-o", "--output", type=Path, required=True, metavar="FOLDER", help="new, or empty")
    unpack.set_defaults(run=_unpack)
    check = commands.add_parser("check", help="whether a job file is whole", description="Verify a job file.")
    check.add_argument("job", type=Path, metavar="JOB", help="a job file; it stays as it is")
    check.add_argument("--clean-copy", type=_job_file, metavar="JOB", help="write all that can be read into a new file")
    check.set_defaults(run=_check)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="duskgrain",
        description="From photographs of ammonia-fumed wood samples to the hours that reach a chosen shade.",
        epilog="Without a command, duskgrain opens its window on the job, sheet or photos given.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    example = commands.add_parser(
        "example",
        help="the invented example: hours printed, report written here",
        description="Work the invented example.",
    )
    example.set_defaults(run=_example)
    _add_read(commands)
    _add_hours(commands)
    _add_plan(commands)
    _add_report(commands)
    _add_job_files(commands)
    camera = commands.add_parser("camera", help="a camera's tone curve, from photos of one card")
    camera.add_argument("sheet", type=Path, help="a sheet with the same card in three or more photos")
    camera.add_argument("-o", "--output", type=Path, required=True, metavar="FILE", help="the curve, as JSON")
    camera.set_defaults(run=_camera)
    return parser


def _add_light(command: argparse.ArgumentParser) -> None:
    command.add_argument("--camera", type=Path, metavar="FILE", help="the camera's own curve, for every photo")
    command.add_argument("--chart", type=Path, metavar="FILE", help="values of your own chart: CSV, L,a,b under D50")
    command.add_argument("--linear", action="store_true", help="take the codes of every photo as proportional to light")


def _as_declared(job: Job, arguments: argparse.Namespace) -> Job:
    """Return the job with what the options say of its photos."""
    from colourcore.pipeline.measuring import LINEAR

    patches, cameras = job.patches, job.cameras
    if arguments.linear:
        patches = tuple(dataclasses.replace(patch, encoding=LINEAR) for patch in patches)
    if arguments.camera:
        curve = camera_file(arguments.camera.parent, arguments.camera.name)
        cameras = (*(one for one in cameras if one.name != curve.name), curve)
        patches = tuple(dataclasses.replace(patch, camera=curve.name) for patch in patches)
    return dataclasses.replace(job, patches=patches, cameras=cameras)


def _chart(arguments: argparse.Namespace) -> ChartReference | None:
    from colourcore.image.chart import reference_from_text

    if not arguments.chart:
        return None
    return reference_from_text(camera_file(arguments.chart.parent, arguments.chart.name).text, arguments.chart.name)


@contextlib.contextmanager
def _opened(path: Path, arguments: argparse.Namespace) -> Iterator[tuple[Job, Callable[[str], bytes]]]:
    """Yield the job that a sheet or a job file says, and what gives the bytes of its photos."""
    if path.suffix.lower() != ENDING:
        sheet = read_sheet(path)
        yield _as_declared(sheet.job, arguments), sheet.load
        return
    with open_job(path, read_only=True) as file:
        for loss in file.losses:
            print(f"duskgrain: {loss}", file=sys.stderr)
        yield _as_declared(file.job, arguments), file.load


def _read(arguments: argparse.Namespace) -> str:
    from colourcore.pipeline import job_readings, read_job
    from colourcore.report.tables import json_text, readings_csv, readings_json

    with _opened(arguments.sheet, arguments) as (job, load):
        photos = read_job(job, load, chart=_chart(arguments))
    readings = job_readings(job, photos)
    if arguments.json:
        return json_text(readings_json(photos, readings))
    if arguments.csv:
        return readings_csv(readings)
    from colourcore.report.sentences import readings_text

    return readings_text(photos, readings)


def _job_and_readings(arguments: argparse.Namespace) -> tuple[Job, Sequence[PatchReading]]:
    """Return the job (an empty one where the file holds readings) and every reading."""
    from colourcore.pipeline import job_readings, read_job
    from colourcore.report.tables import parse_readings

    header, rows = ([], []) if arguments.table.suffix.lower() == ENDING else read_table(arguments.table)
    if header and not is_sheet(header):
        return Job(), parse_readings(header, rows, arguments.table.name)
    with _opened(arguments.table, arguments) as (job, load):
        return job, job_readings(job, read_job(job, load, chart=_chart(arguments)))


def _hours(arguments: argparse.Namespace) -> str:
    from colourcore.pipeline import answer, compare_groups
    from colourcore.report.tables import hours_json, json_text

    choices = Choices(
        confidence=arguments.confidence,
        past_odds=arguments.past_odds,
        due_odds=arguments.due_odds,
        pace_spread=arguments.pace_spread,
        slow_pace=arguments.slow_pace,
        tolerance_delta_e=arguments.tolerance,
    )
    _, readings = _job_and_readings(arguments)
    groups = answer(readings, choices, target=arguments.target)
    if arguments.json:
        return json_text(hours_json(groups, compare_groups(groups, choices), choices.confidence))
    from colourcore.report.sentences import hours_text

    return hours_text(groups)


def _plan(arguments: argparse.Namespace) -> str:
    from colourcore.pipeline.plan import plan_job
    from colourcore.pipeline.run_of_job import run_wish_of
    from colourcore.pipeline.zone import time_zone
    from colourcore.report.run_export import plan_file
    from colourcore.report.run_tables import plan_json
    from colourcore.report.run_words import plan_text
    from colourcore.report.tables import json_text

    job, readings = (Job(), ()) if arguments.table is None else _job_and_readings(arguments)
    zone = time_zone(arguments.zone_name or job.run.times.zone or None)
    now = datetime.now(zone)
    said = {name.replace("_", "-"): value for name, value in vars(arguments).items()}
    plan = plan_job(wish_of(said, run_wish_of(job, now=now, zone=zone), now=now, zone=zone), readings, job.choices)
    for path in filter(None, (arguments.calendar, arguments.sheet)):
        write_whole(path, plan_file(plan, path.suffix.lower(), job.name, written=now, us=arguments.us))
    return json_text(plan_json(plan)) if arguments.json else plan_text(plan, us=arguments.us)


def _report(arguments: argparse.Namespace) -> str:
    from colourcore.report.export import report_bytes

    with _opened(arguments.sheet, arguments) as (job, load):
        content, _ = report_bytes(
            job, load, arguments.output.suffix.lower(), written=datetime.now(), chart=_chart(arguments)
        )
    write_whole(arguments.output, content)
    return f"Report written to {arguments.output}\n"


def _example(_: argparse.Namespace) -> str:
    from colourcore.report.export import report_bytes
    from colourcore.report.sentences import hours_text

    sheet = read_sheet(example_folder() / EXAMPLE_SHEET)
    job = dataclasses.replace(sheet.job, name="Music chest", invented=True)
    report, results = report_bytes(job, sheet.load, ".pdf", written=datetime.now())
    path = Path.cwd() / "duskgrain-example.pdf"
    write_whole(path, report)
    hours = hours_text(results.groups)
    return f"The invented example, a music chest of two boards.\n\n{hours}\nReport written to {path}\n"


def _pack(arguments: argparse.Namespace) -> str:
    from colourcore.job.archive import pack

    job = pack(arguments.sheet, arguments.output, at=datetime.now().isoformat(timespec="seconds"))
    return f"{arguments.output} holds {len(job.photos)} photos and {len(job.patches)} outlines and targets.\n"


def _unpack(arguments: argparse.Namespace) -> str:
    from colourcore.job.archive import unpack

    unpacked = unpack(arguments.job, arguments.output)
    return "\n".join([f"{unpacked.sheet} and {unpacked.photos} photos written.", *unpacked.notes]) + "\n"


def _check(arguments: argparse.Namespace) -> str:
    from colourcore.job.checkup import check_job

    if arguments.clean_copy:
        from colourcore.job.rescue import clean_copy

        left = clean_copy(arguments.job, arguments.clean_copy)
        return "\n".join([f"All that can be read is in {arguments.clean_copy}.", *left]) + "\n"
    found = check_job(arguments.job)
    if not found.is_sound:
        raise InputError("; ".join(sentence.rstrip(".") for sentence in found.damage), file=arguments.job.name)
    whole = f"version {found.version}, {found.states_read} states and {found.photos_whole} photos, all whole"
    return "\n".join([f"{arguments.job.name}: {whole}.", *found.notes]) + "\n"


def _camera(arguments: argparse.Namespace) -> str:
    from colourcore.image.response import response_to_text
    from colourcore.pipeline.camera import camera_curve

    sheet = read_sheet(arguments.sheet)
    curve = camera_curve(sheet.job, sheet.load)
    write_whole(arguments.output, response_to_text(curve).encode())
    off = f"{curve.photos} photos, which lie {100 * curve.residual:.1f} % of the light from it"
    return f"{arguments.output} holds the tone curve of {curve.camera or 'the camera'}, from {off}.\n"


def main(argv: Sequence[str]) -> int:
    """Run one command and return its exit code. Standard output gets the whole result or nothing."""
    arguments = _parser().parse_args(argv)
    try:
        text = arguments.run(arguments)
    except InputError as error:
        print(f"duskgrain: {error}", file=sys.stderr)
        return 1
    sys.stdout.write(text)
    sys.stdout.flush()
    return 0
