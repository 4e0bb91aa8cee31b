//! Codes of what is claimed of an airframe.

use super::codes;

codes! {
    UNKNOWN_AIRFRAME = "C101" Stop "unknown airframe"
        meaning "A record is about an airframe that has no `Airframe` record. It is left out."
        example "Claim(airframe: \"HB199\", ...)"
        remedy "Correct the serial, or add an `Airframe` record.";
    UNKNOWN_EVIDENCE = "C102" Stop "unknown evidence"
        meaning "A claim rests on an item that is not in the airframe's evidence register."
        example "rests_on: [\"E99\"]"
        remedy "Correct the name, or add the item to the register.";
    EVIDENCE_OF_ANOTHER = "C103" Stop "evidence of another airframe"
        meaning "The item is in the register of another airframe; it shows nothing of this one."
        example "Claim(airframe: \"HB133\", rests_on: [\"E7\"], ...)   // E7 is of HB140"
        remedy "Name evidence of this airframe; if the item is about both, enter it in both registers.";
    RESTS_ON_NOTHING = "C104" Stop "claim that rests on nothing"
        meaning "A claim without evidence is an assumption. It is left out."
        example "rests_on: []"
        remedy "Name the evidence, or write it as an `Assumption` with its reason.";
    MODEL_CONTRADICTS_BLOCK = "C105" Stop "model contradicts the serial block"
        meaning "The airframe's record and the serial block of its serial give different models: one of the two, or the serial, is wrong."
        example "Airframe(serial: \"HB133\", model: \"Mk 2\", ...)   // the block says Mk 1"
        remedy "Check the serial and the model against the data plate.";
    BUILT_OPEN = "C106" Stop "build date without two ends"
        meaning "Every history starts on the build date, so the earliest and the latest day must be given."
        example "built: \"by 1951\""
        remedy "Give the window between the days that are certain, as in `1950-06..1951-03`.";
    DELIVERED_BEFORE_BUILT = "C107" Stop "delivered before it was built"
        meaning "The delivery ends before the build date starts."
        example "built: \"1951-03\", delivered: \"1951-01\""
        remedy "Correct one of the dates.";
    BEFORE_BUILT = "C108" Stop "dated before the airframe was built"
        meaning "The whole date lies before the airframe's build date, when it had no state yet."
        example "built: \"1951-03-14\" and when: \"1950\""
        remedy "Check the date, and whether the evidence is of this airframe.";
    NOT_A_CANDIDATE = "C109" Stop "seen part that is no candidate"
        meaning "What was seen is not among the parts that may be fitted at the position."
        example "SeenPart(\"60-2200/10\", \"60-2301\")"
        remedy "Correct the part or the position, or add the part as a candidate with its condition.";
    NEVER_EMPTY = "C110" Stop "seen empty, but never empty"
        meaning "Nothing was seen at the position, and the structure does not say when nothing is fitted there."
        example "SeenNothing(\"60-2200/10\")"
        remedy "Add `nothing_when` to the position, or look whether the part was merely missing: then drop the claim.";
    STATE_NOT_A_DAY = "C111" Stop "build state without a day"
        meaning "A named build state is the state at the end of one day."
        example "BuildState(date: \"1951\", ...)"
        remedy "Give a whole date, as in `1951-06-30`.";
    ADDED_AND_LEFT_OUT = "C112" Stop "modification both added and left out"
        meaning "The build state cannot do both."
        example "add: [(modification: \"M014\", ...)], leave_out: [(modification: \"M014\", ...)]"
        remedy "Remove one of the two.";
    ASSUMES_NOTHING = "C113" Note "assumption that assumes nothing"
        meaning "No retrospective modification is open to this airframe without being named in a claim, so the assumption adds nothing."
        example "assumes: UnrecordedNotEmbodied"
        remedy "Remove the assumption.";
}
