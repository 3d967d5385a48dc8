"""The system's own choosers of files and folders: the only dialogs there are."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from app.wording import tr

__all__ = ["choose_folder", "choose_job", "choose_photos", "choose_report", "choose_sheet_name", "choose_sheet_pdf"]


def choose_photos(parent: QWidget, folder: Path, endings: tuple[str, ...]) -> list[Path]:
    """Return the photos that the user chose; none where it was called off."""
    kinds = " ".join(f"*{ending}" for ending in endings)
    found, _ = QFileDialog.getOpenFileNames(
        parent, tr("Choose photos"), str(folder), tr("Photos ({kinds})", kinds=kinds)
    )
    return [Path(path) for path in found]


def choose_job(parent: QWidget, folder: Path) -> Path | None:
    """Return the job or sheet that the user chose, None where it was called off."""
    kinds = tr("Jobs and sheets ({kinds})", kinds="*.duskgrain *.csv")
    found, _ = QFileDialog.getOpenFileName(parent, tr("Open a job or sheet"), str(folder), kinds)
    return Path(found) if found else None


def choose_sheet_name(parent: QWidget, suggested: Path) -> Path | None:
    """Return where the sheet is to be written, None where it was called off."""
    found, _ = QFileDialog.getSaveFileName(parent, tr("Save as a sheet"), str(suggested), tr("Sheets ({k})", k="*.csv"))
    return Path(found).with_suffix(".csv") if found else None


def choose_report(parent: QWidget, suggested: Path) -> Path | None:
    """Return where the report is to be written, None where it was called off; its ending says which kind."""
    kinds = ";;".join(f"{name} (*{ending})" for name, ending in _REPORTS.items())
    found, chosen = QFileDialog.getSaveFileName(parent, tr("Export the report"), str(suggested), kinds)
    if not found:
        return None
    path = Path(found)
    wanted = next((ending for name, ending in _REPORTS.items() if chosen.startswith(name)), ".pdf")
    return path if path.suffix.lower() in _REPORTS.values() else path.with_name(path.name + wanted)


def choose_sheet_pdf(parent: QWidget, suggested: Path) -> Path | None:
    """Return where a sheet for the wall is to be kept, None where it was called off."""
    found, _ = QFileDialog.getSaveFileName(parent, tr("Keep the sheet"), str(suggested), "PDF (*.pdf)")
    return Path(found).with_suffix(".pdf") if found else None


def choose_folder(parent: QWidget, folder: Path) -> Path | None:
    """Return the folder that the user chose, None where it was called off."""
    found = QFileDialog.getExistingDirectory(parent, tr("Where new photos arrive"), str(folder))
    return Path(found) if found else None


_REPORTS = {"PDF": ".pdf", "HTML": ".html", "CSV": ".csv", "JSON": ".json"}
