//! One definition for each record: what `shape!` and `records!` are given is the shape that serde reads, the list of
//! fields, the record written as text, and the reference that people read.

use std::fmt;

/// What a field, or a value in brackets, takes.
#[derive(Clone, Copy, Debug)]
pub struct Takes {
    /// What each value is.
    pub what: What,
    /// Whether it is a list of them, in square brackets.
    pub is_list: bool,
    /// Whether it may be left out.
    pub may_be_left_out: bool,
}

/// What a value is.
#[derive(Clone, Copy, Debug)]
pub enum What {
    /// A plain value.
    Value(&'static PlainValue),
    /// The name of a record of this kind.
    NameOf(&'static str),
    /// A value with fields, or one of several words.
    Shape(fn() -> &'static RecordShape),
    /// Values in round brackets, one after another, each with what it is.
    Each(&'static [(&'static str, Takes)]),
}

/// A kind of plain value.
#[derive(Debug)]
pub struct PlainValue {
    /// What it is called.
    pub name: &'static str,
    /// What it is and how it is written.
    pub doc: &'static [&'static str],
    /// Some, as they are written.
    pub examples: &'static [&'static str],
}

/// A value with fields, or one of several words.
#[derive(Debug)]
pub struct RecordShape {
    /// What it is called.
    pub name: &'static str,
    /// What it is for.
    pub doc: &'static [&'static str],
    /// What it is made of.
    pub made_of: MadeOf,
}

/// What a shape is made of.
#[derive(Debug)]
pub enum MadeOf {
    /// Named fields.
    Fields(&'static [ShapeField]),
    /// One of these words.
    Words(&'static [ShapeWord]),
}

/// A field.
#[derive(Debug)]
pub struct ShapeField {
    /// Its name.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static [&'static str],
    /// What it takes.
    pub takes: Takes,
}

/// A word, with what stands in brackets behind it.
#[derive(Debug)]
pub struct ShapeWord {
    /// The word.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static [&'static str],
    /// Values in brackets, in order, each with what it is; empty if it has none.
    pub values: &'static [(&'static str, Takes)],
    /// Named fields in brackets; empty if it has none.
    pub fields: &'static [ShapeField],
}

/// A kind of record.
#[derive(Debug)]
pub struct RecordKind {
    /// Its name, as it is written before the bracket.
    pub name: &'static str,
    /// What it is for, where several kinds have the same fields.
    pub doc: &'static [&'static str],
    /// A file below the project folder in which such records are well placed.
    pub file: &'static str,
    /// The field that names the record.
    pub named_by: &'static str,
    /// Its fields.
    pub shape: fn() -> &'static RecordShape,
}

impl RecordKind {
    /// Whether a record of the kind cannot do without the field.
    pub(crate) fn needs(&self, field: &str) -> bool {
        let needed = |known: &ShapeField| known.name == field && !known.takes.may_be_left_out;
        matches!((self.shape)().made_of, MadeOf::Fields(fields) if fields.iter().any(needed))
    }
}

/// What a definition says of a field: a marker for plain values, the type itself for shapes.
pub trait FieldType {
    /// The type that holds what was read.
    type Value;
    /// What is to be written.
    const TAKES: Takes;
}

/// What holds the value of a field.
pub(super) type Holds<T> = <T as FieldType>::Value;

/// The text of a value in a dossier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AsWritten {
    /// One value.
    One(String),
    /// The values of a list.
    Many(Vec<String>),
}

impl fmt::Display for AsWritten {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AsWritten::One(text) => f.write_str(text),
            AsWritten::Many(all) => write!(f, "[{}]", all.join(", ")),
        }
    }
}

/// A value that can be written as the text of a dossier.
pub(super) trait InText {
    /// The text; `None` for a value that is not there.
    fn written(&self) -> Option<AsWritten>;
    /// The same where a value must stand.
    fn in_place(&self) -> String {
        self.written().map_or_else(|| "None".to_owned(), |text| text.to_string())
    }
}

/// Fields with their values as they are written.
pub type Fields = Vec<(&'static str, AsWritten)>;

/// Fields in round brackets.
pub(super) fn bracketed(fields: &Fields) -> String {
    let all: Vec<String> = fields.iter().map(|(name, written)| format!("{name}: {written}")).collect();
    format!("({})", all.join(", "))
}

impl Takes {
    /// One of something, which must be there.
    pub(super) const fn one(what: What) -> Takes {
        Takes { what, is_list: false, may_be_left_out: false }
    }
    /// The same, which may be left out.
    pub(super) const fn or_nothing(self, may: bool) -> Takes {
        Takes { may_be_left_out: self.may_be_left_out || may, ..self }
    }
}

impl<T: FieldType> FieldType for Option<T> {
    type Value = Option<T::Value>;
    const TAKES: Takes = T::TAKES.or_nothing(true);
}
impl<T: FieldType> FieldType for Vec<T> {
    type Value = Vec<T::Value>;
    const TAKES: Takes = Takes { is_list: true, ..T::TAKES };
}
impl<T: FieldType> FieldType for Box<T> {
    type Value = Box<T::Value>;
    const TAKES: Takes = T::TAKES;
}

impl<T: InText> InText for Option<T> {
    fn written(&self) -> Option<AsWritten> {
        self.as_ref().and_then(T::written)
    }
}
impl<T: InText> InText for Vec<T> {
    fn written(&self) -> Option<AsWritten> {
        Some(AsWritten::Many(self.iter().map(T::in_place).collect()))
    }
}
impl<T: InText> InText for Box<T> {
    fn written(&self) -> Option<AsWritten> {
        T::written(self)
    }
}
impl InText for String {
    fn written(&self) -> Option<AsWritten> {
        Some(AsWritten::One(ron::to_string(self).expect("a text can be written")))
    }
}
impl InText for u32 {
    fn written(&self) -> Option<AsWritten> {
        Some(AsWritten::One(self.to_string()))
    }
}
impl InText for f64 {
    fn written(&self) -> Option<AsWritten> {
        Some(AsWritten::One(format!("{self:?}")))
    }
}
impl InText for bool {
    fn written(&self) -> Option<AsWritten> {
        Some(AsWritten::One(self.to_string()))
    }
}

/// Defines the shape of a record, or of something in one, with everything that is said of it.
///
/// A field's type is what it takes: a marker of `values.rs`, `Of<Part>` for the name of a part, or another shape; `Vec` and
/// `Option` round it. A field that is an `Option` or has `#[serde(default)]` may be left out.
macro_rules! shape {
    (
        $(#[doc = $doc:literal])+
        $(#[derive($($derive:ident),+)])?
        pub struct $name:ident {
            $(
                $(#[doc = $field_doc:literal])+
                $(#[serde($default:ident)])?
                pub $field:ident: $takes:ty,
            )+
            $(; $(#[doc = $beside_doc:literal])+ pub $beside:ident: $beside_type:ty,)?
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq, serde::Deserialize, serde::Serialize, $($($derive),+)?)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $(
                $(#[doc = $field_doc])+
                $(#[serde($default)])?
                pub $field: $crate::schema::shapes::Holds<$takes>,
            )+
            $(
                $(#[doc = $beside_doc])+
                #[serde(skip)]
                pub $beside: $beside_type,
            )?
        }
        impl $name {
            /// What it is made of.
            pub(crate) fn shape() -> &'static $crate::schema::RecordShape {
                const FIELDS: &[$crate::schema::ShapeField] = &[
                    $($crate::schema::shapes::field!([$($field_doc),+] $field: $takes $(, $default)?),)+
                ];
                const SHAPE: &$crate::schema::RecordShape = &$crate::schema::RecordShape {
                    name: stringify!($name),
                    doc: &[$($doc),+],
                    made_of: $crate::schema::MadeOf::Fields(FIELDS),
                };
                SHAPE
            }
            /// Its fields as they are written, those left out that say nothing.
            #[must_use]
            pub fn fields(&self) -> $crate::schema::Fields {
                let mut fields = $crate::schema::Fields::new();
                $($crate::schema::shapes::push!(fields, self.$field, stringify!($field) $(, $default)?);)+
                fields
            }
        }
        impl $crate::schema::shapes::FieldType for $name {
            type Value = $name;
            const TAKES: $crate::schema::Takes =
                $crate::schema::Takes::one($crate::schema::What::Shape($name::shape));
        }
        impl $crate::schema::shapes::InText for $name {
            fn written(&self) -> Option<$crate::schema::AsWritten> {
                let text = $crate::schema::shapes::bracketed(&self.fields());
                Some($crate::schema::AsWritten::One(text))
            }
        }
    };
    (
        $(#[doc = $doc:literal])+
        $(#[derive($($derive:ident),+)])?
        pub enum $name:ident {
            $(
                $(#[doc = $word_doc:literal])+
                $word:ident
                $(($($(#[serde($value_default:ident)])? $value:ident: $takes:ty),+))?
                $({$(
                    $(#[doc = $field_doc:literal])+
                    $field:ident: $field_takes:ty,
                )+})?
                $(= $default:ident)?,
            )+
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq, serde::Deserialize, serde::Serialize, $($($derive),+)?)]
        #[serde(deny_unknown_fields)]
        pub enum $name {
            $(
                $(#[doc = $word_doc])+
                $(#[$default])?
                $word
                $(($($(#[serde($value_default)])? $crate::schema::shapes::Holds<$takes>),+))?
                $({$(
                    $(#[doc = $field_doc])+
                    $field: $crate::schema::shapes::Holds<$field_takes>,
                )+})?,
            )+
        }
        impl $name {
            /// What it may be.
            pub(crate) fn shape() -> &'static $crate::schema::RecordShape {
                const WORDS: &[$crate::schema::ShapeWord] = &[$($crate::schema::ShapeWord {
                    name: stringify!($word),
                    doc: &[$($word_doc),+],
                    values: &[$($((stringify!($value), <$takes as $crate::schema::shapes::FieldType>::TAKES)),+)?],
                    fields: &[$($($crate::schema::shapes::field!([$($field_doc),+] $field: $field_takes)),+)?],
                }),+];
                const SHAPE: &$crate::schema::RecordShape = &$crate::schema::RecordShape {
                    name: stringify!($name),
                    doc: &[$($doc),+],
                    made_of: $crate::schema::MadeOf::Words(WORDS),
                };
                SHAPE
            }
        }
        impl $crate::schema::shapes::FieldType for $name {
            type Value = $name;
            const TAKES: $crate::schema::Takes =
                $crate::schema::Takes::one($crate::schema::What::Shape($name::shape));
        }
        impl $crate::schema::shapes::InText for $name {
            fn written(&self) -> Option<$crate::schema::AsWritten> {
                let text = match self {
                    $($name::$word $(($($value),+))? $({$($field),+})? => {
                        let behind: Vec<Option<String>> = vec![
                            $($($crate::schema::shapes::InText::written($value).map(|text| text.to_string())),+)?
                            $($(Some(format!(
                                "{}: {}",
                                stringify!($field),
                                $crate::schema::shapes::InText::in_place($field)
                            ))),+)?
                        ];
                        $crate::schema::shapes::word(stringify!($word), behind)
                    })+
                };
                Some($crate::schema::AsWritten::One(text))
            }
        }
    };
}
pub(super) use shape;

/// A word and what stands behind it; values that are in brackets already (those of `Post`) get no second pair.
pub(super) fn word(word: &str, behind: Vec<Option<String>>) -> String {
    let behind: Vec<String> = behind.into_iter().flatten().collect();
    match &behind[..] {
        [] => word.to_owned(),
        [only] if only.starts_with('(') => format!("{word}{only}"),
        _ => format!("{word}({})", behind.join(", ")),
    }
}

macro_rules! field {
    ([$($doc:literal),+] $field:ident: $takes:ty $(, $default:ident)?) => {
        $crate::schema::ShapeField {
            name: stringify!($field),
            doc: &[$($doc),+],
            takes: <$takes as $crate::schema::shapes::FieldType>::TAKES
                .or_nothing(!stringify!($($default)?).is_empty()),
        }
    };
}
pub(super) use field;

/// Whether a value is what stands for one that is left out.
pub(super) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

macro_rules! push {
    ($fields:ident, $value:expr, $name:expr, default) => {
        if !$crate::schema::shapes::is_default(&$value) {
            $crate::schema::shapes::push!($fields, $value, $name);
        }
    };
    ($fields:ident, $value:expr, $name:expr) => {
        $fields.extend($crate::schema::shapes::InText::written(&$value).map(|text| ($name, text)));
    };
}
pub(super) use push;

/// Defines the kinds of record: of each the struct with its fields, the field that names it, a file that it is well placed
/// in and, for what belongs to an airframe's dossier, the field that names the airframe.
macro_rules! records {
    ($(
        $(#[doc = $doc:literal])+
        $kind:ident($shape:ident) by $named_by:ident in $file:literal $(of $airframe:ident)?,
    )+) => {
        /// One record of a dossier file.
        #[derive(Clone, Debug, PartialEq, serde::Deserialize, serde::Serialize)]
        #[serde(deny_unknown_fields)]
        pub enum Record {
            $($(#[doc = $doc])+ $kind($shape),)+
        }
        /// The names of all record kinds, as they are written.
        pub const RECORD_KINDS: &[&str] = &[$(stringify!($kind)),+];
        /// All kinds of record, in the order of the reference.
        pub const KINDS: &[RecordKind] = &[$(RecordKind {
            name: stringify!($kind),
            doc: &[$($doc),+],
            file: $file,
            named_by: stringify!($named_by),
            shape: $shape::shape,
        }),+];
        impl Record {
            /// The serial of the airframe whose dossier it belongs to; `None` if it is of the type or of the shop.
            #[must_use]
            pub fn airframe(&self) -> Option<&str> {
                match self {
                    $(Record::$kind(_raw) => {
                        let found: &[&str] = &[$(&_raw.$airframe)?];
                        found.first().copied()
                    })+
                }
            }
            /// The name of its kind, as it is written.
            #[must_use]
            pub fn kind(&self) -> &'static str {
                match self {
                    $(Record::$kind(_) => stringify!($kind),)+
                }
            }
            /// Its fields as they are written, those left out that say nothing.
            #[must_use]
            pub fn fields(&self) -> Fields {
                match self {
                    $(Record::$kind(raw) => raw.fields(),)+
                }
            }
        }
        $(const _: fn(&$shape) = |raw| _ = &raw.$named_by;)+
    };
}
pub(super) use records;
