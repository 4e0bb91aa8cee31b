//! Codes of the dossiers, taken one by one.

use super::codes;

codes! {
    UNREADABLE_LENGTH = "record-101" Stop "unreadable length"
        meaning "A length needs a number and a unit, so that nobody takes inches for millimetres. The value is left out."
        example "thickness: \"0.048\"   // no unit"
        remedy "Write the number as in the record and its unit: mm, cm, m, um, in, ft, thou or swg.";
    INEXACT_LENGTH = "record-102" Stop "length cannot be kept exactly"
        meaning "Lengths are kept exactly, in whole picometres; a third of an inch is no whole number of them."
        example "x: \"1/3in\""
        remedy "Write the length as a decimal number with as many places as were measured.";
    UNREADABLE_MASS = "record-103" Stop "unreadable mass"
        meaning "A mass needs a number and a unit. The mass is left out, and totals would be short of it."
        example "mass: \"350\"   // no unit"
        remedy "Write the number and one of kg, g, mg, lb or oz.";
    UNREADABLE_DATE = "record-104" Stop "unreadable or impossible date"
        meaning "A date is a day, a month, a quarter or a year of the calendar, alone or with `by` or `not before`, or a window. Nothing is guessed from a date that does not exist."
        example "when: \"1951-02-30\""
        remedy "Check the date against the record; give only the month or the year if the day is not certain.";
    WINDOW_BACKWARDS = "record-105" Stop "window ends before it starts"
        meaning "A window of dates runs from its earlier end to its later one."
        example "when: \"1952-06..1951-03\""
        remedy "Put the earlier date first.";
    UNREADABLE_SERIAL = "record-106" Stop "unreadable serial"
        meaning "A serial has a number, which stands after the name of its series and may have a suffix. A range is written with two dots."
        example "serials: \"HB101 to HB160\""
        remedy "Write the serial as on the data plate, and a range as `HB101..HB160`.";
    RANGE_ACROSS_SERIES = "record-107" Stop "range across two series"
        meaning "Serials of different prefix are different series; no range runs from one to the other."
        example "ranges: [\"HB150..HC20\"]"
        remedy "Write one range for each series, with the prefix at both ends.";
    EMPTY_RANGE = "record-108" Stop "empty range"
        meaning "The range ends before it starts, so no serial lies in it."
        example "ranges: [\"HB160..HB101\"]"
        remedy "Put the lower serial first.";
    UNREADABLE_ANGLE = "record-109" Stop "unreadable clock angle"
        meaning "A clock angle is counted in degrees clockwise from the top, looking forward, from 0 to less than 360."
        example "at: Angle(\"410deg\")"
        remedy "Write the angle as `122.5deg`, or give the distance along the path with `Girth(...)`.";
    NOT_POSITIVE = "record-110" Stop "size that is not above zero"
        meaning "A radius, a diameter, a thickness, a tolerance zone or an uncertainty is more than nothing, and a lap is not less than nothing."
        example "diameter: \"0mm\""
        remedy "Check the value against the drawing.";

    NAME_USED_TWICE = "record-120" Stop "name used twice"
        meaning "Two records (or two items of one list) bear one name, and a reference to it could mean either. The first in file order is kept, the other left out."
        example "Part(number: \"60-2201\", ...), Part(number: \"60-2201\", ...)"
        remedy "Remove one of the two, or give it the number that it has in the records.";
    NAME_EMPTY = "record-121" Stop "name left empty"
        meaning "Nothing can refer to a record without a name. It is left out."
        example "Part(number: \"\", ...)"
        remedy "Write the name or number that the records give.";
    UNKNOWN_PART = "record-122" Stop "unknown part number"
        meaning "A part is named that no `Part` record describes. The reference is left out."
        example "candidates: [(part: \"60-2210\")]   // there is no Part(number: \"60-2210\")"
        remedy "Correct the part number, or add a `Part` record for it.";
    UNKNOWN_MODIFICATION = "record-123" Stop "unknown modification"
        meaning "A modification is named that no `Modification` record describes. The reference is left out."
        example "requires: [\"M999\"]"
        remedy "Correct the number, or add a `Modification` record for it.";
    UNKNOWN_DRAWING = "record-124" Stop "unknown drawing"
        meaning "A part names a drawing or a sheet that is not in the drawing register."
        example "drawing: \"60-9999\""
        remedy "Correct the drawing number or the sheet, or add the drawing to the register.";
    UNKNOWN_POSITION = "record-125" Stop "unknown position"
        meaning "A position is named by its assembly and find number, and no assembly has it."
        example "SeenPart(\"60-2200/99\", \"60-2201\")"
        remedy "Correct the assembly or the find number.";
    UNKNOWN_FRAME = "record-126" Stop "unknown frame"
        meaning "A frame is named that no `Frame` record describes."
        example "frame: \"F99\""
        remedy "Correct the name, or add a `Frame` record.";
    UNKNOWN_SPLICE_POINT = "record-127" Stop "unknown splice point"
        meaning "A splice point is named that its frame does not have."
        example "from: \"S9\""
        remedy "Correct the name, or add the splice point to the frame.";
    UNKNOWN_PLATE = "record-128" Stop "unknown plate"
        meaning "A jig plate is named that no `Plate` record defines."
        example "made_to: \"JP-9999\""
        remedy "Correct the plate number, or add a `Plate` record.";
    UNKNOWN_FACTORY = "record-129" Stop "unknown factory"
        meaning "A cut-in names a factory that no serial block gives."
        example "line: [(factory: \"Eastmere\", number: 40)]"
        remedy "Correct the factory's name, or give it in a serial block.";
    UNKNOWN_ISSUE = "record-130" Stop "unknown drawing issue"
        meaning "An issue is named that the drawing register does not list for the drawing."
        example "held: [\"C\"]   // issues A and B only"
        remedy "Correct the issue, or add it to the drawing's record.";
    UNKNOWN_TOLERANCE = "record-131" Stop "unknown tolerance class"
        meaning "A position tolerance is the diameter of the zone, as a length, or the name of a tolerance class."
        example "tolerance: \"tight\""
        remedy "Write the diameter with its unit, or a class that `modstate explain Zone` lists.";
    SAY_WHICH_PART = "record-132" Stop "modification named without its part"
        meaning "The modification has named parts, each embodied on its own. To name the whole does not say whether any or all of them are meant."
        example "Pre(\"M014\")   // where M014/A and M014/B are embodied apart"
        remedy "Name the part, as in `M014/A`; if the record does not say which, keep that open and refer it to the person who can.";

    NO_TYPE = "record-140" Stop "no aircraft type"
        meaning "Without a `Type` record it is not known which part is the whole airframe."
        example "a project of parts and modifications alone"
        remedy "Add a `Type` record with the part number of the whole airframe.";
    TWO_TYPES = "record-141" Stop "more than one aircraft type"
        meaning "A project is about one aircraft type. The first `Type` record is kept."
        example "Type(...), Type(...)"
        remedy "Keep one `Type` record; give marks and models in the serial blocks.";

    FILE_COPIED = "record-142" Stop "file that is a copy of another"
        meaning "Several records stand in two files of the project, by name. Which of them was meant is not known: where they differ, nothing that rests on them is sure."
        example "`type/frames.ron` and `type/frames copy.ron`, both with the frames F9, F14 and F17"
        remedy "Compare the two files, and take the copy out of the project folder.";
    BLOCKS_OVERLAP = "record-150" Stop "serial blocks overlap"
        meaning "A serial lies in two blocks, and may get two factories, models or line numbers."
        example "SerialBlock(serials: \"HB101..HB160\", ...), SerialBlock(serials: \"HB150..HB180\", ...)"
        remedy "Correct the ends of the blocks so that each serial lies in one.";
    NO_SUCH_SERIAL = "record-151" Stop "serial in no block"
        meaning "The serial blocks say which airframes there were; this is none of them."
        example "from: [\"HB999\"]"
        remedy "Correct the serial, or extend the serial block.";
    LINE_ORDER = "record-152" Stop "line order does not list each serial once"
        meaning "Where the line order is not the serial order, each serial of the block has one place on the line."
        example "line: Order(1, [\"HB101..HB110\", \"HB105\"])"
        remedy "List each serial of the block once, in the order in which they left the line.";
    NO_LINE_NUMBER = "record-153" Stop "cut-in at a line number that the factory does not have"
        meaning "A cut-in by line number can only be applied where the serial blocks of the factory give line numbers that reach it."
        example "line: [(factory: \"Northmere\", number: 900)]"
        remedy "Give line numbers in the factory's serial blocks, or correct the number.";
    LINE_NUMBER_TWICE = "record-154" Stop "line number given to two serials"
        meaning "Each place on a factory's line belongs to one airframe."
        example "two blocks of one factory, both with line: From(1)"
        remedy "Correct where the line numbers of one block start.";
    BLOCK_ENDS = "record-155" Stop "serial block without two plain ends"
        meaning "A block runs from a first to a last serial of one series, with one suffix and one way of writing leading zeros."
        example "SerialBlock(serials: \"HB101..\", ...)"
        remedy "Name the first and the last serial, written as on the data plates.";
    SERIAL_WRITTEN_OTHERWISE = "record-156" Stop "serial written with other leading zeros"
        meaning "The number is that of a serial of a block, but the text is not: leading zeros were lost or added. It may be another airframe."
        example "serial: \"HB0101\"   // the block says HB101..HB160"
        remedy "Write the serial as on the data plate and in the serial block.";
    RANGE_BEYOND_BLOCKS = "record-157" Note "range reaches beyond the serial blocks"
        meaning "An end of the range is no serial of any block. The serials that lie in the range count all the same."
        example "ranges: [\"HB150..HB999\"]   // the block ends at HB160"
        remedy "Check the end of the range; extend the serial block if there were more airframes.";
    BLOCK_TOO_LARGE = "record-158" Stop "serial block larger than any production run"
        meaning "The block has more serials than are allowed in one block: very likely a digit too many."
        example "SerialBlock(serials: \"HB101..HB99999999\", ...)"
        remedy "Correct the last serial.";

    OWN_OPPOSITE = "record-160" Stop "part is its own opposite hand"
        meaning "A handed pair is two parts."
        example "Part(number: \"60-2201\", opposite_of: \"60-2201\", ...)"
        remedy "Name the other part of the pair.";
    PAIR_WITHOUT_HAND = "record-161" Stop "opposite hands without a hand"
        meaning "The pair is recorded, but neither part says on which side it is, and that is never guessed from the numbers."
        example "Part(number: \"A\", ...), Part(number: \"B\", opposite_of: \"A\", ...)"
        remedy "Give `hand: Port` or `hand: Starboard` to one of the two, from its drawing.";
    OPPOSITE_HANDS_SWAPPED = "record-162" Stop "opposite hands on one side"
        meaning "Two parts are recorded as opposite hands, and both are said to be for the same side."
        example "Part(number: \"A\", hand: Port, ...), Part(number: \"B\", hand: Port, opposite_of: \"A\", ...)"
        remedy "Correct one of the hands from its drawing.";
    TWO_OPPOSITES = "record-163" Stop "part with two opposite hands"
        meaning "A part is the opposite hand of one part at most."
        example "Part(number: \"B\", opposite_of: \"A\", ...), Part(number: \"C\", opposite_of: \"A\", ...)"
        remedy "Correct one of the two `opposite_of`.";
    SHEET_WITHOUT_DRAWING = "record-164" Stop "sheet without a drawing"
        meaning "A part names a sheet, but not the drawing that it belongs to."
        example "Part(number: \"60-2201\", sheet: \"2\", ...)"
        remedy "Name the drawing as well.";

    TWO_ASSEMBLIES = "record-170" Stop "assembly described twice"
        meaning "The positions of an assembly are listed in one record. The first is kept."
        example "Assembly(part: \"60-2200\", ...), Assembly(part: \"60-2200\", ...)"
        remedy "Put all positions into one `Assembly` record.";
    QUANTITY_ZERO = "record-171" Stop "quantity of zero"
        meaning "A position without anything is written with `nothing_when`, not by a quantity of zero. What has the zero is left out."
        example "quantity: 0"
        remedy "Give the quantity, or remove the record.";
    NOTHING_TO_FIT = "record-172" Stop "position at which nothing can be fitted"
        meaning "The position lists no candidates."
        example "(find: \"10\", candidates: [])"
        remedy "List the parts that may be fitted, or remove the position.";

    NO_FORM = "record-180" Stop "modification without any form"
        meaning "Neither a production nor a retrospective form is given, so the modification could never be embodied."
        example "Modification(number: \"M014\", title: \"...\")"
        remedy "Add `production` or `retrospective`; if the modification was never introduced, remove it.";
    NAMES_ITSELF = "record-181" Stop "modification that names itself"
        meaning "A modification cannot require, exclude or supersede itself."
        example "Modification(number: \"M014\", requires: [\"M014\"], ...)"
        remedy "Name the other modification, or remove the entry.";
    REQUIRES_AND_EXCLUDES = "record-182" Stop "modification both required and excluded"
        meaning "The modification could never be embodied: what it needs must not be there."
        example "requires: [\"M010\"], excludes: [\"M010\"]"
        remedy "Remove one of the two entries.";
    GROUP_TOO_SMALL = "record-183" Stop "one-of group of fewer than two"
        meaning "A choice needs at least two modifications. The group is left out."
        example "OneOf(name: \"tailwheel\", modifications: [\"M014\"], ...)"
        remedy "Name all modifications of the group.";
    NAMED_TWICE = "record-184" Note "entry named twice in one list"
        meaning "The second mention adds nothing; perhaps another was meant."
        example "requires: [\"M010\", \"M010\"]"
        remedy "Remove the second mention, or correct it.";
    EXCEPTS_NOTHING = "record-185" Note "exception that takes nothing out"
        meaning "None of the excepted serials was covered in the first place; perhaps another serial was meant."
        example "production: (from: [\"HB140\"], except: [\"HB120\"])"
        remedy "Check the serial against the leaflet, or remove the exception.";
    COVERS_NOTHING = "record-186" Stop "form that covers no serial"
        meaning "The form names no serial of any block, so no airframe could take the modification by it. The form is left out."
        example "production: (from: [])"
        remedy "Name the cut-in or the ranges; remove the form if there was none.";
    NO_SUCH_FORM = "record-187" Stop "form that the modification does not have"
        meaning "A form is named in which the modification was never introduced."
        example "Post(\"M014\", Production)   // M014 has only a retrospective form"
        remedy "Name the other form, leave the form out, or add the form to the modification.";
    CHANGES_NOTHING = "record-188" Stop "leaflet entry that changes nothing"
        meaning "The entry deletes and introduces no part, or deletes and introduces the same one."
        example "changes: [(position: \"60-2200/10\")]"
        remedy "Copy both lists from the leaflet.";
    GROUP_OPEN = "record-189" Stop "one-of group without a last day for its coming in"
        meaning "A one-of group holds from the last day by which it may have come in. Where that day is open it would never hold. The group is left out."
        example "OneOf(name: \"tailwheel\", ..., introduced: \"not before 1944\")"
        remedy "Give the window between the days that are certain.";

    NO_ISSUES = "record-190" Stop "drawing without an issue"
        meaning "A drawing in the register has at least one issue with a date. The drawing is left out."
        example "Drawing(number: \"60-2205\", title: \"...\", issues: [])"
        remedy "Add the issues from the drawing's title block.";
    ISSUES_BACKWARDS = "record-191" Stop "issue dates go backwards"
        meaning "Issues are listed oldest first, and which of them applies follows from their order."
        example "issues: [(issue: \"A\", date: \"1951\"), (issue: \"B\", date: \"1949\")]"
        remedy "Correct the date, or put the issues in the order of issue.";

    NO_PATH = "record-200" Stop "frame path of no use"
        meaning "A path needs a size above zero; one through points needs two of them (three if it is closed or fair), each apart from the one before, and a closed one runs clockwise, looking forward."
        example "girth: Polyline(points: [(\"0mm\", \"0mm\")], closed: false)"
        remedy "Give the path's dimensions from the drawing.";
    ANGLE_MEETS_NO_PLACE = "record-201" Stop "clock angle without a single place on the path"
        meaning "Seen from the origin, a path may lie at an angle nowhere, or several times."
        example "at: Angle(\"270deg\")   // the path runs on the starboard side only"
        remedy "Give the place as a distance along the path.";
    BEYOND_GIRTH = "record-202" Stop "splice point beyond the path"
        meaning "The place lies past the end of the path (or a whole turn and more from its start)."
        example "at: Girth(\"9000mm\")   // the path is 6283 mm long"
        remedy "Check the distance and its unit.";
    SPLICE_UNUSED = "record-203" Note "splice point that nothing uses"
        meaning "No segment and no opening of the frame starts or ends there."
        example "splice_points: [(name: \"S9\", at: Angle(\"90deg\"))]"
        remedy "Add the segment that is spliced there, or remove the splice point.";
    NO_RUN = "record-204" Stop "run from a splice point to itself"
        meaning "A segment or an opening runs from one splice point to another."
        example "(part: \"60-2201\", from: \"S1\", to: \"S1\")"
        remedy "Name the splice point at its other end.";
    SEGMENT_NOT_FITTED = "record-205" Stop "segment that the frame's assembly never has"
        meaning "The part is no candidate at any position of the frame's assembly or of what it is made up of, so no state fits it."
        example "segments: [(part: \"60-9000\", from: \"S1\", to: \"S2\")]"
        remedy "Correct the part number, or add the part as a candidate at its position.";
    CORNER_RADIUS = "record-206" Stop "corner radius that does not fit"
        meaning "The arc needs more of a side than the side has, or there is no corner: the path runs straight on, or ends there."
        example "points: [(\"0mm\", \"0mm\"), (\"50mm\", \"0mm\", \"80mm\"), (\"50mm\", \"-50mm\")]"
        remedy "Check the radius and the points on either side of it against the drawing.";
    ORDINATE_MEETS_NO_PLACE = "record-207" Stop "ordinate without a single place on the path"
        meaning "At that height or breadth, on that side, the path is nowhere or at several places, and which one is meant is not guessed."
        example "at: Breadth(\"100mm\", Starboard)   // a ring is there at the top and at the bottom"
        remedy "Add `Upper` or `Lower` to a breadth, or give the place by another ordinate or as a distance along the path.";
    PLANES_OF_NO_USE = "record-208" Stop "plane of a frame of no use"
        meaning "A canted frame leans over 0 and under 90 degrees; a cranked one has two planes that lean differently and meet where the path is."
        example "plane: Cranked(knuckle: \"900in\", ...)   // the frame is 60 in high"
        remedy "Check the lean and the knuckle against the drawing; leave `plane` out for an upright frame.";
    OFFSETS_OF_NO_USE = "record-209" Stop "offset table of one side of no use"
        meaning "One side is given from its top downwards, to starboard, and its mirror image must join it on the centre line or by the closing line."
        example "given: OneSide, closed: false, rows: [Waterline(\"9in\", \"4in\"), Waterline(\"0in\", \"6in\")]   // never on the centre line"
        remedy "Put the rows in order, add the row on the centre line, or give both sides.";

    PLATE_LOCATES_NONE = "record-210" Stop "plate that locates nothing"
        meaning "A plate drawing names the part variants that it locates. It is left out."
        example "Plate(number: \"JP-2201\", locates: [], ...)"
        remedy "Name the parts.";
    PLATE_PART_NOT_FITTED = "record-211" Stop "plate for a part that no position holds"
        meaning "The plate locates a part that is a candidate nowhere, so no state calls for it."
        example "locates: [\"60-9000\"]"
        remedy "Correct the part number, or add the part as a candidate at its position.";
    OUTLINE_UNSOUND = "record-212" Stop "edge of a plate that is none"
        meaning "The edge of a plate has at least three corners at different places, its sides do not cross or touch, and its roundings leave each other room. The plate is kept without its edge."
        example "outline: [(x: \"0mm\", y: \"0mm\"), (x: \"90mm\", y: \"60mm\"), (x: \"90mm\", y: \"0mm\"), (x: \"0mm\", y: \"60mm\")]"
        remedy "Give the corners in order round the edge, from the drawing of the plate.";
    HOLE_OFF_PLATE = "record-213" Stop "hole that the plate's edge does not hold"
        meaning "The hole lies outside the edge of its plate, or breaks through it."
        example "a hole of 10 mm whose centre is 4 mm from the edge"
        remedy "Check the hole and the corners of the edge against the drawing of the plate.";
    NO_RIVETS = "record-214" Stop "rivets of which there are none"
        meaning "Rivets of a splice stand in at least one row, and there is at least one. The group is left out."
        example "rivets: [(diameter: \"1/8in\", kind: AdProtruding, rows: 0)]"
        remedy "Give what the drawing shows, or leave the rivets out.";
    TOLERANCE_ABOVE_HOLE = "record-215" Note "position tolerance larger than its hole"
        meaning "The tolerance of a hole is the diameter of the zone for its centre. One that is larger than the hole itself holds next to nothing, and is mostly the figure of another column. It is taken as written."
        example "(hole: \"L4\", x: \"10mm\", y: \"12.5mm\", diameter: \"3.3mm\", tolerance: \"6.5mm\")"
        remedy "Check tolerance and diameter against the drawing of the plate; they may be exchanged, or a decimal point out.";
}
