//! Where the app is: the places down to the page that is shown, and how an answer moves them.
//!
//! The phone knows one page at a time. It keeps [`Page::kept`] while the app is not running and hands it
//! back, and the same page stands there again.

use super::Action;
use super::common::{Document, FieldFault, FieldValue, Outcome, Place, Undo};
use super::cx::fault;
use super::desk::Desk;
use super::page::Page;
use slackwater_domain::book::BookFault;

/// What an action came to, for the phone to tell. Where it led is on the next page.
#[derive(Debug, Clone, PartialEq, Eq, Default, uniffi::Record)]
pub struct Reply {
    /// A short sentence for the bar, if any.
    pub said: Option<String>,
    /// What can be undone, if anything.
    pub undo: Option<Undo>,
    /// What was wrong with the form; nothing was recorded if this is not empty.
    pub faults: Vec<FieldFault>,
    /// True where what the bar says, and what it undoes, still stands: nothing was recorded.
    #[uniffi(default = false)]
    pub bar_stays: bool,
    /// A file to offer to whatever the phone can hand it to, if any.
    #[uniffi(default = None)]
    pub document: Option<Document>,
    /// The phone should let the person choose a file and send it to `Screens.bring` with this.
    #[uniffi(default = None)]
    pub bring: Option<String>,
}

impl From<Outcome> for Reply {
    fn from(outcome: Outcome) -> Reply {
        let moved = outcome.leave || outcome.go.is_some() || outcome.document.is_some();
        let silent = outcome.said.is_none() && outcome.undo.is_none();
        Reply {
            bar_stays: moved && silent || !outcome.faults.is_empty(),
            said: outcome.said,
            undo: outcome.undo,
            faults: outcome.faults,
            document: outcome.document,
            bring: outcome.bring,
        }
    }
}

/// The place as a text that names no other: it is kept, and comes back as it was.
pub(super) fn written(place: &Place) -> String {
    // Texts and nothing else: this can't fail.
    serde_json::to_string(place).unwrap_or_default()
}

/// What [`written`] wrote; none for anything else.
fn read(at: &str) -> Option<Place> {
    serde_json::from_str(at).ok()
}

/// The places from the rigs to the one shown; never none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stack(Vec<Place>);

impl Default for Stack {
    fn default() -> Stack {
        Stack(vec![Place::Rigs { form: None }])
    }
}

/// So many places are kept, the last ones, besides the rigs: a phone keeps little.
const KEPT: usize = 40;

impl Stack {
    /// Of these places; the rigs where there is none.
    pub fn of(places: Vec<Place>) -> Stack {
        if places.is_empty() {
            Stack::default()
        } else {
            Stack(places)
        }
    }

    /// What [`Stack::kept`] wrote; the rigs for anything else, such as what a newer program left.
    pub fn read(kept: &str) -> Stack {
        let mut places: Vec<Place> = serde_json::from_str(kept).unwrap_or_default();
        let rigs = Place::Rigs { form: None };
        // Whatever was kept, Back leads to the rigs at last: what it names may be of another record.
        if places.first() != Some(&rigs) {
            places.insert(0, rigs);
        }
        Stack::of(places)
    }

    /// The places as a text.
    pub fn kept(&self) -> String {
        let from = self.0.len().saturating_sub(KEPT).max(1).min(self.0.len());
        let kept: Vec<&Place> = self.0.iter().take(1).chain(&self.0[from..]).collect();
        serde_json::to_string(&kept).unwrap_or_default()
    }

    /// The place shown.
    pub fn place(&self) -> Place {
        self.0.last().cloned().unwrap_or(Place::Rigs { form: None })
    }

    /// All of them, the one shown last.
    pub fn places(&self) -> &[Place] {
        &self.0
    }

    /// Whether Back leads somewhere.
    pub fn can_go_back(&self) -> bool {
        self.0.len() > 1
    }

    /// Goes back one place; stays at the first.
    pub fn back(&mut self) {
        if self.can_go_back() {
            self.0.pop();
        }
    }

    /// Moves as an outcome says. The rules of moving stand here and nowhere else.
    pub fn follow(&mut self, outcome: &Outcome) {
        if outcome.leave {
            // The pages that found a crew are left together.
            let founds = |place: &Place| matches!(place, Place::Start { .. });
            let all = founds(&self.place());
            self.back();
            while all && founds(&self.place()) && self.can_go_back() {
                self.back();
            }
        }
        if let Some(go) = &outcome.go {
            self.go(go.clone());
        }
    }

    /// Goes to a place by its text ([`super::common::PhotoTile::at`]); stays where that is none.
    pub fn go_to(&mut self, at: &str) {
        if let Some(place) = read(at) {
            self.go(place);
        }
    }

    /// Goes to a place.
    pub fn go(&mut self, go: Place) {
        // Back where one was: what was opened since is closed.
        if let Some(at) = self.0.iter().position(|p| *p == go) {
            self.0.truncate(at + 1);
            return;
        }
        // Another step of the same prep takes the place of the last, and of what was opened since, so
        // that Back leaves the prep.
        if let Place::Prep {
            prep, form: None, ..
        } = &go
        {
            let same =
                |p: &Place| matches!(p, Place::Prep { prep: q, form: None, .. } if q == prep);
            if let Some(at) = self.0.iter().position(same) {
                self.0.truncate(at);
            }
        }
        self.0.push(go);
    }
}

impl Desk {
    /// The places to open at: those that were kept. Where none can be read (a first opening) the rigs, and
    /// on them the first start where the record has neither a member nor a rig.
    ///
    /// # Errors
    /// The file of the journal.
    pub fn opened(&self, kept: &str) -> Result<Stack, BookFault> {
        let mut stack = Stack::read(kept);
        let known: Vec<Place> = serde_json::from_str(kept).unwrap_or_default();
        if known.is_empty() && super::start::is_wanted(&self.book)? {
            let page = super::start::StartPage::Who;
            stack.go(Place::Start { page });
        }
        Ok(stack)
    }

    /// What stands at the top of a stack.
    ///
    /// # Errors
    /// As [`Desk::show`].
    pub fn top(&self, stack: &Stack) -> Result<Page, BookFault> {
        Ok(Page {
            back: stack.can_go_back(),
            kept: stack.kept(),
            ..self.page(&stack.place())?
        })
    }

    /// Does an action at the top of a stack, and moves as it says.
    ///
    /// # Errors
    /// As [`Desk::act`]; then nothing has moved.
    pub fn act_at(&mut self, stack: &mut Stack, action: Action) -> Result<Reply, BookFault> {
        let outcome = self.act(&stack.place(), action)?;
        stack.follow(&outcome);
        Ok(outcome.into())
    }

    /// As [`Desk::act_at`], of what was tapped on the page that bears `at`. A tap that comes late, when
    /// another page stands there, does nothing.
    ///
    /// # Errors
    /// As [`Desk::act_at`].
    pub fn act_from(
        &mut self,
        stack: &mut Stack,
        at: &str,
        action: Action,
    ) -> Result<Reply, BookFault> {
        let place = stack.place();
        // Only these go on to another step of themselves.
        let now = match &place {
            Place::Prep { .. } | Place::Recheck { .. } => self.page(&place)?.at,
            _ => written(&place),
        };
        if now != at {
            return Ok(fault("", self.texts.get("error_other_screen")).into());
        }
        self.act_at(stack, action)
    }

    /// Sends a form of the page that bears `at`.
    ///
    /// # Errors
    /// As [`Desk::act_at`].
    pub fn submit_from(
        &mut self,
        stack: &mut Stack,
        at: &str,
        form: &str,
        values: Vec<FieldValue>,
    ) -> Result<Reply, BookFault> {
        match Action::submit(&stack.place(), form, values) {
            Some(action) => self.act_from(stack, at, action),
            None => Ok(fault("", self.texts.get("error_other_screen")).into()),
        }
    }

    /// A file that the person chose for what a reply asked for, as [`Desk::bring`].
    ///
    /// # Errors
    /// As [`Desk::act_at`].
    pub fn bring_at(
        &mut self,
        stack: &mut Stack,
        wanted: &str,
        paper: &Document,
    ) -> Result<Reply, BookFault> {
        let outcome = self.bring(&stack.place(), wanted, paper)?;
        stack.follow(&outcome);
        Ok(outcome.into())
    }

    /// A file that another app handed in, as [`Desk::receive`].
    ///
    /// # Errors
    /// As [`Desk::act_at`].
    pub fn receive_at(&mut self, stack: &mut Stack, paper: &Document) -> Result<Reply, BookFault> {
        let outcome = self.receive(&stack.place(), paper)?;
        stack.follow(&outcome);
        Ok(outcome.into())
    }
}

impl Action {
    /// What a form of a place sends; none where the place has no forms.
    pub fn submit(place: &Place, form: &str, values: Vec<FieldValue>) -> Option<Action> {
        let form = form.to_owned();
        macro_rules! made {
            ($module:ident::$action:ident) => {
                super::$module::$action::Submit { form, values }.into()
            };
        }
        Some(match place {
            Place::Rigs { .. } => made!(rigs::RigsAction),
            Place::Rig { .. } => made!(rig::RigAction),
            Place::RigEdit { .. } => made!(rig_edit::RigEditAction),
            Place::Prep { .. } => made!(prep::PrepAction),
            Place::HoldSetup { .. } | Place::Hold { .. } => made!(hold::HoldAction),
            Place::Recheck { .. } => made!(recheck::RecheckAction),
            Place::Seals { .. } | Place::Seal { .. } => made!(seals::SealsAction),
            Place::Service { .. } => made!(service::ServiceAction),
            Place::RingBox { .. } => made!(ring_box::RingBoxAction),
            Place::Spares { .. } => made!(spares::SparesAction),
            Place::Trim { .. } => made!(trim::TrimAction),
            Place::Crew { .. } => made!(crew::CrewAction),
            Place::Start { .. } => made!(start::StartAction),
            Place::Days { .. } => made!(journal::JournalAction),
            Place::Sketch { .. } => made!(sketch::SketchAction),
            Place::Journal { .. }
            | Place::Entry { .. }
            | Place::Photo { .. }
            | Place::Help { .. }
            | Place::About { .. } => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig() -> Place {
        Place::Rig {
            rig: "r".into(),
            form: None,
        }
    }

    fn step(prep: &str, step: &str, form: Option<&str>) -> Place {
        Place::Prep {
            prep: prep.into(),
            step: Some(step.into()),
            form: form.map(str::to_owned),
        }
    }

    fn service(stage: &str) -> Place {
        Place::Service {
            rig: "r".into(),
            seal: "s".into(),
            stage: stage.into(),
            prep: Some("p".into()),
            step: Some("1".into()),
        }
    }

    fn moved(from: &[Place], leave: bool, go: Option<Place>) -> Vec<Place> {
        let mut stack = Stack::of(from.to_vec());
        stack.follow(&Outcome {
            leave,
            go,
            ..Outcome::default()
        });
        stack.0
    }

    #[test]
    fn moving_follows_the_rules() {
        let rigs = Place::Rigs { form: None };
        let new = Place::Rigs {
            form: Some("new".into()),
        };
        let seals = Place::Seals { rig: "r".into() };
        let seal = Place::Seal {
            rig: "r".into(),
            seal: "s".into(),
            form: None,
        };
        let (one, two) = (step("p", "1", None), step("p", "2", None));
        let skip = step("p", "1", Some("skip"));
        let at =
            |places: &[&Place]| -> Vec<Place> { places.iter().map(|p| (*p).clone()).collect() };
        let (r, rigs) = (rig(), &rigs);
        assert_eq!(moved(&at(&[rigs]), false, Some(rig())), at(&[rigs, &r]));
        assert_eq!(moved(&at(&[rigs, &r]), true, None), at(&[rigs]));
        assert_eq!(moved(&at(&[rigs]), true, None), at(&[rigs]), "never left");
        let left = moved(&at(&[rigs, &new]), true, Some(rig()));
        assert_eq!(left, at(&[rigs, &r]));
        let again = moved(&at(&[rigs, &r, &seals, &seal]), false, Some(rig()));
        assert_eq!(again, at(&[rigs, &r]), "back where one was");
        let next = moved(&at(&[rigs, &r, &one]), false, Some(two.clone()));
        assert_eq!(
            next,
            at(&[rigs, &r, &two]),
            "a step takes the last one's place"
        );
        let pushed = moved(&at(&[rigs, &one]), false, Some(skip.clone()));
        assert_eq!(pushed, at(&[rigs, &one, &skip]), "a form is pushed");
        let on = moved(&at(&[rigs, &one, &skip]), true, Some(two.clone()));
        assert_eq!(on, at(&[rigs, &two]), "and gives way to what follows");
        let (look, back) = (service("look"), service("back/clean"));
        let ended = moved(&at(&[rigs, &one, &look, &back]), false, Some(two.clone()));
        assert_eq!(
            ended,
            at(&[rigs, &two]),
            "a service ends where the prep stands"
        );
        let other = moved(&at(&[rigs, &one]), false, Some(step("q", "1", None)));
        assert_eq!(other.len(), 3, "another prep is another place");
    }

    #[test]
    fn what_is_kept_comes_back_and_nonsense_is_the_rigs() {
        let mut stack = Stack::default();
        stack.go(rig());
        stack.go(step(
            "p",
            "a \"quoted\" step / [] {}",
            Some("sign/ü\u{2028}"),
        ));
        stack.go(service("look"));
        assert_eq!(Stack::read(&stack.kept()), stack);
        for nonsense in [
            "",
            "[]",
            "tide",
            "[{\"Tide\":{}}]",
            "{\"Rigs\":{\"form\":null}}",
        ] {
            assert_eq!(Stack::read(nonsense), Stack::default(), "{nonsense}");
        }
        for n in 0..100 {
            stack.go(step("p", &n.to_string(), Some("skip")));
        }
        let back = Stack::read(&stack.kept());
        assert_eq!((back.0.len(), back.place()), (KEPT + 1, stack.place()));
        // Seen: from deep, and from what was kept of another record, Back came to no rigs.
        assert_eq!(back.0[0], Place::Rigs { form: None });
        let elsewhere = Stack::of(vec![rig()]).kept();
        assert!(Stack::read(&elsewhere).can_go_back());
    }
}
