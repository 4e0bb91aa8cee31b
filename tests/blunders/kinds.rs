//! The kinds of error that are drawn, how large, and what names them truly.

/// How large an error is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Size {
    /// So many times the noise (the standard deviation of one coordinate).
    Noise(u8),
    Gross,
}

impl Size {
    pub(crate) const ALL: [Size; 5] = [Size::Noise(2), Size::Noise(3), Size::Noise(5), Size::Noise(10), Size::Gross];
    /// From which on nothing may go unnoticed.
    pub(crate) fn is_large(self) -> bool {
        self >= Size::Noise(5)
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Nature {
    /// No error at all.
    None,
    /// The record is wrong, the metal good.
    Slip,
    /// The metal or its setting is wrong.
    Metal,
    /// Both.
    Both,
}

macro_rules! kinds {
    ($($kind:ident $nature:ident $sized:literal $whole:literal $name:literal [$($word:literal),*];)*) => {
        /// A kind of error.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(crate) enum Kind { $($kind),* }

        impl Kind {
            pub(crate) const ALL: &'static [Kind] = &[$(Kind::$kind),*];
            pub(crate) fn name(self) -> &'static str {
                match self { $(Kind::$kind => $name),* }
            }
            pub(crate) fn nature(self) -> Nature {
                match self { $(Kind::$kind => Nature::$nature),* }
            }
            /// Whether it comes in sizes; else it is gross.
            pub(crate) fn is_sized(self) -> bool {
                match self { $(Kind::$kind => $sized),* }
            }
            /// Whether it is drawn on whole jigs.
            pub(crate) fn is_whole(self) -> bool {
                match self { $(Kind::$kind => $whole),* }
            }
            /// Words one of which is in any true name of it.
            pub(crate) fn words(self) -> &'static [&'static str] {
                match self { $(Kind::$kind => &[$($word),*]),* }
            }
        }
    };
}

kinds! {
    Clean None false false "no error" [];
    FromBack None false false "no error, measured from the back and noted" [];
    UpsideDown Slip false false "plate upside down in the jig" ["upside", "back to front", "flip", "hand", "mirror", "face"];
    TurnedRound Slip false false "plate turned by 180 deg in the jig" ["180", "turned", "round"];
    FaceNotNoted Slip false false "measured from the back, face not noted" ["face", "hand", "mirror", "back"];
    FaceWrong Slip false false "measured from the back, noted as marked face" ["face", "hand", "mirror", "back"];
    MirroredNoFace Metal false false "plate made mirrored, face not noted" ["face", "hand", "mirror", "back"];
    ExchangedAll Slip false false "x and y exchanged, all rows" ["exchange", "swap", "mirror", "hand", "face", "back"];
    ExchangedRow Slip false false "x and y exchanged, one row" ["exchange", "swap"];
    ExchangedPart Slip false false "x and y exchanged, part of the rows" ["exchange", "swap"];
    SignOne Slip false false "sign, one figure" ["sign"];
    SignColumn Slip false false "sign, a column" ["sign", "mirror", "hand", "face", "back"];
    Tenfold Slip false false "decimal point, one figure" ["ten", "decimal", "point", "digit"];
    Digit Slip true false "one digit wrong" ["digit", "figure", "transpos", "slip"];
    Transposed Slip true false "two digits transposed" ["digit", "figure", "transpos", "slip"];
    Copied Slip false false "a row copied under the next name" ["cop", "twice", "same"];
    UnitAll Slip false false "mm and inches confused, all rows" ["inch", "unit", "25.4", "scale"];
    UnitRow Slip false false "mm and inches confused, one row" ["inch", "unit", "25.4", "scale"];
    ScaleTen Slip false false "a scale of ten, all rows" ["ten", "scale", "decimal", "point"];
    WrongSheet Slip false false "another plate's survey attached" ["other-plate", "wrong-plate", "another", "survey", "sheet"];
    NoTemperature Slip true false "temperature not noted" ["temperature", "scale", "warm", "expan"];
    WrongTemperature Slip true false "temperature noted wrong" ["temperature", "scale", "warm", "expan"];
    SetUpOne Slip true false "instrument off, one plate measured" ["set-up", "setup", "instrument", "datum", "axes"];
    SameDayMended Slip false false "surveyed on the day of the rework, then mended" ["same-day", "day", "rework", "before", "time"];
    SameDaySpoilt Metal false false "surveyed on the day of the rework, then spoilt" ["same-day", "day", "rework", "before", "time"];
    HoleOff Metal true false "one hole drilled off" ["hole"];
    BracketOff Metal true false "a member shifted" ["member", "shift", "bracket"];
    PitchOff Metal true false "pitch error in a row" ["pitch", "row"];
    StepInRow Metal true false "a single step in a row of pitches" ["step", "pitch", "row"];
    Scatter Metal false false "drilling scatter over the zone's edge" ["scatter", "hole"];
    DowelOff Metal true false "a dowel off" ["datum", "dowel"];
    PlateOffOne Metal true false "plate set off in the jig, alone measured" ["shift", "plate", "set", "datum", "instrument"];
    OtherVariant Metal false false "made to the other drawing" ["variant", "other", "K1-51"];
    SlipAndHole Both false false "mixture: a slip in one row, another hole off" [];
    WarmAndHole Both false false "mixture: temperature not noted, a hole off" [];
    ExchangedAndHole Both false false "mixture: x and y exchanged, a hole off" [];
    SetUpAndHole Both true false "mixture: instrument off, a hole off" [];
    TwoSlips Slip false false "mixture: two slips on one sheet" [];
    JigClean None false true "whole jig: no error" [];
    JigSetUp Slip true true "whole jig: instrument on wrong datums" ["set-up", "setup", "instrument", "datum", "axes"];
    JigSetUpAndPlate Both true true "whole jig: wrong datums, and one plate off" [];
    JigPlateOff Metal true true "whole jig: one plate set off" ["shift", "plate", "set"];
    JigHoleOff Metal true true "whole jig: one hole drilled off" ["hole"];
    JigTurned Slip false true "whole jig: a plate turned by 180 deg" ["180", "turned", "round"];
    JigUpsideDown Slip false true "whole jig: a plate upside down" ["upside", "back to front", "flip", "hand", "mirror", "face"];
    JigSheetsSwapped Slip false true "whole jig: sheets of two plates swapped" ["other-plate", "wrong-plate", "another", "survey", "sheet"];
    JigUnit Slip false true "whole jig: one sheet in the wrong unit" ["inch", "unit", "25.4", "scale"];
    JigExchanged Slip false true "whole jig: x and y exchanged on one sheet" ["exchange", "swap", "mirror", "hand", "face", "back"];
    JigWarm Slip true true "whole jig: temperature noted wrong" ["temperature", "scale", "warm", "expan"];
    JigMixture Both false true "whole jig: slips on two sheets, a hole off on a third" [];
}
