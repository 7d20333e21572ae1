//! The kinds of part, and what the editor must know of each.

use super::super::asked::Unlikely;
use super::super::common::{Field, Row, Severity};
use super::super::cx::{Cx, Typed, button};
use super::super::keys;
use super::super::spec::{self, Spec};
use super::path::{EditAt, Id};
use super::{RigEditAction, RigEditButton};
use slackwater_domain::book::BookFault;
use slackwater_domain::rig::RigDef;
use slackwater_domain::state::RigFacts;

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident, $word:literal, $file:ident::$sort:ident;)*) => {
        /// A kind of part that can be added to a rig.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(crate) enum Kind {
            $($(#[$doc])* $kind,)*
        }

        impl Kind {
            /// All of them, in the order of their sections.
            pub const ALL: [Kind; [$($word),*].len()] = [$(Kind::$kind),*];

            /// As paths and actions name it.
            pub fn word(self) -> &'static str {
                match self {
                    $(Kind::$kind => $word,)*
                }
            }

            /// All that is particular to it.
            pub fn sort(self) -> &'static dyn Editing {
                match self {
                    $(Kind::$kind => &super::$file::$sort,)*
                }
            }
        }
    };
}

// A new kind is a line here and its file: the compiler asks for the rest.
kinds! {
    /// An enclosure.
    Enclosure, "enclosure", enclosure::Enclosures;
    /// A closure of an enclosure.
    Closure, "closure", closure::Closures;
    /// A penetrator of an enclosure.
    Penetrator, "penetrator", penetrator::Penetrators;
    /// A seal.
    Seal, "seal", seal::Seals;
    /// A control.
    Control, "control", control::Controls;
    /// A lens with its port.
    Lens, "lens", lens::Lenses;
    /// What came off the camera.
    StripItem, "strip_item", strip_item::StripItems;
    /// A cable.
    Cable, "cable", cable::Cables;
    /// A part with mass and volume.
    Part, "part", part::Parts;
    /// Where weights hang.
    MountingPoint, "mounting_point", mounting_point::MountingPoints;
    /// A size of weights in the box.
    Weight, "weight", weight::Weights;
}

impl Kind {
    /// The kind that a word names.
    pub fn of(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|k| k.word() == word)
    }

    /// Whether its ids are unique in their enclosure only.
    pub fn inside(self) -> bool {
        self.sort().inside()
    }
}

/// A rig as its editor shows it.
#[derive(Clone, Copy)]
pub(crate) struct Of<'a> {
    /// The words, units and book.
    pub cx: &'a Cx<'a>,
    /// The rig as it stands.
    pub rig: &'a RigFacts,
}

impl<'a> Of<'a> {
    /// Its definition as it stands.
    pub fn def(self) -> &'a RigDef {
        &self.rig.def
    }

    /// A text.
    pub fn t(self, key: &str) -> String {
        self.cx.t(key)
    }
}

/// One kind of part: how it is listed, which fields it has, where it is kept.
pub(super) trait Sort: Sync {
    /// What is edited.
    type Item: Clone;

    /// Key of its section's title.
    const TITLE: &'static str;
    /// Key of the title of a new one's form.
    const NEW: &'static str;
    /// Whether its ids are unique in their enclosure only.
    const INSIDE: bool = false;

    /// All of a rig, in their order.
    fn all(def: &RigDef) -> Vec<Self::Item>;
    /// What tells one from the others.
    fn id(item: &Self::Item) -> Id;
    /// What it is called.
    fn name(of: Of<'_>, item: &Self::Item) -> String;
    /// One line about it; may be empty.
    fn detail(of: Of<'_>, item: &Self::Item) -> String;
    /// A new one, before anything was typed.
    fn new() -> Self::Item;
    /// The fields of its form, for the one that stands there or for a new one.
    fn fields<'a>(of: Of<'a>, stood: Option<&Self::Item>) -> Vec<Spec<'a, Self::Item>>;
    /// Keeps it in the place of the one that stood there, or as a new one, by the rules that look at several fields.
    ///
    /// # Errors
    /// The file. What is wrong with what was typed is noted there.
    fn put(
        of: Of<'_>,
        def: &mut RigDef,
        stood: Option<&Self::Item>,
        item: Self::Item,
        typed: &mut Typed<'_>,
    ) -> Result<(), BookFault>;
    /// Takes it off the rig, with what can't be without it.
    fn remove(def: &mut RigDef, item: &Self::Item);

    /// Buttons of its form, before the one that takes it off: what each says, and where it leads.
    fn leads(_of: Of<'_>, _item: &Self::Item) -> Vec<(String, EditAt)> {
        Vec::new()
    }

    /// Buttons of the form for a new one.
    ///
    /// # Errors
    /// The file.
    fn instead_of_new(_of: Of<'_>) -> Result<Vec<RigEditButton>, BookFault> {
        Ok(Vec::new())
    }

    /// Numbers typed that are rather slips; none of a kind of which none is asked about.
    fn doubts(
        _of: Of<'_>,
        _typed: &Typed<'_>,
        _stood: Option<&Self::Item>,
        _item: &Self::Item,
    ) -> Option<Vec<Unlikely>> {
        None
    }
}

/// A form, drawn: its title and its fields.
pub(crate) struct Drawn {
    /// Title of the page.
    pub title: String,
    /// The fields.
    pub fields: Vec<Field>,
    /// Where the page leads besides.
    pub leads: Vec<(String, EditAt)>,
}

impl Drawn {
    /// A form that leads nowhere else.
    pub fn of(title: String, fields: Vec<Field>) -> Drawn {
        Drawn {
            title,
            fields,
            leads: Vec::new(),
        }
    }
}

/// The same for whatever kind. Where an id is none of the rig's, the answer is none.
pub(crate) trait Editing: Sync {
    /// Key of the section's title.
    fn title(&self) -> &'static str;
    /// As [`Sort::INSIDE`].
    fn inside(&self) -> bool;
    /// A row for each, which opens it.
    fn rows(&self, of: Of<'_>, kind: Kind) -> Vec<Row>;
    /// The form of the one of this id, or of a new one.
    fn draw(&self, of: Of<'_>, id: Option<&Id>) -> Option<Drawn>;
    /// As [`Sort::instead_of_new`].
    fn instead_of_new(&self, of: Of<'_>) -> Result<Vec<RigEditButton>, BookFault>;
    /// Puts what was typed into the definition.
    fn read(
        &self,
        of: Of<'_>,
        id: Option<&Id>,
        typed: &mut Typed<'_>,
        def: &mut RigDef,
    ) -> Result<Option<Read>, BookFault>;
    /// Takes the one of this id off.
    fn remove(&self, def: &mut RigDef, id: &Id) -> Option<()>;
}

/// What was read.
pub(crate) struct Read {
    /// As [`Sort::doubts`].
    pub doubts: Option<Vec<Unlikely>>,
}

fn found<S: Sort>(def: &RigDef, id: Option<&Id>) -> Option<Option<S::Item>> {
    match id {
        None => Some(None),
        Some(id) => S::all(def).into_iter().find(|i| S::id(i) == *id).map(Some),
    }
}

impl<S: Sort> Editing for S {
    fn title(&self) -> &'static str {
        S::TITLE
    }

    fn inside(&self) -> bool {
        S::INSIDE
    }

    fn rows(&self, of: Of<'_>, kind: Kind) -> Vec<Row> {
        let row = |item: S::Item| {
            let title = S::name(of, &item);
            let part = EditAt::Item(kind, S::id(&item)).to_string();
            Row {
                title: title.clone(),
                detail: S::detail(of, &item),
                severity: Severity::Plain,
                tap: Some(button(title, RigEditAction::OpenPart { part })),
                ..Row::default()
            }
        };
        S::all(of.def()).into_iter().map(row).collect()
    }

    fn draw(&self, of: Of<'_>, id: Option<&Id>) -> Option<Drawn> {
        let stood = found::<S>(of.def(), id)?;
        let stood = stood.as_ref();
        Some(Drawn {
            title: stood.map_or_else(|| of.t(S::NEW), |item| S::name(of, item)),
            fields: spec::draw(&S::fields(of, stood), &of.cx.units, stood),
            leads: stood.map_or_else(Vec::new, |item| S::leads(of, item)),
        })
    }

    fn instead_of_new(&self, of: Of<'_>) -> Result<Vec<RigEditButton>, BookFault> {
        S::instead_of_new(of)
    }

    fn read(
        &self,
        of: Of<'_>,
        id: Option<&Id>,
        typed: &mut Typed<'_>,
        def: &mut RigDef,
    ) -> Result<Option<Read>, BookFault> {
        let Some(stood) = found::<S>(of.def(), id) else {
            return Ok(None);
        };
        let stood = stood.as_ref();
        let mut item = stood.cloned().unwrap_or_else(S::new);
        let fields = S::fields(of, stood);
        spec::read(&fields, &of.cx.units, typed, stood, &mut item);
        let doubts = S::doubts(of, typed, stood, &item);
        S::put(of, def, stood, item, typed)?;
        Ok(Some(Read { doubts }))
    }

    fn remove(&self, def: &mut RigDef, id: &Id) -> Option<()> {
        let item = found::<S>(def, Some(id))??;
        S::remove(def, &item);
        Some(())
    }
}

/// Puts `item` in the place of the one with its id, or at the end.
pub(super) fn put_by_id<T>(list: &mut Vec<T>, item: T, id: impl Fn(&T) -> &str) {
    match list.iter().position(|i| id(i) == id(&item)) {
        Some(at) => list[at] = item,
        None => list.push(item),
    }
}

/// The field of what a part is called.
pub(super) fn name_field<'a, T>(
    of: Of<'a>,
    get: impl Fn(&T) -> &str + 'a,
    set: impl Fn(&mut T, String) + 'a,
) -> Spec<'a, T> {
    let got = move |t: &T| get(t).to_owned();
    spec::text(keys::NAME, of.t("screen_edit_name"), got, set).must()
}
