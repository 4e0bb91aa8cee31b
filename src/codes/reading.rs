//! Codes of reading files.

use super::codes;

codes! {
    NOT_RON = "R101" Stop "not well-formed RON"
        meaning "The text breaks the rules of RON, the notation that dossiers are written in: a bracket is not closed, a comma or a quote is missing. The record that holds the fault is left out; all other records are read."
        example "Part(number: \"60-2201\", description: \"Segment\" source: Made)   // comma missing before source"
        remedy "Mend the text at the mark; the bracket or quote that was opened last is the usual culprit.";
}
