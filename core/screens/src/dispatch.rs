//! Which screen a place is, and whose action is whose.

use super::common::{FieldKind, FieldValue, Outcome, Place};
use super::cx::{Typed, fault};
use super::desk::Desk;
use super::forms::{CrewForm, PrepForm, RingBoxForm, SealsForm};
use super::page::{Page, form_of};
use super::{
    Action, Screen, about, crew, days, help, hold, journal, photo, prep, recheck, rig, rig_edit,
    rigs, ring_box, seals, service, sketch, spares, start, trim,
};
use slackwater_domain::book::BookFault;

impl Desk {
    /// What a place shows.
    ///
    /// # Errors
    /// The thing isn't there; the file.
    pub fn show(&self, place: &Place) -> Result<Screen, BookFault> {
        let cx = self.cx()?;
        Ok(match place {
            Place::Rigs { form } => Screen::Rigs {
                screen: rigs::show(&cx, form.as_deref())?,
            },
            Place::Rig { rig, form } => Screen::Rig {
                screen: rig::show(&cx, rig, form.as_deref())?,
            },
            Place::RigEdit { rig, part } => Screen::RigEdit {
                screen: rig_edit::show(&cx, rig, part.as_deref())?,
            },
            Place::Prep { prep, step, form } => Screen::Prep {
                screen: prep::show(&cx, prep, step.as_deref(), form.as_deref())?,
            },
            Place::HoldSetup { rig, enclosure } => Screen::HoldSetup {
                screen: hold::show_setup(&cx, rig, enclosure)?,
            },
            Place::Hold { hold, form } => Screen::Hold {
                screen: hold::show(&cx, hold, form.as_deref())?,
            },
            Place::Recheck { rig } => Screen::Recheck {
                screen: recheck::show(&cx, rig)?,
            },
            Place::Seals { rig } => Screen::Seals {
                screen: seals::show(&cx, rig)?,
            },
            Place::Seal { rig, seal, form } => Screen::Seal {
                screen: seals::show_one(&cx, rig, seal, form.as_deref())?,
            },
            Place::Service { .. } => Screen::Service {
                screen: service::show(&cx, service_at(place)?)?,
            },
            Place::RingBox { form } => Screen::RingBox {
                screen: ring_box::show(&cx, form.as_deref())?,
            },
            Place::Spares { rig, form } => Screen::Spares {
                screen: spares::show(&cx, rig, form.as_deref())?,
            },
            Place::Trim { rig, form } => Screen::Trim {
                screen: trim::show(&cx, rig, form.as_deref())?,
            },
            Place::Journal { rig, before } => Screen::Journal {
                screen: journal::show(&cx, rig.as_deref(), before.as_deref())?,
            },
            Place::Days {
                rig,
                before,
                filter,
                form,
            } => Screen::Page {
                page: days::page(
                    &cx,
                    rig.as_deref(),
                    before.as_deref(),
                    filter,
                    form.as_deref(),
                )?,
            },
            Place::Start { page } => Screen::Page {
                page: start::page(&cx, *page)?,
            },
            Place::Help { of } => Screen::Page {
                page: help::page(&cx, *of),
            },
            Place::About { licence } => Screen::Page {
                page: about::page(&cx, licence.as_deref()),
            },
            Place::Entry { event } => Screen::Entry {
                screen: journal::show_entry(&cx, event)?,
            },
            Place::Photo { photo } => Screen::Photo {
                screen: photo::show(&cx, photo)?,
            },
            Place::Sketch { photo, tool } => Screen::Page {
                page: sketch::page(&cx, photo, tool)?,
            },
            Place::Crew { form } => Screen::Crew {
                screen: crew::show(&cx, form.as_deref())?,
            },
        })
    }

    /// The page of a place.
    ///
    /// # Errors
    /// As [`Desk::show`].
    pub fn page(&self, place: &Place) -> Result<Page, BookFault> {
        let (texts, form) = (self.texts, form_of(place));
        let page = match self.show(place)? {
            Screen::Rigs { screen } => screen.page(texts, form),
            Screen::Rig { screen } => screen.page(texts, form),
            Screen::RigEdit { screen } => screen.page(),
            Screen::Prep { screen } => screen.page(texts, form),
            Screen::HoldSetup { screen } => screen.page(texts),
            Screen::Hold { screen } => screen.page(texts, form),
            Screen::Recheck { screen } => screen.page(texts),
            Screen::Seals { screen } => screen.page(texts),
            Screen::Seal { screen } => screen.page(texts, form),
            Screen::Service { screen } => screen.page(),
            Screen::RingBox { screen } => screen.page(),
            Screen::Spares { screen } => screen.page(texts),
            Screen::Trim { screen } => screen.page(texts, form),
            Screen::Journal { screen } => {
                let Place::Journal { rig, .. } = place else {
                    return Ok(Page::default());
                };
                screen.page(texts, rig.as_deref())
            }
            Screen::Page { page } => page,
            Screen::Entry { screen } => screen.page(texts),
            Screen::Photo { screen } => screen.page(texts),
            Screen::Crew { screen } => screen.page(texts, form),
        };
        // Another step of a place is another page: a tap that was made on the last one does nothing here.
        let mut at = super::navigation::written(place);
        if !page.step.is_empty() {
            at = format!("{at}#{}", page.step);
        }
        Ok(help::with_help(texts, place, Page { at, ..page }))
    }

    /// Does an action on a place.
    ///
    /// # Errors
    /// The thing isn't there; the file. What was entered wrongly is in [`Outcome::faults`].
    pub fn act(&mut self, place: &Place, action: impl Into<Action>) -> Result<Outcome, BookFault> {
        let action = action.into();
        let is_form = action.form().is_some();
        if let Some((form, values)) = action.form() {
            if !takes_form(place, form) {
                return Ok(fault("", self.texts.get("error_other_screen")));
            }
            if let Some(faults) = self.not_offered(place, form, values) {
                return Ok(faults);
            }
        }
        let result = match (place, action) {
            (_, Action::Go { place }) => Ok(super::cx::go(place)),
            (Place::Rigs { .. }, Action::Rigs { action }) => rigs::act(self, action),
            (Place::Rig { rig, .. }, Action::Rig { action }) => rig::act(self, rig, action),
            (Place::RigEdit { rig, .. }, Action::RigEdit { action }) => {
                rig_edit::act(self, rig, action)
            }
            (Place::Prep { prep, step, .. }, Action::Prep { action }) => {
                prep::act(self, prep, step.as_deref(), action)
            }
            (Place::HoldSetup { rig, enclosure }, Action::Hold { action }) => {
                hold::act_setup(self, rig, enclosure, action)
            }
            (Place::Hold { hold, .. }, Action::Hold { action }) => hold::act(self, hold, action),
            (Place::Recheck { rig }, Action::Recheck { action }) => recheck::act(self, rig, action),
            (Place::Seals { rig }, Action::Seals { action }) => seals::act(self, rig, None, action),
            (Place::Seal { rig, seal, .. }, Action::Seals { action }) => {
                seals::act(self, rig, Some(seal), action)
            }
            (Place::Service { .. }, Action::Service { action }) => {
                service_at(place).and_then(|at| service::act(self, at, action))
            }
            (Place::RingBox { .. }, Action::RingBox { action }) => ring_box::act(self, action),
            (Place::Spares { rig, .. }, Action::Spares { action }) => {
                spares::act(self, rig, action)
            }
            (Place::Trim { rig, .. }, Action::Trim { action }) => trim::act(self, rig, action),
            (Place::Start { page }, Action::Start { action }) => start::act(self, *page, action),
            (Place::Days { rig, .. }, Action::Journal { action }) => {
                days::act(self, rig.as_deref(), action)
            }
            (Place::Journal { .. } | Place::Entry { .. }, Action::Journal { action }) => {
                journal::act(action)
            }
            (Place::Photo { photo }, Action::Photo { action }) => photo::act(self, photo, action),
            (Place::Sketch { photo, tool }, Action::Sketch { action }) => {
                sketch::act(self, photo, tool, action)
            }
            (Place::Crew { .. }, Action::Crew { action }) => crew::act(self, action),
            // A shell that mixes screens up: nothing is done.
            _ => Ok(fault("", self.texts.get("error_other_screen"))),
        };
        self.cx()?.answered(result, is_form)
    }

    /// The faults of choices that the form shown does not offer.
    fn not_offered(&self, place: &Place, form: &str, values: &[FieldValue]) -> Option<Outcome> {
        // What can't be shown is answered by the action itself.
        let screen = self.show(place).ok()?;
        let form = screen.forms().into_iter().find(|f| f.key == form)?;
        let mut typed = Typed::new(self.texts, values);
        for field in form.fields.iter().filter(|f| f.kind == FieldKind::Choice) {
            let sent = values.iter().any(|v| v.key == field.key);
            let chosen = typed.text(&field.key);
            let left_out = chosen.is_empty() && !field.required;
            if sent && !left_out && !field.choices.iter().any(|c| c.key == chosen) {
                typed.wrong(&field.key, "error_choice_wanted");
            }
        }
        typed.faults()
    }

    /// Takes back what an action recorded, by [`super::common::Undo::token`].
    ///
    /// # Errors
    /// The event isn't there; the file.
    pub fn undo(&mut self, token: &str) -> Result<Outcome, BookFault> {
        let result = self
            .book
            .undo(token)
            .map(|_| super::cx::said(self.texts.get("common_undone")));
        self.cx()?.answered(result, false)
    }
}

/// Where the service of a place stands.
fn service_at(place: &Place) -> Result<service::At<'_>, BookFault> {
    match place {
        Place::Service {
            rig,
            seal,
            stage,
            prep,
            step,
        } => Ok(service::At {
            rig,
            seal,
            stage,
            step: prep.as_deref().zip(step.as_deref()),
        }),
        other => Err(BookFault::NotFound {
            what: "service",
            id: format!("{other:?}"),
        }),
    }
}

/// Whether the screen of a place has a form of this key at all. The rig's editor asks the rig.
fn takes_form(place: &Place, key: &str) -> bool {
    let kind = key.split('/').next().unwrap_or_default();
    match place {
        Place::Rigs { .. } => kind == "new",
        Place::Start { page } => {
            kind == match page {
                start::StartPage::Who => "who",
                start::StartPage::Gauge => "gauge",
                start::StartPage::Rig => "rig",
            }
        }
        Place::Prep { .. } => PrepForm::parse(key).is_some_and(|form| form != PrepForm::Steps),
        Place::HoldSetup { .. } => matches!(kind, "setup" | hold::TO_RIG),
        Place::Hold { .. } => matches!(kind, "reading" | "abandon"),
        Place::Seal { .. } => matches!(
            SealsForm::parse(key),
            Some(SealsForm::Age | SealsForm::Measure | SealsForm::Again)
        ),
        Place::Seals { .. } => false,
        Place::Service { stage, .. } => stage.split('/').next() == Some(kind),
        Place::RingBox { .. } => RingBoxForm::parse(key).is_some(),
        Place::Spares { .. } => kind == "plan",
        Place::Days { .. } => kind == "filter",
        Place::Sketch { .. } => sketch::takes(kind),
        Place::Trim { .. } => matches!(kind, "water" | "hang" | "seen" | "aim"),
        Place::Crew { .. } => {
            matches!(kind, super::phones::FORM | super::procedures::FORM)
                || CrewForm::parse(key).is_some()
        }
        _ => true,
    }
}

impl Action {
    /// The form it sends, whose faults stand at its fields.
    fn form(&self) -> Option<(&str, &[FieldValue])> {
        use super::crew::CrewAction as C;
        use super::hold::HoldAction as H;
        use super::journal::JournalAction as J;
        use super::prep::PrepAction as P;
        use super::recheck::RecheckAction as R;
        use super::rig::RigAction as G;
        use super::rig_edit::RigEditAction as E;
        use super::rigs::RigsAction as S;
        use super::ring_box::RingBoxAction as B;
        use super::seals::SealsAction as L;
        use super::service::ServiceAction as V;
        use super::sketch::SketchAction as K;
        use super::spares::SparesAction as A;
        use super::start::StartAction as F;
        use super::trim::TrimAction as T;
        match self {
            Action::Rigs {
                action: S::Submit { form, values },
            }
            | Action::Rig {
                action: G::Submit { form, values },
            }
            | Action::RigEdit {
                action: E::Submit { form, values },
            }
            | Action::Prep {
                action: P::Submit { form, values },
            }
            | Action::Hold {
                action: H::Submit { form, values },
            }
            | Action::Recheck {
                action: R::Submit { form, values },
            }
            | Action::Seals {
                action: L::Submit { form, values },
            }
            | Action::Service {
                action: V::Submit { form, values },
            }
            | Action::RingBox {
                action: B::Submit { form, values },
            }
            | Action::Spares {
                action: A::Submit { form, values },
            }
            | Action::Trim {
                action: T::Submit { form, values },
            }
            | Action::Crew {
                action: C::Submit { form, values },
            }
            | Action::Journal {
                action: J::Submit { form, values },
            }
            | Action::Sketch {
                action: K::Submit { form, values },
            }
            | Action::Start {
                action: F::Submit { form, values },
            } => Some((form, values)),
            _ => None,
        }
    }
}
