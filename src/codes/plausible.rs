//! What is well formed and can hardly be meant: questions, each with what may have been meant.

use super::codes;

codes! {
    TOLERANCE_BELOW_HOLE = "record-216" Note "position tolerance of next to nothing"
        meaning "The tolerance of a hole is under a hundredth of its diameter; of a dowel hole or a reamed one, under a thousandth. Hardly anybody drills so near. It is taken as written."
        example "(hole: \"L4\", x: \"10mm\", y: \"12.5mm\", diameter: \"6.5mm\", tolerance: \"0.02mm\")"
        remedy "Check tolerance and diameter against the drawing of the plate; a decimal point or the unit may be out.";
    DATE_AHEAD = "record-217" Note "date that has not come yet"
        meaning "What was measured, made, written, seen or decided is dated after today. The day comes from the clock of the computer. It is taken as written."
        example "Survey(id: \"V3\", date: \"2052-06-01\", ...)"
        remedy "Check the date against the paper, and the clock of the computer.";
    DATE_TOO_EARLY = "shop-121" Note "dated before it can be"
        meaning "A plate was measured or reworked before it was made, a part was made before its drawing issue or its permit, or a concession allows what was not made yet: one of two dates is wrong. Both are taken as written."
        example "Survey(mark: \"P2\", date: \"2012-03-01\", ...) of a plate with made: \"2021-02-10\""
        remedy "Compare both dates with the papers.";
    EVIDENCE_TOO_OLD = "claim-301" Note "evidence older than what it shows"
        meaning "All that the claim rests on is dated before the time of which the claim speaks, and nothing shows what came after it. It is taken as written."
        example "Claim(when: \"1951-03\", rests_on: [\"E2\"], ...) and E2 of 1946"
        remedy "Compare the date of the claim with that of the evidence: one of the two may be wrong, or other evidence is meant.";
    CLAIM_TWICE = "claim-302" Note "same claim twice"
        meaning "Two claims say the same of the same day or window. Either one was entered twice, or another modification, place or date was meant. Both are held."
        example "Claim(id: \"C4\", says: Embodied(\"M014\"), when: \"1951\", ...) and C9 with the same"
        remedy "Keep one of them and let it rest on the evidence of both, or correct the one that was meant otherwise.";
    HOLE_OFF_PATH = "type-301" Note "hole far off the frame that its part lies on"
        meaning "The other holes of the frame's plates lie along its path, and this one is far from it. It is taken as written."
        example "(hole: \"L4\", x: \"900mm\", y: \"900mm\", ...) on a plate for a frame of 450 mm radius"
        remedy "Check x and y against the drawing of the plate.";
    FIGURES_FIT_OTHERWISE = "type-302" Note "figures that would fit otherwise"
        meaning "A figure of a plate drawing does not fit its neighbours: the frame's path, the plates of the same station or the other holes of the plate. With x and y exchanged, the decimal point moved, or in the other unit it would. One hole, one column or a whole sheet is one question. The figures are taken as written."
        example "(hole: \"L4\", x: \"12.5mm\", y: \"10mm\", ...) where the other plate of the station has x: \"10mm\", y: \"12.5mm\""
        remedy "Compare the figures with the drawing of the plate.";
    STATION_AWAY = "type-303" Note "station far from its neighbours"
        meaning "A frame's station is not the one at which its assembly is fitted, or a station lies far from all others or from that of its assembly. It is taken as written."
        example "Frame(station: \"1864.0in\", ...) whose assembly is fitted at station 186.40 in"
        remedy "Check the station against the drawing; a decimal point, two digits or the unit may be out.";
    BREADTH_FOR_HEIGHT = "type-304" Note "half breadth and half height that fit better exchanged"
        meaning "The holes of the frame's plates follow the path if half breadth and half height are exchanged, and as written they do not; or the frames beside it are high where this one is broad. It is taken as written."
        example "Ellipse(half_breadth: \"36.50in\", half_height: \"31.25in\") between two frames that are higher than broad"
        remedy "Compare half breadth and half height with the drawing of the frame.";
    UNKNOWN_FINDING = "shop-131" Stop "unknown kind of finding"
        meaning "A record accepts a finding, and there is no code like the one that it names. The record is left out: the finding stays among the others."
        example "Accepted(finding: \"record-2l5\", ...)"
        remedy "Write the code as `modstate check` prints it.";
    ACCEPTED_CHANGED = "shop-132" Note "accepted finding that is not there as it was"
        meaning "A record accepts a finding by the check code of what it rests on, and no finding has that check code now: what it rests on changed, or the finding was cleared. Nothing is accepted by the record."
        example "Accepted(finding: \"record-215\", facts: \"8d1f03c2\", ...) and the tolerance was changed since"
        remedy "If the finding was cleared, remove the record; if it is there otherwise, look at it again before it is accepted anew.";
}
