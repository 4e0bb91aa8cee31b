//! Codes of parts made, forming tools, drawings, sheet metal, permissions and decisions.

use super::codes;

codes! {
    UNKNOWN_STAGE = "part-401" Stop "unknown stage of work"
        meaning "A made part names a stage that is not in the shop's list, so nothing says how far the work has come. The part is kept."
        example "MadePart(stage: \"fromed\", ...)"
        remedy "Write a stage that `modstate explain Stage` lists; what else is to be said belongs in the note.";
    UNKNOWN_DEVIATION = "part-402" Stop "unknown concession or deviation permit"
        meaning "A part says that it was made under a concession or permit that is not in the dossiers. The part is left out."
        example "MadePart(under: [\"DP 9\"], ...)   // no such permit"
        remedy "Correct the reference, or enter the concession or permit.";

    PART_WRONG_VARIANT = "part-411" Stop "made part of the wrong variant"
        meaning "The build state of the airframe that the part is meant for needs another part where this one would go."
        example "a starboard quarter of the line's frame, made for an airframe that had its door at a depot"
        remedy "Not needed for this state: store it for an airframe that takes it. Look at the part before another is made: its number or record may be wrong.";
    PART_WRONG_HAND = "part-412" Stop "made part of the wrong hand"
        meaning "The state needs the opposite hand of this part and not this one, or the hand marked on it is not that of its number."
        example "a port splice plate, where the state has only the starboard one"
        remedy "Look at the part first; if it is of the hand recorded, the opposite hand has to be made.";
    PART_SUPERSEDED = "part-413" Stop "made part of an issue that does not serve"
        meaning "The state calls for another issue of the drawing, and the register does not let the one stand for the other."
        example "a part to issue A, where M014 raised issue B, not interchangeable"
        remedy "Compare the part with the drawing first; if it is as recorded, rework it to the issue that applies or make a new one.";
    PART_OTHER_ISSUE = "part-414" Note "made part of an older issue that serves"
        meaning "The state calls for another issue of the drawing; the register says that the two are interchangeable."
        example "a part to issue B, where issue C applies, interchangeable"
        remedy "It may be used if the inspector accepts it; record its issue.";
    PART_SURPLUS = "part-415" Note "made part that the state has no place for"
        meaning "No position of the build state takes it, or more are on the rack than are fitted."
        example "quantity: 3   // two are fitted"
        remedy "Not needed for this state: store it, or correct the quantity.";
    PART_UNDECIDED = "part-416" Undecided "made part that cannot be judged"
        meaning "Whether the state needs it is open, or which issue applies, or nothing says to which issue it was made."
        example "a part that is fitted post-M014, while it is open whether M014 was embodied"
        remedy "Find out what is open before it is fitted.";
    DONOR_CONTRADICTS = "part-417" Stop "reclaimed part that its donor did not have"
        meaning "By its own records the airframe that it came from had another part there, or had room for fewer than are said to come from it: the number, the airframe or a record is wrong."
        example "MadePart(part: \"60-2205\", reclaimed_from: \"HB140\", ...)   // HB140 was pre-modification"
        remedy "Look at the part and at the donor's records before it is fitted.";
    BATCH_UNLIKE = "part-418" Stop "heat-treatment batch of unlike parts"
        meaning "Parts that share a batch share material, temper and thickness band: they see one furnace, one temperature and one time."
        example "a batch with parts of 18 swg and of 10 swg"
        remedy "Correct the batch of one of the parts, or find out how it was treated.";
    FORMED_ON_WRONG = "part-431" Undecided "part formed on a wrong plate or tool"
        meaning "By a survey or by its record, the plate or tool that the part was formed on was wrong for it on that day: of another plate drawing, of the other hand, out of tolerance, made to other parts, or not made yet. The metal may be wrong, or one of the records."
        example "formed_on: [Plate(\"J22\", \"P4\", \"2024-05-04\")]   // by survey V3 of that week P4 had the holes of JP-2206"
        remedy "Check the mark and the day first; if they are right, compare the part with its drawing before it is fitted.";
    FORMED_ON_CHANGED = "part-432" Note "part formed on a plate that was changed afterwards"
        meaning "The plate was reworked after the part was formed on it and was not surveyed before, so nothing says what it was on that day."
        example "formed on 4 May 2024; reworked 1 June 2024; surveyed 3 June 2024"
        remedy "Compare the part itself with its drawing, and enter what is found in its note.";
    NOT_INSPECTED = "part-433" Note "stage of work without an inspection"
        meaning "A stage of a part is entered as done, and nobody as having inspected it."
        example "work: [(stage: \"formed\", by: \"E. Marrow\", date: \"2024-05-04\")]"
        remedy "Have it inspected before the next stage hides it, and enter `inspected_by` and `inspected`.";

    TOOL_WRONG_VARIANT = "tool-421" Stop "forming tool of the wrong variant"
        meaning "The build state that the tool is kept for needs another part where the tool's part would go."
        example "a form block for the line's frame, kept for an airframe that had its door at a depot"
        remedy "Form no metal on it. Compare it with the drawing first: its record may be wrong.";
    TOOL_SUPERSEDED = "tool-422" Stop "forming tool of an issue that does not serve"
        meaning "Parts formed on the tool would be to an issue that the state does not call for and that is not interchangeable."
        example "a drill template to issue A, where issue B applies"
        remedy "Form no metal on it. Compare it with the drawing first; if it is as recorded, rework it to the issue that applies.";
    TOOL_MISSING = "tool-423" Note "forming tools that are missing"
        meaning "The state that the workshop builds to needs parts that are made on a tool which the shop does not have."
        example "Part(tools: [FormBlock], ...) without a `FormingTool` made to it"
        remedy "Make the tools, or enter them.";
    TOOL_SURPLUS = "tool-424" Note "forming tool that the state does not need"
        meaning "No part that it is made to belongs to the build state that it is kept for."
        example "a block for a part of a removed installation"
        remedy "Not needed for this state: store it.";
    TOOL_UNDECIDED = "tool-425" Undecided "forming tool that cannot be judged"
        meaning "Whether the state needs its part is open, or which issue applies, or nothing says what it was made to."
        example "FormingTool(mark: \"B4\", made_to: [], ...)"
        remedy "Find out what is open before metal is formed on it.";

    DEVIATION_EXPIRED = "permit-431" Stop "made under a concession or permit that had expired"
        meaning "The part was made, or may have been made, after the last day of the concession or permit that it names."
        example "made: \"2022-06-01\", under: [\"DP 4\"]   // expires 2022-03-15"
        remedy "Ask whoever allowed it for a new one; the inspector decides on the part.";
    DEVIATION_OUT_OF_SCOPE = "permit-432" Stop "used outside its scope"
        meaning "The concession or permit is for another part, another airframe, or a position at which the part is no candidate."
        example "under: [\"CN 12\"]   // CN 12 is for another part number"
        remedy "Ask whoever allowed it, or correct the reference.";
    DEVIATION_EXCEEDED = "permit-433" Stop "used for more parts than were allowed"
        meaning "More parts name the concession or permit than its quantity allows."
        example "DeviationPermit(quantity: 2, ...) and three parts made under it"
        remedy "Ask whoever allowed it for more, or correct the records.";
    DEVIATION_LAPSED = "permit-434" Note "permit that expired unused"
        meaning "The shop's own records go on past the last day of the permit, and fewer were made under it than it allows: no further parts may be made under it."
        example "quantity: 2, expires: \"2022-03-15\"   // one was made, and the shop's last entry is of 2022-06"
        remedy "Ask for a new permit before more is made.";

    DRAWINGS_NOT_HELD = "drawing-441" Note "drawing issues that the shop does not hold"
        meaning "Parts of the state that the workshop builds to are made to drawing issues of which the register says that no copy is held."
        example "held: [\"A\"]   // issue B applies"
        remedy "Find a copy before the part is made; `modstate drawings` lists them all.";

    FLAT_UNSOUND = "part-451" Stop "bends that cannot be laid out"
        meaning "A section has one bend fewer than legs, bends between 0 and 180 degrees, a thickness, and flanges that fit inside their curve. The part is kept without its bends."
        example "flat: (legs: [\"1in\"], bends: [(angle: \"90deg\", radius: \"0.1in\")])"
        remedy "Check the legs, bends and flanges against the drawing.";
    RADIUS_BELOW_PUBLISHED = "part-452" Note "bend tighter than the published range"
        meaning "The inside radius is below the low end of the published range for the alloy and temper in which it is bent, at this thickness. This is advice: the drawing and the material specification decide."
        example "0.064 in 2024-T3 bent to a radius of 0.1 in"
        remedy "Check the radius against the drawing; bend in a softer temper, or ask for a larger radius.";

    TWO_TABLES = "table-461" Stop "table of the shop given twice"
        meaning "A project has one table of its own of each kind, in place of the one that comes with the program. Of two it is not known which is meant, so what rests on them is not known."
        example "StagesOfWork(...), StagesOfWork(...)"
        remedy "Keep one of the two records.";
    TABLE_WITHOUT_SOURCE = "table-462" Stop "table of the shop without a source"
        meaning "Answers print where a figure came from, so that it can be checked. A table of the shop that does not say so is not used, and what rests on it is not known."
        example "HeatTreatment(source: \"\", ...)"
        remedy "Write what it was taken from: manual, page and issue, or who in the shop set it and when.";
    TABLE_EMPTY = "table-463" Stop "table of the shop with nothing in it"
        meaning "The table stands in place of the one that comes with the program, and gives nothing. What rests on it is not known."
        example "WireGauges(source: \"Gauge plate in the store\", sizes: [])"
        remedy "Write its rows, or remove the record.";
    FIGURE_OUT_OF_RANGE = "table-464" Stop "figure of a table that cannot be meant"
        meaning "A radius below nothing, a range whose larger end comes first, a number of rivets of nothing, odds of no more than 1, a tolerance class whose name reads like a length: the table is not used, and what rests on it is not known."
        example "(material: \"2024-T3\", radius: [(-1.5, 3.0)])"
        remedy "Check the figure against the source of the table.";
    OUT_OF_ORDER = "table-465" Stop "columns, bands or gauges out of order"
        meaning "Columns and bands go from thin to thick, and gauges from thick to thin. A figure out of order is most often a typing error: the table is not used, and what rests on it is not known."
        example "bands: [\"0.032in\", \"0.0125in\", \"0.250in\"]"
        remedy "Correct the figure, or put them in order.";
    ROW_NOT_WHOLE = "table-466" Stop "row of a table with a cell too many or too few"
        meaning "Each row has a cell for each column. With one too many or too few it is not known which belongs where: the table is not used, and what rests on it is not known."
        example "thickness: [\"0.016in\", \"0.032in\"], radii: [(material: \"2024-O\", radius: [(0.0, 1.0)])]"
        remedy "Compare the row with the source of the table, cell by cell.";
    STAGE_NOT_LISTED = "table-467" Stop "stage that the table of stages does not list in its place"
        meaning "The stages at which a part is heat treated and ready, and those that only new parts go through, are among the stages listed, and a part is not ready before it is heat treated. The table is not used, and what rests on it is not known."
        example "stages: [\"cut\", \"formed\", \"checked\"], treated: \"formed\", ready: \"inspected\""
        remedy "Correct the stage, or add it to the list.";

    DECISIONS_NUMBERED = "decision-501" Stop "gap in the decision book"
        meaning "Decisions are numbered from 1 without a gap. A gap says that one was taken out, and the book is only ever added to."
        example "Decision(number: 1, ...), Decision(number: 3, ...)"
        remedy "Put the missing decision back; to end one, withdraw it by a later one.";
    DECISIONS_BACKWARDS = "decision-502" Stop "decisions out of order"
        meaning "A decision is dated before the one that stands before it in the book."
        example "Decision(number: 2, date: \"2021-03-01\", ...) after one of 2021-04-19"
        remedy "Correct the date.";
    WITHDRAWS_NOTHING = "decision-503" Stop "withdrawal of what is not in force"
        meaning "A decision withdraws one that is not in force before it, is of another airframe, was withdrawn already, or is a withdrawal itself."
        example "Decision(number: 2, decides: Withdraw(5), ...)"
        remedy "Name the decision that is no longer in force.";
    DECISION_DAY = "decision-504" Stop "decision without a day"
        meaning "A decision is taken on one day, and whoever took it knows which."
        example "Decision(date: \"2021\", ...)"
        remedy "Give the day.";
    DECISION_CONTRADICTED = "decision-505" Stop "decision that the evidence contradicts"
        meaning "By the firm claims no history agrees with what was decided."
        example "NotEmbodied(\"M014\") was decided, and a record card has come to light since"
        remedy "Withdraw the decision by a later one, or show that the evidence is of something else.";
    DECISION_DOUBTED = "decision-506" Undecided "decision that doubtful evidence contradicts"
        meaning "If the doubtful claims are accepted too, no history agrees with what was decided; on the firm claims only, some do."
        example "NotEmbodied(\"M014\") was decided, and an unclear photograph shows it"
        remedy "Find out about the doubtful claims, or withdraw the decision.";
    DECISION_NOT_SETTLED = "decision-507" Note "decision that the evidence does not settle"
        meaning "Some histories agree with what was decided and some do not, or nothing says of which build state it was decided: the decision stands on its own reasons."
        example "Embodied(\"M014\") was decided, and no record says so"
        remedy "Look for evidence; `modstate seek` says for which.";
    TWO_STATES_DECIDED = "decision-508" Stop "two states decided for one airframe"
        meaning "Two decisions that are both in force build the same airframe to different states."
        example "BuildTo(\"1951\") and BuildTo(\"1953\"), neither withdrawn"
        remedy "Withdraw the one that no longer holds good.";
    DECISION_CHANGED = "decision-509" Stop "decision that was changed afterwards"
        meaning "An entry of the decision book names the check code of the one before it, and what stands before it now has another: it was changed, and the book is only ever added to."
        example "Decision(number: 4, follows: \"5d0c3b1a\", ...) and decision 3 reworded since"
        remedy "Put back what stood there, and decide anew in a further entry; `modstate decisions` shows the check codes.";
}
