"""Reads a bill back: the workbook with openpyxl, the CSV with Python's csv (RFC 4180), both against the JSON.

    workbook_oracle.py FOLDER

The folder holds `bill.xlsx`, `bill.json`, and `tree.csv`, `flat.csv`, `make.csv`, `buy.csv`, `material.csv`, all of one
bill. Shares no code with the program. Prints what it compared; ends with 1 where anything differs.
"""

import csv
import io
import json
import math
import sys
import zipfile
from decimal import Decimal
from pathlib import Path

import openpyxl

VIEWS = {"Indented list": "tree", "Totals": "flat", "Make": "make", "Buy": "buy", "Materials": "material"}
SHEETS = [*VIEWS, "Open lines", "Findings"]
HEADINGS = 4  # the row of the headings, counted from 1

faults = []


def check(holds, what):
    if not holds:
        faults.append(what)


def rows_of_csv(path):
    """The lines of the bill as dictionaries, after looking at the form of the file."""
    data = path.read_bytes()
    check(data.endswith(b"\r\n"), f"{path.name}: the last record ends with CRLF")
    records = list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))
    check(len({len(record) for record in records}) == 1, f"{path.name}: every record has as many cells")
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(records)
    again = list(csv.reader(io.StringIO(out.getvalue(), newline=""), strict=True))
    check(again == records, f"{path.name}: written again it says the same")
    starts = "=+-@\t\r"
    check(not any(cell.startswith(tuple(starts)) for record in records for cell in record), f"{path.name}: a formula")
    head, *lines = records
    bare = lambda cell: cell.removeprefix("'")
    check([line[0] for line in lines[:1] + lines[-1:]] == ["about", "caution"], f"{path.name}: about and caution")
    return [dict(zip(head[1:], map(bare, line[1:]))) for line in lines if line[0] == "line"]


def ends(quantity):
    return [str(quantity.get(end, "")) for end in ("least", "most")]


def issues_of(value):
    if isinstance(value, dict):
        return "undecided"
    return " or ".join(issue["issue"] or "none" for issue in value)


def flattened(line, depth=0):
    """The tree of the JSON as rows, one for each choice."""
    for choice in line["choices"]:
        yield {
            "level": str(depth),
            "find": line["find"] or "",
            "position": line["position"] or "",
            "part": choice["part"] or choice["kind"],
            "description": choice["description"] or "",
            "each": " or ".join(str(way["each"]) for way in choice["ways"]),
            "least": ends(choice["quantity"])[0],
            "most": ends(choice["quantity"])[1],
            "state": line["state"],
            "deviations": ", ".join(deviation["reference"] for deviation in choice["deviations"]),
        }
        for below in choice["below"]:
            yield from flattened(below, depth + 1)


def totals(bill, view):
    """The totals of the JSON that belong to a view."""
    for total in bill["totals"]:
        quantity = total["quantity"] if view == "flat" else total["to_get"]
        wanted = {"flat": True, "make": total["source"] == "made", "buy": total["source"] != "made"}[view]
        if wanted and quantity.get("most") != 0:
            yield {
                "part": total["part"],
                "description": total["description"],
                "source": total["source"],
                "least": ends(quantity)[0],
                "most": ends(quantity)[1],
                "deviations": ", ".join(deviation["reference"] for deviation in total["deviations"]),
            }


def materials(bill):
    kilograms = lambda micrograms: f"{Decimal(micrograms) / 10**9:.9f}" if micrograms != "" else ""
    for total in bill["materials"]:
        least, most = ends(total["mass"]["micrograms"])
        yield {
            "material": total["material"] or "not recorded",
            "thickness": total["thickness"] or "",
            "parts": str(len(total["parts"])),
            "least": ends(total["pieces"])[0],
            "most": ends(total["pieces"])[1],
            "least_mass_kg": kilograms(least),
            "most_mass_kg": kilograms(most),
            "parts_without_mass": str(total["mass"]["parts_without_mass"]),
        }


def in_json(bill, view):
    if view == "tree":
        return list(flattened(bill["tree"]))
    return list(materials(bill) if view == "material" else totals(bill, view))


def same(cell, text):
    """Whether a cell says what a cell of the CSV says."""
    value = cell.value
    if value is None:
        return text == ""
    if cell.data_type == "n":
        return text != "" and Decimal(repr(value)) == Decimal(text)
    return str(value).replace("_x000D_", "\r") == text


def compare_sheet(sheet, lines):
    """A sheet against the lines of the CSV, cell by cell; how many cells there were."""
    rows = list(sheet.iter_rows(min_row=HEADINGS + 1))
    check(len(rows) == len(lines), f"{sheet.title}: {len(rows)} rows for {len(lines)} lines")
    for row, line in zip(rows, lines):
        check(len(row) == len(line), f"{sheet.title}: {len(row)} columns for {len(line)}")
        for cell, (name, text) in zip(row, line.items()):
            check(same(cell, text), f"{sheet.title} {cell.coordinate}, {name}: {cell.value!r} for {text!r}")
    return sum(len(row) for row in rows)


def set_up(sheet, caution):
    """What stays in sight, what can be filtered, what is printed on every page."""
    check(sheet.freeze_panes == f"A{HEADINGS + 1}", f"{sheet.title}: headings that stay: {sheet.freeze_panes}")
    first, last = sheet.auto_filter.ref.split(":")
    whole = sheet.cell(max(sheet.max_row, HEADINGS), sheet.max_column).coordinate
    check((first, last) == (f"A{HEADINGS}", whole), f"{sheet.title}: filter {sheet.auto_filter.ref}, not to {whole}")
    check(sheet.print_title_rows == f"$1:${HEADINGS}", f"{sheet.title}: repeated rows {sheet.print_title_rows}")
    letters = [cell.column_letter for cell in sheet[HEADINGS]]
    wide = sum(sheet.column_dimensions[letter].width for letter in letters)
    upright = "portrait" if wide < 145 else "landscape"
    check(sheet.page_setup.orientation == upright, f"{sheet.title}: {sheet.page_setup.orientation}, {wide} wide")
    for row in sheet.iter_rows(min_row=HEADINGS):
        height = sheet.row_dimensions[row[0].row].height or 15
        for cell in (cell for cell in row if cell.data_type == "s"):
            width = sheet.column_dimensions[cell.column_letter].width
            lines = math.ceil(len(str(cell.value)) / (1.4 * width))
            check(height >= min(12 * lines, 409), f"{sheet.title} {cell.coordinate}: {lines} lines in {height} points")
    fits = (sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight)
    pages = fits[1] or 1
    check((fits[0], fits[2]) == (True, 0), f"{sheet.title}: fits its width: {fits}")
    part = [cell.column_letter for cell in sheet[HEADINGS] if cell.value == "Part"]
    if part:
        repeated = f"$A:${part[0]}" if pages > 1 else None
        check(sheet.print_title_cols == repeated, f"{sheet.title}: repeated columns {sheet.print_title_cols}")
        order = "overThenDown" if pages > 1 else None
        check(sheet.page_setup.pageOrder == order, f"{sheet.title}: {sheet.page_setup.pageOrder}")
        # At 7 points a sheet of A4 holds some 185 figures side by side.
        again = sum(sheet.column_dimensions[letter].width for letter in letters[: letters.index(part[0]) + 1])
        check((wide + (pages - 1) * again) / pages < 185, f"{sheet.title}: {wide} wide on {pages} pages prints too small")
    check(sheet.title in (sheet.oddHeader.left.text or ""), f"{sheet.title}: its name is in the header")
    check(sheet.oddHeader.right.text == "Page &P of &N", f"{sheet.title}: {sheet.oddHeader.right.text!r}")
    foot = " ".join((sheet.oddFooter.left.text or "").split())
    check(foot == caution, f"{sheet.title}: the caution is at the foot: {foot!r}")
    for cell in sheet[HEADINGS]:
        wants = any(word in str(cell.value).lower() for word in ("mass", "thickness", "least", "most", "each"))
        check(not wants or str(cell.value).endswith(")"), f"{sheet.title}: `{cell.value}` has no unit")


def main(folder):
    bill = json.loads((folder / "bill.json").read_text())
    book = openpyxl.load_workbook(folder / "bill.xlsx")
    check(book.sheetnames == SHEETS, f"sheets {book.sheetnames}")
    cells = 0
    for name, view in VIEWS.items():
        lines = rows_of_csv(folder / f"{view}.csv")
        wanted = in_json(bill, view)
        check(len(lines) == len(wanted), f"{view}: {len(lines)} lines, {len(wanted)} in the JSON")
        for line, expected in zip(lines, wanted):
            told = {column: line[column] for column in expected}
            check(told == expected, f"{view}: {told} for {expected}")
        cells += compare_sheet(book[name], lines)
    tree = [row for row in rows_of_csv(folder / "tree.csv") if row["state"] != "settled"]
    cells += compare_sheet(book["Open lines"], tree)
    for sheet in book:
        set_up(sheet, bill["caution"])
        for cell in (cell for row in sheet.iter_rows() for cell in row):
            check(cell.data_type in ("n", "s"), f"{sheet.title} {cell.coordinate} is of type {cell.data_type}")
    with zipfile.ZipFile(folder / "bill.xlsx") as raw:
        for name in raw.namelist():
            text = raw.read(name)
            check(name.startswith("xl/worksheets/") is False or b"<f>" not in text and b"<f " not in text, f"{name}: <f>")
            check(b"externalLink" not in text and b"<hyperlink" not in text, f"{name}: leads out of the workbook")
    print(f"{cells} cells of {len(book.sheetnames)} sheets read back by openpyxl {openpyxl.__version__}")
    for fault in faults[:20]:
        print(fault)
    if faults:
        print(f"{len(faults)} differences")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
