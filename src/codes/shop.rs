//! Codes of the shop.

use super::codes;

codes! {
    UNKNOWN_JIG = "S101" Stop "unknown jig"
        meaning "A survey names a jig that has no `Jig` record."
        example "Survey(jig: \"J9\", ...)"
        remedy "Correct the name, or add the jig.";
    UNKNOWN_STATION = "S102" Stop "unknown jig station"
        meaning "A plate is mounted on a station that its jig does not have."
        example "mounted: [(mark: \"P1\", station: \"9\")]   // stations 1 to 8"
        remedy "Correct the station, or add it to the jig.";
    UNKNOWN_MARK = "S103" Stop "unknown plate mark"
        meaning "A survey names a plate that is not mounted on the jig."
        example "Survey(jig: \"J1\", mark: \"P9\", ...)"
        remedy "Correct the mark, or enter the plate as mounted.";
    STATION_TAKEN = "S104" Stop "two plates on one jig station"
        meaning "A station holds one plate. Both are kept, and one of them is not where the record says."
        example "mounted: [(mark: \"P1\", station: \"1\"), (mark: \"P2\", station: \"1\")]"
        remedy "Look at the jig and correct the station of one.";
    UNREADABLE_TEMPERATURE = "S105" Stop "unreadable temperature"
        meaning "The temperature of a survey is given in degrees Celsius and is one at which people measure."
        example "temperature: \"65F\""
        remedy "Write degrees Celsius, as in `18.5C`.";
    ISSUE_WITHOUT_DRAWING = "S106" Stop "issue of a part without a drawing"
        meaning "The made part names a drawing issue, but its part number has no drawing in the register."
        example "MadePart(part: \"60-2201\", issue: \"B\", ...)"
        remedy "Name the drawing in the `Part` record.";
    HAND_CONTRADICTS = "S107" Stop "hand marked on a made part contradicts its part number"
        meaning "The part number is for one side, the mark for the other: it may be its opposite hand."
        example "MadePart(part: \"60-2201\", hand: Starboard, ...)   // 60-2201 is for port"
        remedy "Look at the part; correct the mark or the part number.";
    NO_HOLES_MEASURED = "S108" Stop "survey without holes"
        meaning "A survey that measured nothing proves nothing. It is left out."
        example "Survey(holes: [], ...)"
        remedy "Enter the measured holes.";
    EXPIRED_BEFORE_ALLOWED = "S109" Stop "expires before it was allowed"
        meaning "A concession or deviation permit is dated after its own expiry."
        example "date: \"1999-05\", expires: \"1998-05\""
        remedy "Correct one of the dates.";
    UNKNOWN_BUILD_STATE = "S110" Stop "unknown build state"
        meaning "A jig is set for a build state that its airframe's dossier does not have, so its plates are judged against none."
        example "Jig(set_for: (airframe: \"HB133\", build_state: \"rebiuld\"), ...)"
        remedy "Correct the name, or add the build state.";
}
