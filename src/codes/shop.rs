//! Codes of the shop.

use super::codes;

codes! {
    UNKNOWN_JIG = "shop-101" Stop "unknown jig"
        meaning "A survey names a jig that has no `Jig` record."
        example "Survey(jig: \"J9\", ...)"
        remedy "Correct the name, or add the jig.";
    UNKNOWN_STATION = "shop-102" Stop "unknown jig station"
        meaning "A plate is mounted on a station that its jig does not have."
        example "mounted: [(mark: \"P1\", station: \"9\")]   // stations 1 to 8"
        remedy "Correct the station, or add it to the jig.";
    UNKNOWN_MARK = "shop-103" Stop "unknown plate mark"
        meaning "A survey names a plate that is not mounted on the jig."
        example "Survey(jig: \"J1\", mark: \"P9\", ...)"
        remedy "Correct the mark, or enter the plate as mounted.";
    STATION_TAKEN = "shop-104" Stop "two plates on one jig station"
        meaning "A station holds one plate. Both are kept, and one of them is not where the record says."
        example "mounted: [(mark: \"P1\", station: \"1\"), (mark: \"P2\", station: \"1\")]"
        remedy "Look at the jig and correct the station of one.";
    UNREADABLE_TEMPERATURE = "shop-105" Stop "unreadable temperature"
        meaning "The temperature of a survey is given in degrees Celsius and is one at which people measure; a difference of temperature is given in kelvin."
        example "temperature: \"65F\""
        remedy "Write degrees Celsius, as in `18.5C`; a difference as in `10K`.";
    ISSUE_WITHOUT_DRAWING = "shop-106" Stop "issue of a part without a drawing"
        meaning "The made part names a drawing issue, but its part number has no drawing in the register."
        example "MadePart(part: \"60-2201\", issue: \"B\", ...)"
        remedy "Name the drawing in the `Part` record.";
    HAND_CONTRADICTS = "shop-107" Stop "hand marked on a made part contradicts its part number"
        meaning "The part number is for one side, the mark for the other: it may be its opposite hand."
        example "MadePart(part: \"60-2201\", hand: Starboard, ...)   // 60-2201 is for port"
        remedy "Look at the part; correct the mark or the part number.";
    NO_HOLES_MEASURED = "shop-108" Stop "survey without holes"
        meaning "A survey that measured nothing proves nothing. It is left out."
        example "Survey(holes: [], ...)"
        remedy "Enter the measured holes.";
    EXPIRED_BEFORE_ALLOWED = "shop-109" Stop "expires before it was allowed"
        meaning "A concession or deviation permit is dated after its own expiry."
        example "date: \"1999-05\", expires: \"1998-05\""
        remedy "Correct one of the dates.";
    UNKNOWN_BUILD_STATE = "shop-110" Stop "unknown build state"
        meaning "A jig is set for a build state that its airframe's dossier does not have, so its plates are judged against none."
        example "Jig(set_for: (airframe: \"HB133\", build_state: \"rebiuld\"), ...)"
        remedy "Correct the name, or add the build state.";
    UNREADABLE_EXPANSION = "shop-111" Stop "unreadable coefficient of expansion"
        meaning "The coefficient of linear expansion of a metal is given per kelvin; that of steel is about 11.5e-6, that of light alloy about 23e-6 (common practice, no source)."
        example "expansion: \"11.5\""
        remedy "Write it per kelvin, as in `11.5e-6/K`.";
    MEMBER_HOLE = "shop-112" Stop "member of a plate that names no group of its holes"
        meaning "A member is a group of at least two of the plate's holes that were laid off or can be moved as one. What it names is not such a group, so an error that its holes share would not be seen as one."
        example "members: [(member: \"lower row\", holes: [\"L4\", \"L44\"])]   // the plate has no L44"
        remedy "Name each hole of the member once, as the plate's list of holes does.";
    HOLES_FILE = "shop-113" Stop "file with measured holes cannot be read"
        meaning "A survey names a CSV file for its holes, and nothing can be read from it. The survey is left out."
        example "holes_from: \"surveys/V33.csv\"   // no such file below the project folder"
        remedy "Correct the path, which starts at the project folder, or save the file again as UTF-8 text with commas.";
    HOLES_COLUMN = "shop-114" Stop "column of measured holes missing or not known"
        meaning "The first line of a CSV file with measured holes names its columns: `x` and `y`, and where they were measured `z`, `diameter` and `id`. A column that is not known is not skipped, because what it says would silently be lost."
        example "id;x;y   // commas stand between columns"
        remedy "Name the columns in the first line, with commas between them; take out what is none of these.";
    HOLES_ROW = "shop-115" Stop "line of measured holes that cannot be read"
        meaning "A line of a CSV file with measured holes has more or fewer cells than the first line names, or lacks a coordinate. The hole is left out."
        example "L1,12.5   // id, x and y are wanted"
        remedy "Correct the line.";
    HOLES_TWICE = "shop-116" Stop "survey with two lists of holes"
        meaning "A survey has its holes in the record and in a CSV file as well. Which of the two was measured cannot be known; those of the record are kept."
        example "Survey(holes: [(x: ...)], holes_from: \"surveys/V3.csv\")"
        remedy "Keep one of the two.";

    PLATE_WRONG_VARIANT = "jig-201" Stop "plate of the wrong variant"
        meaning "The build state that the jig is set for needs another plate at the station. Metal formed on this one would not fit."
        example "the plate is made to JP-06, and the state calls for the part that JP-07 locates"
        remedy "Form no metal on it. Where its holes do not prove what it is, measure them first; then make or rework a plate to the plate drawing that is needed.";
    PLATE_MISSING = "jig-202" Note "plate that is missing"
        meaning "The build state needs a plate at the station, and none is mounted."
        example "station 7 is empty, and the state calls for a part that JP-15 locates"
        remedy "Make the plate, or enter it as mounted.";
    PLATE_SURPLUS = "jig-203" Note "plate that the state does not need"
        meaning "No part that a plate at this station locates belongs to the build state."
        example "a plate for the port lower segment, which the state does not have"
        remedy "Not needed for this state: remove and store.";
    PLATE_UNDECIDED = "jig-204" Undecided "plate that cannot be judged"
        meaning "What the state needs at the station is open, or nothing says what the plate was made to."
        example "a plate that locates the post-M014 part, while it is open whether M014 was embodied"
        remedy "Settle what is open first; measure the holes of a plate that nothing is known of.";
    PLATE_CHANGED_SINCE = "jig-205" Undecided "plate changed since its last survey"
        meaning "A plate that was made or reworked after it was last measured is not verified by measurement until it is surveyed again. A survey of the day of the rework may have come before it, and counts as before."
        example "reworked: \"2022-01\", and its last survey is of 2021-12"
        remedy "Survey the plate before metal is formed on it.";
    PLATES_NEVER_SURVEYED = "jig-206" Note "plates never surveyed"
        meaning "Nothing proves where the holes of these plates are."
        example "a plate without a `Survey` record"
        remedy "Survey the plates before metal is formed on them.";
    PLATE_WITHOUT_STATION = "jig-207" Stop "plate drawing for a station that the jig lacks"
        meaning "The plate locates parts of a frame that is built on a jig here, but the jig has no station of that name: the plate would never be asked for."
        example "Plate(jig_station: \"3\", ...)   // the jig's stations are 3A and 3B"
        remedy "Correct the station, in the plate or in the jig.";
    JIG_FOR_NO_STATE = "jig-208" Note "jig that is set for no build state"
        meaning "The jig does not say which build state it is set for, so its plates are judged only when somebody asks."
        example "Jig(name: \"J1\", ...) without `set_for`"
        remedy "Add `set_for` with the airframe and the build state.";

    HOLES_OUT = "survey-301" Stop "holes out of tolerance"
        meaning "A survey proves holes of a plate further from where they belong than their position tolerance with the extra at MMC allows, the instrument's uncertainty taken into account; or smaller than the smallest permitted. Metal formed on them would carry the error."
        example "L2 lies 0.5 mm off, and its tolerance diameter is 0.25 mm"
        remedy "Do what the help line says: move what was laid off wrong as a whole, plug and redrill single holes. Then survey the plate again; until then it is not verified by measurement.";
    HOLES_NOT_DECIDABLE = "survey-302" Undecided "holes that cannot be decided with this instrument"
        meaning "A hole lies nearer to its limit than the guard band: it may be in or out of tolerance. The guard band of a position (a diameter) is 3.41 times the instrument's uncertainty of one coordinate (k = 2), with the share of the datums in it, and of the temperature where it was not noted (10 K, and 23e-6/K where the jig's expansion is not known): of good holes at most 3 in 1,000 are ever called out. Decided as in ISO 14253-1, datum holes included."
        example "position 0.22 mm of 0.25 mm, with an instrument good for 0.05 mm"
        remedy "Measure the hole with a finer instrument, or treat it as out.";
    RECORD_AGAINST_METAL = "survey-303" Stop "record and metal of a plate disagree"
        meaning "The record says that the plate was made to one drawing; its holes, by those in which the two differ, are those of another. The plate is judged by its metal."
        example "made_to: \"JP-06\", and the distinguishing holes of its survey are those of JP-07"
        remedy "Look at the plate. Correct its record, or survey it again if plates were mixed up.";
    PLATE_OTHER_HAND = "survey-304" Stop "plate of the other hand"
        meaning "The measured holes fit a plate drawing only when they are mirrored: the plate was made to the other hand, is mounted back to front, or was measured from the other face than the survey says."
        example "a port plate drilled through the template turned over"
        remedy "Look at the plate and at the face that was measured; make another if it is of the other hand.";
    HOLES_OF_NO_PLATE = "survey-305" Undecided "holes of no one plate"
        meaning "The measured holes are those of no plate drawing, or distinguishing holes speak for several, or those that match equally leave out what the record says."
        example "half the holes of JP-06 and half of JP-07 in one plate"
        remedy "Look at the plate, and measure every hole. A plate that was altered needs a plate drawing of its own.";
    SURVEY_DOES_NOT_TELL = "survey-306" Undecided "survey that does not show which plate it is"
        meaning "Too few holes were measured, or none of those in which the drawings differ. Holes that they share prove nothing: the plate still counts as what its record says."
        example "only dowels and base bolts were measured"
        remedy "Measure the distinguishing holes.";
    HOLES_NOT_MEASURED = "survey-307" Undecided "holes left out of a survey"
        meaning "The plate drawing has holes that the last survey of the plate did not measure. Nothing proves them."
        example "a survey of L1 to L4 of a plate that has L1 to L6"
        remedy "Measure them too, and enter one survey with all of them.";
    PLATE_KNOWN_BY_HOLES = "survey-308" Note "plate known by its holes alone"
        meaning "Nothing says what the plate was made to; its holes do."
        example "a mounted plate without `made_to`, with a survey"
        remedy "Enter `made_to` when it is agreed what the plate is.";
    HOLE_UNDER_OTHER_NAME = "survey-309" Note "hole measured under another's name"
        meaning "A measured hole bears the name of one hole of the plate drawing and lies, within its tolerance, where another belongs. It is taken for the one where it lies."
        example "(hole: \"L1\", ...) at the place of L2"
        remedy "Correct the name in the survey.";
    FIGURES_IN_DOUBT = "survey-310" Undecided "figures that a slip would explain"
        meaning "A measuring or typing error would explain what a survey reads: x and y exchanged, a sign, a digit or a decimal point, a unit, a row copied, a height, another plate's survey, the other face, a plate turned, an overall scale such as a wrong temperature makes. The figures of one hole that are wrong along one axis alone, holes or plates more than 3 mm off, and holes more than 0.5 mm out of the plane of the others are asked about too. A hole up to 1.6 mm out of tolerance may still be a badly drilled one of the plate. These limits stand in `configs/surveys.ron`. Until the figure was checked nothing is proved by it, and no work on metal is advised. An overall scale counts from five times its standard uncertainty; an error of the plate from odds of 400 to 1."
        example "L2 reads x 125.3 where 123.5 belongs, and y as it should"
        remedy "Check the figure that the help line names, in the notes or by measuring again; correct the survey.";
}
