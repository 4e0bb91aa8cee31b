//! Codes of what is claimed of an airframe.

use super::codes;

codes! {
    UNKNOWN_AIRFRAME = "claim-101" Stop "unknown airframe"
        meaning "A record is about an airframe that has no `Airframe` record. It is left out."
        example "Claim(airframe: \"HB199\", ...)"
        remedy "Correct the serial, or add an `Airframe` record.";
    UNKNOWN_EVIDENCE = "claim-102" Stop "unknown evidence"
        meaning "A claim rests on an item that is not in the airframe's evidence register."
        example "rests_on: [\"E99\"]"
        remedy "Correct the name, or add the item to the register.";
    EVIDENCE_OF_ANOTHER = "claim-103" Stop "evidence of another airframe"
        meaning "The item is in the register of another airframe; it shows nothing of this one."
        example "Claim(airframe: \"HB133\", rests_on: [\"E7\"], ...)   // E7 is of HB140"
        remedy "Name evidence of this airframe; if the item is about both, enter it in both registers.";
    RESTS_ON_NOTHING = "claim-104" Stop "claim that rests on nothing"
        meaning "A claim without evidence is an assumption. It is left out."
        example "rests_on: []"
        remedy "Name the evidence, or write it as an `Assumption` with its reason.";
    MODEL_CONTRADICTS_BLOCK = "claim-105" Stop "model contradicts the serial block"
        meaning "The airframe's record and the serial block of its serial give different models: one of the two, or the serial, is wrong."
        example "Airframe(serial: \"HB133\", model: \"Mk 2\", ...)   // the block says Mk 1"
        remedy "Check the serial and the model against the data plate.";
    BUILT_OPEN = "claim-106" Stop "build date without two ends"
        meaning "Every history starts on the build date, so the earliest and the latest day must be given."
        example "built: \"by 1951\""
        remedy "Give the window between the days that are certain, as in `1950-06..1951-03`.";
    DELIVERED_BEFORE_BUILT = "claim-107" Stop "delivered before it was built"
        meaning "The delivery ends before the build date starts."
        example "built: \"1951-03\", delivered: \"1951-01\""
        remedy "Correct one of the dates.";
    BEFORE_BUILT = "claim-108" Stop "dated before the airframe was built"
        meaning "The whole date lies before the airframe's build date, when it had no state yet."
        example "built: \"1951-03-14\" and when: \"1950\""
        remedy "Check the date, and whether the evidence is of this airframe.";
    NOT_A_CANDIDATE = "claim-109" Stop "seen part that is no candidate"
        meaning "What was seen is not among the parts that may be fitted at the position."
        example "SeenPart(\"60-2200/10\", \"60-2301\")"
        remedy "Correct the part or the position, or add the part as a candidate with its condition.";
    NEVER_EMPTY = "claim-110" Stop "seen empty, but never empty"
        meaning "Nothing was seen at the position, and the structure does not say when nothing is fitted there."
        example "SeenNothing(\"60-2200/10\")"
        remedy "Add `nothing_when` to the position, or look whether the part was merely missing: then drop the claim.";
    STATE_NOT_A_DAY = "claim-111" Stop "build state without a day"
        meaning "A named build state is the state at the end of one day."
        example "BuildState(date: \"1951\", ...)"
        remedy "Give a whole date, as in `1951-06-30`.";
    ADDED_AND_LEFT_OUT = "claim-112" Stop "modification both added and left out"
        meaning "The build state cannot do both."
        example "add: [(modification: \"M014\", ...)], leave_out: [(modification: \"M014\", ...)]"
        remedy "Remove one of the two.";
    ASSUMES_NOTHING = "claim-113" Note "assumption that assumes nothing"
        meaning "No retrospective modification is open to this airframe without being named in a claim, so the assumption adds nothing."
        example "assumes: UnrecordedNotEmbodied"
        remedy "Remove the assumption.";
    READ_ON_ANOTHER = "claim-120" Stop "place on evidence that the claim does not rest on"
        meaning "`read_on` says where on its evidence a claim is read. The item that it names is none of those in `rests_on`, or the claim rests on several and none is named. The place is left out."
        example "rests_on: [\"E1\", \"E2\"], read_on: [(page: \"3\")]   // on page 3 of which?"
        remedy "Name the item in `evidence`, as in `read_on: [(evidence: \"E1\", page: \"3\")]`.";

    CLAIMS_CONTRADICT = "claim-201" Stop "firm claims that cannot all hold"
        meaning "No history keeps the rules and all these firm claims. Until one of them is doubted, nothing can be said of what they touch."
        example "three claims that each agree with the others two by two, but not all together"
        remedy "Look at the evidence again, and mark the claim that you trust least as `Doubtful`.";
    BEFORE_LEAFLET = "claim-202" Stop "embodied before its leaflet"
        meaning "A claim puts the embodiment before the date of the leaflet, when nobody could have known of the modification."
        example "Claim(says: Embodied(\"M014\", Retrospective), when: \"1943-05\", ...)   // leaflet of 1944-02"
        remedy "Check the date of the claim and the date of the leaflet; an issue of the leaflet may have been earlier.";
    NOT_FOR_THIS_SERIAL = "claim-203" Stop "embodied by a form that was not open to the serial"
        meaning "The claim says that the modification was embodied by a form which does not cover this serial, or which the modification never had."
        example "Claim(says: Embodied(\"M014\", Retrospective), ...)   // leaflet for HB101..HB120 only"
        remedy "Check the number of the modification and the serial against the evidence, and the leaflet's list of serials.";
    WITHOUT_PREREQUISITE = "claim-204" Stop "embodied without what it requires"
        meaning "The claims have a modification in at a time when what it requires was not."
        example "M014 requires M010; claims say that M014 was embodied in 1944, and M010 was not as of 1945"
        remedy "Look for the record of the required modification; otherwise doubt one of the claims.";
    EXCLUDING_TOGETHER = "claim-205" Stop "modifications that exclude each other, both embodied"
        meaning "The claims have two modifications in at one time that cannot both be fitted."
        example "M014 excludes M015; claims have both in from 1945 on"
        remedy "Look for the record of the removal of one; otherwise doubt one of the claims.";
    ONE_OF_BROKEN = "claim-206" Stop "one-of group not kept"
        meaning "The claims have two modifications of a group in at one time, or none where one must be."
        example "OneOf(modifications: [\"M003\", \"M057\"], ...), and claims have both in"
        remedy "Look for the record of the removal or the embodiment that is wanting; otherwise doubt one of the claims.";
    CLAIMS_DISAGREE = "claim-207" Stop "firm claims that disagree"
        meaning "Firm claims about one modification cannot both be true: it was in and it was not, or it was in by two forms."
        example "one claim says that M014 was embodied in 1944, another that it was not as of 1950"
        remedy "Look at the evidence again; mark the claim that you trust less as `Doubtful`, or add the claim of a removal.";
    AGAINST_THE_LINE = "claim-208" Stop "claim against the production line"
        meaning "The serial is covered by the cut-in and was built with the modification, or it is not and was not; the claim says otherwise."
        example "Claim(says: NotEmbodied(\"M014\"), ...)   // the serial is past the cut-in of M014"
        remedy "Check the cut-in and its exceptions; the airframe may have left the line without, and then belongs in `except`.";
    RULES_CONTRADICT = "claim-209" Stop "rules that this serial cannot keep"
        meaning "The rules alone leave this serial no history, whatever is claimed: for instance it was built with a modification and without what that requires."
        example "the cut-in of M014 covers the serial, that of M010, which M014 requires, does not"
        remedy "Check cut-ins, exceptions and requirements against the leaflets.";
    DOUBTFUL_DROPPED = "claim-210" Note "doubtful claim that cannot hold"
        meaning "The doubtful claims cannot all hold together with the firm ones. Answers that accept the doubtful claims too are given over all best repairs, which drop as few claims as possible, weakest evidence first."
        example "a doubtful claim that M014 was embodied in 1950, a firm one that it was not as of 1955"
        remedy "Nothing need be done; withdraw the claim if nothing speaks for it any more.";
    REPAIRS_NOT_DECIDED = "claim-211" Undecided "too many ways to resolve the contradiction"
        meaning "The claims cannot all hold, and there are more smallest sets of claims to doubt than the limit. What they touch is not answered where the doubtful claims are accepted too."
        example "hundreds of claims that contradict each other in pairs"
        remedy "Resolve the contradictions that are shown, one by one.";
    STATE_BREAKS_RULE = "claim-212" Stop "build state that breaks a rule"
        meaning "What the workshop adds or leaves out obeys the rules too. This choice breaks one."
        example "BuildState(add: [(modification: \"M014\", ...)], ...)   // M014 requires M010, which is not in"
        remedy "Add what is required, leave out what is excluded, or change the choice.";
    STATE_MAY_BREAK_RULE = "claim-213" Undecided "build state that may break a rule"
        meaning "Whether what the workshop adds or leaves out obeys the rule depends on something that is open."
        example "BuildState(add: [(modification: \"M014\", ...)], ...)   // whether M010, which M014 requires, is in is open"
        remedy "Find out what is open, or add or leave it out on purpose as well.";
    CHOICE_CHANGES_NOTHING = "claim-214" Note "choice that changes nothing"
        meaning "The build state adds what is embodied in every history, or leaves out what is embodied in none; perhaps another modification was meant."
        example "BuildState(add: [(modification: \"M014\", ...)], ...)   // M014 was built in on the line"
        remedy "Remove the entry, or correct its number.";
    CLAIMS_NOT_DECIDED = "claim-215" Undecided "claims that were not judged"
        meaning "Whether the claims and the rules can all hold takes more steps than the limit. What they touch is not answered; everything else is answered as usual."
        example "a part seen at a position whose condition combines hundreds of modifications"
        remedy "Enter what else is known of these modifications, or write the condition with fewer of them.";
}
