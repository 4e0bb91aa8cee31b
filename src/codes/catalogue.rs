//! Codes of the catalogue of the type as a whole, and of its frames.

use super::codes;

codes! {
    REQUIRES_LOOP = "type-101" Stop "modifications that require each other in a loop"
        meaning "Each requires the next and the last the first, so that none of them could be embodied before the others."
        example "M010 with requires: [\"M014\"], and M014 with requires: [\"M010\"]"
        remedy "Check each `requires` against its leaflet and remove the one that is wrong; if they were always done as one job, enter them as one modification.";
    CONTAINS_ITSELF = "type-102" Stop "assembly that contains itself"
        meaning "Following candidates down from the assembly leads back to it, so no bill of parts could come to an end."
        example "Assembly(part: \"60-2200\", ...) with a candidate 60-2210, whose own assembly has the candidate 60-2200"
        remedy "Correct the candidate that names the wrong part.";
    CATALOGUE_GAP = "type-103" Stop "position without a candidate in some state"
        meaning "In a state that the rules allow no candidate is called for, and the position does not say that nothing is fitted then."
        example "candidates: [(part: \"60-2201\", when: Pre(\"M014\"))]   // and post-M014?"
        remedy "Add the candidate for that state, or say with `nothing_when` that nothing is fitted.";
    CATALOGUE_OVERLAP = "type-104" Stop "position with two candidates in some state"
        meaning "In a state that the rules allow two candidates are called for at one position, so the variant is not settled by the state."
        example "candidates: [(part: \"60-2201\", when: Pre(\"M010\")), (part: \"60-2203\", when: Post(\"M014\"))]"
        remedy "Narrow one of the two conditions so that exactly one holds in each state.";
    DEAD_MODIFICATION = "type-105" Stop "modification that no airframe could have"
        meaning "No serial can take the modification by any form with the rules kept: what it requires is excluded, or open to other serials only."
        example "M014 for HB101..HB110 only, with requires: [\"M010\"], which is for HB150..HB160 only"
        remedy "Check the serials, `requires` and `excludes` against the leaflet.";
    DEAD_CANDIDATE = "type-106" Note "candidate that no state calls for"
        meaning "The condition of the candidate holds in no state that the rules allow."
        example "(part: \"60-2203\", when: All([Post(\"M010\"), Post(\"M014\")]))   // M014 excludes M010"
        remedy "Correct the condition, or remove the candidate.";
    DEAD_PLATE = "type-107" Note "plate that no state needs"
        meaning "None of the parts that the plate locates is called for in any state that the rules allow."
        example "Plate(locates: [\"60-2203\"], ...)   // 60-2203 is never fitted"
        remedy "Correct what the plate locates; a plate for parts of another type belongs to that type's folder.";
    REDUNDANT_REQUIRES = "type-108" Note "requirement that follows from another"
        meaning "What the modification requires is required already by something else that it requires. The entry adds nothing, and may hide that another was meant."
        example "M020 with requires: [\"M014\", \"M010\"], where M014 requires M010"
        remedy "Check the leaflet; remove the entry if it says no more.";
    LEAFLET_LIST = "type-109" Stop "leaflet list that does not follow from the structure"
        meaning "The leaflet deletes or introduces a part, and the structure says otherwise. The two come from different documents, and one of them was misread."
        example "changes: [(delete: [\"60-2201\"])]   // the structure still fits 60-2201 post-mod"
        remedy "Compare the leaflet with the condition at the position, and correct the one that was misread.";
    PROOF_NOT_DECIDED = "type-110" Undecided "part of the catalogue that was not proved"
        meaning "Whether the rules and conditions are sound here takes more steps than the limit. Nothing is said of this modification, position or frame, for or against; everything else is proved as usual."
        example "two conditions over 40 modifications each, built from one another in every combination"
        remedy "Write the condition with fewer modifications, or check this place by hand against the drawing.";

    FRAME_GAP = "type-201" Stop "gap in a frame"
        meaning "In a state that the rules allow one segment ends and the next does not start there, and no opening lies between them; or an open path is not covered from its start to its end."
        example "(part: \"60-2201\", from: \"S1\", to: \"S2\"), (part: \"60-2202\", from: \"S3\", to: \"S1\")"
        remedy "Correct the splice point at which one of them ends, or the condition of one of them at its position.";
    FRAME_OVERLAP = "type-202" Stop "segments of a frame in one place"
        meaning "In a state that the rules allow two segments, or a segment and an opening, take up the same length of the girth, by more than their laps."
        example "(part: \"60-2201\", from: \"S1\", to: \"S3\"), (part: \"60-2202\", from: \"S2\", to: \"S1\")"
        remedy "Correct the splice point at which one of them ends, or the condition of one of them.";
    OPENING_NOT_BRIDGED = "type-203" Stop "opening without its bridge piece"
        meaning "In a state that the rules allow the opening is there and a piece that bridges it is not fitted."
        example "openings: [(when: Post(\"M014\"), bridged_by: [\"60-2240\"], ...)]   // 60-2240 is fitted pre-M014 only"
        remedy "Correct the condition of the piece at its position, or the one of the opening.";
    SPLICE_NOT_JOINED = "type-204" Stop "splice without its joint part"
        meaning "In a state that the rules allow segments meet at the splice point and a part of the joint is not fitted."
        example "splice_points: [(name: \"S1\", joined_by: [\"60-2250\"], ...)]   // no position fits 60-2250"
        remedy "Add the part at its position for that state, or correct `joined_by`.";
    SEGMENT_WRONG_HAND = "type-205" Stop "segment on the side that its hand is not for"
        meaning "The segment runs wholly or for its greater part on one side of the frame, looking forward, and its part is recorded for the other."
        example "a segment from 40deg to 130deg whose part has hand: Port"
        remedy "Check the splice points and the hand of the part; frames are seen looking forward, so that 90 deg is starboard.";
    FRAME_BARE = "type-206" Stop "frame without a segment in some state"
        meaning "In a state that the rules allow the frame is fitted and none of its segments is."
        example "a frame whose only segment is fitted post-M014"
        remedy "Add the segments for that state.";
    RUN_BACKWARDS = "type-207" Stop "run against the path"
        meaning "On a path that is open a segment or an opening ends before it starts, counted along the girth; on a closed one it ends where it starts."
        example "(part: \"60-2201\", from: \"S3\", to: \"S1\")"
        remedy "Exchange its two ends.";
    LAP_BEYOND = "type-208" Stop "lap beyond the neighbour"
        meaning "In a state that the rules allow a segment's lap runs past the whole segment that it should lie on, into an opening, or past the end of the path."
        example "(part: \"60-2201\", from: \"S1\", to: \"S2\", lap_to: \"9in\")   // the next segment is 4 in long"
        remedy "Correct the lap or the splice point; at the edge of an opening a segment has no lap.";
    OPENING_WITHOUT_BRIDGE = "type-209" Note "opening that nothing bridges"
        meaning "In a state that the rules allow the opening is there, and no piece is entered that carries the frame across it."
        example "openings: [(name: \"Door\", from: \"S1\", to: \"S2\")]"
        remedy "Enter the pieces that bridge it with `bridged_by`; if nothing does, the path may be an open one.";
    SPLICE_LOOSE = "type-210" Note "splice that nothing joins"
        meaning "In a state that the rules allow two segments meet at the splice point, no part joins them and neither laps over the other."
        example "splice_points: [(name: \"S1\", at: Angle(\"0deg\"))]   // and no laps"
        remedy "Enter the parts of the joint with `joined_by`, or the lap.";
    HANDS_NOT_OPPOSITE = "type-211" Note "opposite hands that do not lie opposite"
        meaning "Two segments are entered as each other's opposite hand, the path is its own mirror image, and the places where they run are not."
        example "a port part from 225deg to 315deg, its opposite from 45deg to 130deg"
        remedy "Check the splice points of both, and whether the two are a pair.";
    SPLICE_MISPLACED = "type-212" Stop "splice point in the wrong place"
        meaning "Several things are wrong with a frame, and all that stops work would be right if one splice point lay between two others. What follows from its place is listed in short, and is not found again by itself."
        example "(name: \"S3\", at: Angle(\"241deg\")), and 142 deg was meant"
        remedy "Check the place of the splice point against the drawing.";
    ENDS_EXCHANGED = "type-213" Stop "segment or opening with its ends exchanged"
        meaning "Several things are wrong with a frame, and all that stops work would be right if one segment or opening ran from its end to its start. Runs go clockwise."
        example "(part: \"60-2201\", from: \"S2\", to: \"S1\")"
        remedy "Exchange `from` and `to`.";

    LAP_TOO_SHORT = "type-221" Note "lap too short for its rows of rivets"
        meaning "The lap of two segments does not hold the rows of rivets with an edge distance at either side. What the record leaves out is counted at the published least. This is advice: approved data overrules it."
        example "lap_to: \"0.25in\" and lap_from: \"0.25in\", and two rows 3/8 in apart with an edge distance of 1/4 in"
        remedy "Check the laps and the rivets against the drawing.";
    RIVETS_TOO_NEAR = "type-222" Note "rivets nearer than the published least"
        meaning "An edge distance is below two diameters of the rivet, a pitch below three, or rows are nearer than three quarters of the pitch (AC 43.13-1B, paragraph 4-57, from memory). This is advice: approved data overrules it, and where the original structure is known, its spacing is repeated."
        example "rivets: [(diameter: \"1/8in\", kind: AdProtruding, edge: \"0.20in\")]"
        remedy "Check the rivets against the drawing.";
    RIVETS_TOO_FEW = "type-223" Note "fewer rivets than a published table asks for"
        meaning "For the sheet, its width and the thinner of the two segments a published table (AC 43.13-1B, tables 4-9 to 4-11) asks for more rivets. Numbers are rounded up twice, as the circular's examples do. This is advice: approved data overrules it."
        example "rivets: [(diameter: \"1/8in\", kind: AdProtruding, number: InAll(6), across: \"2in\", sheet: \"2024-T3 clad\")]"
        remedy "Count the rivets on the drawing; check the sheet and its width.";
    RIVETS_NOT_PUBLISHED = "type-224" Note "rivets for which no published number is held"
        meaning "The program holds numbers of AD rivets with protruding heads, of 3/32 to 1/4 in, for a few alloys (AC 43.13-1B, tables 4-9 to 4-11). For these rivets or this sheet it holds none, and their number is not checked."
        example "rivets: [(diameter: \"1/8in\", kind: AdProtruding, number: InAll(6), across: \"2in\", sheet: \"L3\")]"
        remedy "Take the number from the drawing; leave `sheet` out where no published table is meant.";
    SPLICE_IN_LINE = "type-225" Note "splice in line with another joint"
        meaning "A frame is spliced within 2 degrees of a joint of the skin at its station, or of a splice of the next frame. It is common practice to keep joints apart; no source gives a figure."
        example "a splice at 45 deg, and SkinJoint(clock: \"45deg\", ...) along the same stations"
        remedy "Look at the drawing: if the joints are in line there too, leave them.";
}
