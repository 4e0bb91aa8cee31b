//! Typed indices into the tables of a [`Model`](crate::model::Model).
//!
//! Every id is an index that was handed out by exactly one [`Table`]; two tables never share an id type,
//! so an id of one kind cannot be used to look up another kind.

use indexmap::IndexMap;
use serde::{Serialize, Serializer};
use std::marker::PhantomData;

/// An index into one [`Table`].
pub trait Id: Copy + Eq + Ord + std::hash::Hash {
    /// The id of the entry at `index`.
    fn from_index(index: usize) -> Self;
    /// The position of the entry in its table.
    fn index(self) -> usize;
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        pub struct $name(u32);
        impl Id for $name {
            fn from_index(index: usize) -> Self {
                $name(u32::try_from(index).expect("a table holds fewer than 2^32 entries"))
            }
            fn index(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

ids! {
    /// One separately embodied modification (`M014`) or part of one (`M014/A`).
    ModId;
    /// One part number.
    PartId;
    /// One position: a find number in an assembly (`60-2200/10`).
    PositionId;
    /// One drawing sheet in the register.
    DrawingId;
    /// One frame.
    FrameId;
    /// One jig-plate definition.
    PlateId;
    /// One airframe dossier.
    AirframeId;
    /// One evidence item of one airframe.
    EvidenceId;
    /// One claim of one airframe; assumptions add claims of their own behind the written ones.
    ClaimId;
    /// One jig of the shop.
    JigId;
    /// One named build state.
    BuildStateId;
}

/// Named entries in the order in which the dossiers give them, addressed by id.
///
/// Invariant: names are unique within one table, and an id stays valid for the life of the table.
#[derive(Clone, Debug)]
pub struct Table<I, T> {
    entries: IndexMap<Box<str>, T>,
    id: PhantomData<I>,
}

impl<I, T> Default for Table<I, T> {
    fn default() -> Self {
        Table { entries: IndexMap::new(), id: PhantomData }
    }
}

impl<I: Id, T> Table<I, T> {
    /// Adds an entry; gives back the id of the earlier entry if the name is taken.
    ///
    /// # Errors
    /// The id of the entry that already has this name; the table is unchanged.
    pub fn insert(&mut self, name: &str, entry: T) -> Result<I, I> {
        if let Some(index) = self.entries.get_index_of(name) {
            return Err(I::from_index(index));
        }
        let (index, _) = self.entries.insert_full(name.into(), entry);
        Ok(I::from_index(index))
    }
    /// The id of the entry with this name.
    #[must_use]
    pub fn id(&self, name: &str) -> Option<I> {
        self.entries.get_index_of(name).map(I::from_index)
    }
    /// The name under which the entry was added.
    #[must_use]
    pub fn name(&self, id: I) -> &str {
        self.entries.get_index(id.index()).expect("an id comes from its own table").0
    }
    /// The entry, to be completed while the model is built.
    pub fn get_mut(&mut self, id: I) -> &mut T {
        &mut self.entries[id.index()]
    }
    /// All entries with ids and names, in table order.
    #[must_use]
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (I, &str, &T)> + ExactSizeIterator {
        self.entries.iter().enumerate().map(|(i, (name, entry))| (I::from_index(i), &**name, entry))
    }
    /// All ids, in table order.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = I> + ExactSizeIterator + use<I, T> {
        (0..self.entries.len()).map(I::from_index)
    }
    /// All names, in table order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(|name| &**name)
    }
    /// How many entries there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.entries.len()
    }
    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }
}

impl<I: Id, T> std::ops::Index<I> for Table<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.entries[id.index()]
    }
}

impl<I, T: Serialize> Serialize for Table<I, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.entries.serialize(serializer)
    }
}
