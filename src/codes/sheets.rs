//! Codes of taking in sheets.

use super::codes;

codes! {
    SHEET_UNREADABLE = "sheet-201" Stop "sheet cannot be read"
        meaning "The file is neither a workbook (`.xlsx`) nor text with commas, semicolons or tabs in UTF-8, or it is not said which of its sheets is meant. Nothing of it is imported."
        example "a workbook with the sheets `Parts` and `Parts (2)`, and no word on which is meant"
        remedy "Save the file again as a workbook or as CSV in UTF-8; name the sheet with `--sheet`.";
    SHEET_COLUMN = "sheet-202" Stop "column missing or named twice"
        meaning "A column without which no record can be made is not among the headings, or two columns have the same meaning. Nothing of the sheet is imported, because every row would be wrong."
        example "headings `Item` and `Description`, where the part number is under `Item`"
        remedy "Write the heading as the help line names it, or say in a mapping file which column is meant.";
    SHEET_CHANGED = "sheet-203" Stop "cell that a spreadsheet may have changed"
        meaning "Spreadsheets turn what looks like a number or a date into one: `34` into `34.0`, `0034` into `34`, `3-4` into the third of April, a month into its first day, an empty date into a day of 1899 or 1900. What was written before cannot be known from what stands there now. The row is rejected."
        example "a part number that is the number 34, where the list has 0034"
        remedy "Format the column as text, write the cell again from the paper, and take the sheet in again.";
    SHEET_VALUE = "sheet-204" Stop "cell that does not fit its column"
        meaning "The cell holds something that its column cannot say: a word that is none of those allowed, a date or a length that cannot be read, an error of the spreadsheet. The row is rejected."
        example "`source` is `Manufactured`; the words are Made, Bought and Standard"
        remedy "Write the cell as the help line says.";
    SHEET_UNIT = "sheet-205" Stop "unit missing or mixed"
        meaning "A length or a mass has no unit, or another one than its column. Which is meant cannot be known. The row is rejected."
        example "heading `x (mm)`, and a cell `1.5in`"
        remedy "Write the unit into the heading in brackets, or into each cell, and keep to one in a column of measured holes.";
    SHEET_EMPTY = "sheet-206" Stop "cell left empty that must be filled"
        meaning "A row lacks something without which its record says nothing that can be relied on. Nothing is assumed in its place; the row is rejected."
        example "a part number without a description"
        remedy "Fill the cell, or delete the row if it is none.";
    SHEET_BLANKS = "sheet-207" Stop "spaces round the text of a cell"
        meaning "A cell begins or ends with spaces that nobody sees. Two names that differ in them look alike and are not. The row is rejected."
        example "`27-1452 ` with a space after it"
        remedy "Take the spaces away in the sheet, or let a mapping file say `trim_blanks: true`.";
    SHEET_MERGED = "sheet-208" Stop "merged cells"
        meaning "Cells that are merged hold one value, and the sheet does not say for which of their rows and columns it was meant. The rows are rejected."
        example "one `Material` merged over four parts"
        remedy "Split the cells and write the value into each.";
    SHEET_TWICE = "sheet-209" Stop "record twice in one sheet"
        meaning "Two rows of the sheet are about the same thing. The first is imported; which of the two is right cannot be known, even if they are alike."
        example "part number 27-1452 in row 12 and in row 340"
        remedy "Delete one of the rows.";
    SHEET_DIFFERS = "sheet-210" Stop "sheet and dossier differ"
        meaning "The dossiers have the record already, and say something else in a column that the sheet has. Nothing is overwritten: the dossier stays as it is."
        example "the sheet gives 20swg for 27-1452, its `Part` record 18swg"
        remedy "Find out which is right, and correct the other.";
    COLUMN_LEFT = "sheet-211" Note "column not imported"
        meaning "The sheet has a column that no field of the record answers to. What it says is not imported; the rest of the row is."
        example "a column `Drawer`"
        remedy "Say in a mapping file which field is meant, or that the column is left out, as in `columns: [(\"Drawer\", \"\")]`.";
}
