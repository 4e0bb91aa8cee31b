//! Codes of reading files.

use super::codes;

codes! {
    NOT_RON = "file-101" Stop "not well-formed RON"
        meaning "The text breaks the rules of RON, the notation that dossiers are written in: a bracket is not closed, a comma or a quote is missing. The record that holds the fault is left out; all other records are read."
        example "Part(number: \"60-2201\", description: \"Segment\" source: Made)   // comma missing before source"
        remedy "Correct the text at the mark; the bracket or quote that was opened last is the usual culprit.";
    UNKNOWN_FIELD = "file-102" Stop "unknown field"
        meaning "A record holds a field that this kind of record does not have, most often a typing error. It is not skipped, because what it says would silently be lost. The record is left out until it is corrected."
        example "Part(number: \"60-2201\", description: \"Segment\", source: Made, hnad: Port)   // hand is meant"
        remedy "Write the field as the help line spells it. A remark goes into `note`, or after `//`.";
    UNKNOWN_RECORD = "file-103" Stop "unknown kind of record"
        meaning "Each record begins with the word that says what it is: a part, a modification, a claim. This word is none of them, or is missing, so the record cannot be read."
        example "Prat(number: \"60-2201\", description: \"Segment\", source: Made)   // Part is meant"
        remedy "Write one of the kinds that the help line names, with a capital letter where it has one.";
    UNKNOWN_WORD = "file-104" Stop "unknown word"
        meaning "Some values are chosen from a few fixed words, such as `Port` and `Starboard`. This value is none of the words that are allowed here."
        example "Part(number: \"60-2201\", description: \"Segment\", source: Made, hand: Left)   // Port is meant"
        remedy "Choose one of the words that the help line lists, and write it without quotes.";
    MISSING_FIELD = "file-105" Stop "missing field"
        meaning "A record lacks a field without which it says nothing that can be relied on. Nothing is assumed in its place."
        example "Part(number: \"60-2201\", source: Made)   // what is the part? description is missing"
        remedy "Add the field. If its value is not known, enter what the source says and put the doubt into `note`.";
    DUPLICATE_FIELD = "file-106" Stop "field given twice"
        meaning "A record gives the same field twice. Which of the two is meant cannot be known, even if they are alike."
        example "Part(number: \"60-2201\", description: \"Segment\", source: Made, source: Bought)"
        remedy "Keep the right one and remove the other.";
    WRONG_KIND = "file-107" Stop "wrong kind of value"
        meaning "A value is of another kind than its field holds: a number where a text in quotes belongs, one text where a list belongs, or too few or too many values in brackets."
        example "Part(number: 602201, description: \"Segment\", source: Made)   // a part number is a text: \"60-2201\""
        remedy "Texts, lengths, dates and numbers of parts go in quotes; quantities are bare digits; lists go in square brackets, even lists of one.";
    UNREADABLE = "file-108" Stop "file cannot be opened"
        meaning "A file of the project folder could not be read from the disk. Everything that it holds is missing from every answer."
        example "a file that only another user may read"
        remedy "Give yourself leave to read the file, close the program that holds it, or move it out of the folder.";
    NOT_UTF8 = "file-109" Stop "file is not UTF-8 text"
        meaning "A file was saved in another character encoding than UTF-8, so that letters beyond plain English would be misread. None of its records are read."
        example "a file saved as \"Windows-1252\" with a degree sign or an accent in it"
        remedy "Open the file in the editor that it was written with and save it again as UTF-8.";
    NOT_A_LIST = "file-110" Stop "file is not a list of records"
        meaning "A file of the project is one list in square brackets, with a comma after each record. This file begins with something else."
        example "Part(number: \"60-2201\", description: \"Segment\", source: Made)   // without [ ] round the records"
        remedy "Put `[` before the first record and `]` after the last.";
    DOCUMENT_MISSING = "file-120" Note "file that a record shows is not there"
        meaning "Evidence and claims may name scans and photographs in the project folder. No such file lies there, so what the record says cannot be looked at. No answer changes."
        example "Evidence(shown_in: [(file: \"papers/E2-sheet-3.jpg\")], ...)   // no such file below the project folder"
        remedy "Correct the path, which starts at the project folder, or put the file there.";
}
