//! Forms: what each field shows, and where what was typed goes, said once for both.
//!
//! A [`Spec`] is one field of a form about a `T`: a thing that is edited, or a struct of what is typed where a form
//! records an action. [`draw`] makes the fields from the thing that is there, or for a new one; [`read`] puts what was
//! typed into it, and notes what is wrong at its field. What was not touched stays as it is: it isn't rounded by the
//! way it is shown. A rule that looks at several fields is code beside the form.

use super::common::{Field, FieldChoice, FieldKind};
use super::cx::Typed;
use super::measures::{Unit, Units, untouched};

/// Digits of a number in a field.
const DIGITS: i32 = 6;

type Get<'a, T, V> = Box<dyn Fn(&T) -> V + 'a>;
type Set<'a, T, V> = Box<dyn Fn(&mut T, V) + 'a>;
/// Takes the key chosen; false where it is none of the choices and one must be made.
type Choose<'a, T> = Box<dyn Fn(&mut T, &str) -> bool + 'a>;
/// The field of a thing that a form's field is about.
type At<T, V> = fn(&mut T) -> &mut V;
/// How a number in the unit it is typed in is written.
type Write<'a> = Box<dyn Fn(&Units, f64) -> String + 'a>;
type Check<'a, T> = Box<dyn Fn(&T, Option<&T>, f64) -> Option<&'static str> + 'a>;

/// One field of a form about a `T`.
pub struct Spec<'a, T> {
    /// As it stands for a new thing, but for a number's unit and value.
    field: Field,
    drawn: bool,
    marked: bool,
    read_if: Option<Get<'a, T, bool>>,
    must_if: Option<Get<'a, T, bool>>,
    what: What<'a, T>,
}

enum What<'a, T> {
    Text {
        get: Get<'a, T, String>,
        set: Set<'a, T, String>,
    },
    Number(Number<'a, T>),
    Choice {
        /// The key of what stands there; none where it is none of the choices.
        get: Get<'a, T, Option<String>>,
        /// Its key then.
        strange: Option<Get<'a, T, String>>,
        choose: Choose<'a, T>,
    },
    Switch {
        get: Get<'a, T, bool>,
        set: Set<'a, T, bool>,
    },
}

struct Number<'a, T> {
    unit: Unit,
    whole: bool,
    /// Key of the text that says that one is wanted.
    wanted: &'static str,
    write: Write<'a>,
    starts_at: Option<f64>,
    get: Get<'a, T, Option<f64>>,
    set: Set<'a, T, Option<f64>>,
    check: Option<Check<'a, T>>,
}

/// As it stands before anything is said of it.
fn field(key: &str, label: String, kind: FieldKind, value: String) -> Field {
    Field {
        key: key.to_owned(),
        label,
        unit: None,
        value,
        hint: None,
        kind,
        choices: Vec::new(),
        required: false,
    }
}

fn choices(all: impl IntoIterator<Item = (String, String)>) -> Vec<FieldChoice> {
    let choice = |(key, label)| FieldChoice { key, label };
    all.into_iter().map(choice).collect()
}

fn spec<'a, T>(field: Field, what: What<'a, T>) -> Spec<'a, T> {
    Spec {
        field,
        drawn: true,
        marked: false,
        read_if: None,
        must_if: None,
        what,
    }
}

/// A text on one line.
pub fn text<'a, T>(
    key: &str,
    label: String,
    get: impl Fn(&T) -> String + 'a,
    set: impl Fn(&mut T, String) + 'a,
) -> Spec<'a, T> {
    let what = What::Text {
        get: Box::new(get),
        set: Box::new(set),
    };
    spec(field(key, label, FieldKind::Text, String::new()), what)
}

/// A text on several lines.
pub fn long_text<'a, T>(
    key: &str,
    label: String,
    get: impl Fn(&T) -> String + 'a,
    set: impl Fn(&mut T, String) + 'a,
) -> Spec<'a, T> {
    let mut spec = text(key, label, get, set);
    spec.field.kind = FieldKind::LongText;
    spec
}

/// Several texts on one line, with commas between.
pub fn list<'a, T>(
    key: &str,
    label: String,
    get: impl Fn(&T) -> &[String] + 'a,
    set: impl Fn(&mut T, Vec<String>) + 'a,
) -> Spec<'a, T> {
    let each = |all: &str| -> Vec<String> {
        let parts = all.split(',').map(str::trim);
        parts.filter(|p| !p.is_empty()).map(str::to_owned).collect()
    };
    text(
        key,
        label,
        move |t| get(t).join(", "),
        move |t, all| set(t, each(&all)),
    )
}

/// A number that may be left out, unless it [`must`](Spec::must) be there. NaN where what was typed is none.
pub fn num<'a, T>(
    key: &str,
    label: String,
    unit: impl Into<Unit>,
    get: impl Fn(&T) -> Option<f64> + 'a,
    set: impl Fn(&mut T, Option<f64>) + 'a,
) -> Spec<'a, T> {
    let what = What::Number(Number {
        unit: unit.into(),
        whole: false,
        wanted: "error_number_wanted",
        write: Box::new(|units, v| units.plain(v, DIGITS)),
        starts_at: None,
        get: Box::new(get),
        set: Box::new(set),
        check: None,
    });
    spec(field(key, label, FieldKind::Number, String::new()), what)
}

/// A number that must be there. NaN where none was typed.
pub fn must_num<'a, T>(
    key: &str,
    label: String,
    unit: impl Into<Unit>,
    get: impl Fn(&T) -> f64 + 'a,
    set: impl Fn(&mut T, f64) + 'a,
) -> Spec<'a, T> {
    let got = move |t: &T| Some(get(t));
    num(key, label, unit, got, move |t, v| {
        set(t, v.unwrap_or(f64::NAN));
    })
    .must()
}

/// A whole number from 0 to 100 000 that may be left out, unless it [`must`](Spec::must) be there.
pub fn whole_num<'a, T>(
    key: &str,
    label: String,
    unit: impl Into<Unit>,
    get: impl Fn(&T) -> Option<u32> + 'a,
    set: impl Fn(&mut T, Option<u32>) + 'a,
) -> Spec<'a, T> {
    let got = move |t: &T| get(t).map(f64::from);
    let mut spec = num(key, label, unit, got, move |t, v| {
        set(t, v.map(|v| v as u32));
    });
    if let What::Number(n) = &mut spec.what {
        n.whole = true;
    }
    spec
}

/// A switch; off for a new thing unless it [`starts`](Spec::starts) with 'yes'.
pub fn switch<'a, T>(
    key: &str,
    label: String,
    get: impl Fn(&T) -> bool + 'a,
    set: impl Fn(&mut T, bool) + 'a,
) -> Spec<'a, T> {
    let what = What::Switch {
        get: Box::new(get),
        set: Box::new(set),
    };
    spec(field(key, label, FieldKind::Switch, yes_no(false)), what)
}

/// A switch of which it counts whether it was sent at all: none where it was not.
pub fn switch_or_unsaid_in<'a, T: Clone + 'a>(
    key: &str,
    label: String,
    at: At<T, Option<bool>>,
) -> Spec<'a, T> {
    let said = |word: &str| match word {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    };
    let got = of(at);
    let mut spec = text(
        key,
        label,
        move |t| got(t).map_or_else(String::new, yes_no),
        move |t, word: String| *at(t) = said(&word),
    );
    spec.field.kind = FieldKind::Switch;
    spec
}

/// One of several values, each with its key and what it is called. Where nothing is sent that stands for
/// `otherwise`; where that is none, one must be chosen. A key that is none of theirs is refused.
pub fn one_of<'a, T, V: PartialEq + Clone + 'a>(
    key: &str,
    label: String,
    all: Vec<(String, V, String)>,
    otherwise: Option<V>,
    get: impl Fn(&T) -> V + 'a,
    set: impl Fn(&mut T, V) + 'a,
) -> Spec<'a, T> {
    let key_of = |all: &[(String, V, String)], value: &V| {
        let found = all.iter().find(|(_, v, _)| v == value);
        found.map(|(key, ..)| key.clone())
    };
    let usual = (otherwise.as_ref())
        .and_then(|v| key_of(&all, v))
        .unwrap_or_default();
    let mut field = field(key, label, FieldKind::Choice, usual);
    field.choices = choices(all.iter().map(|(k, _, name)| (k.clone(), name.clone())));
    let values: Vec<(String, V)> = all.iter().map(|(k, v, _)| (k.clone(), v.clone())).collect();
    let what = What::Choice {
        get: Box::new(move |t| key_of(&all, &get(t))),
        strange: None,
        choose: Box::new(move |t, chosen| {
            let found = values.iter().find(|(k, _)| k == chosen);
            let unsaid = otherwise.as_ref().filter(|_| chosen.is_empty());
            let value = found.map(|(_, v)| v).or(unsaid);
            if let Some(value) = value {
                set(t, value.clone());
            }
            value.is_some()
        }),
    };
    spec(field, what)
}

/// One of several things by its key, with what each is called: whose they are is not this form's to know. As a text
/// it may be left out, unless it [`must`](Spec::must) be there.
pub fn pick<'a, T>(
    key: &str,
    label: String,
    all: Vec<(&str, String)>,
    get: impl Fn(&T) -> String + 'a,
    set: impl Fn(&mut T, String) + 'a,
) -> Spec<'a, T> {
    let mut spec = text(key, label, get, set);
    spec.field.choices = choices(all.into_iter().map(|(k, name)| (k.to_owned(), name)));
    spec.field.kind = FieldKind::Choice;
    spec
}

/// [`text`] that stands in one field of the thing.
pub fn text_in<'a, T: Clone + 'a>(key: &str, label: String, at: At<T, String>) -> Spec<'a, T> {
    text(key, label, of(at), put(at))
}

/// [`long_text`] that stands in one field of the thing.
pub fn long_text_in<'a, T: Clone + 'a>(key: &str, label: String, at: At<T, String>) -> Spec<'a, T> {
    long_text(key, label, of(at), put(at))
}

/// [`num`] that stands in one field of the thing.
pub fn num_in<'a, T: Clone + 'a>(
    key: &str,
    label: String,
    unit: impl Into<Unit>,
    at: At<T, Option<f64>>,
) -> Spec<'a, T> {
    num(key, label, unit, of(at), put(at))
}

/// [`must_num`] that stands in one field of the thing.
pub fn must_num_in<'a, T: Clone + 'a>(
    key: &str,
    label: String,
    unit: impl Into<Unit>,
    at: At<T, f64>,
) -> Spec<'a, T> {
    must_num(key, label, unit, of(at), put(at))
}

/// [`whole_num`] that must be there and stands in one field of the thing; 0 where none was typed.
pub fn must_whole_in<'a, T: Clone + 'a>(key: &str, label: String, at: At<T, u32>) -> Spec<'a, T> {
    let got = of(at);
    let set = put(at);
    let mut spec = whole_num(
        key,
        label,
        Unit::Unsaid,
        move |t| Some(got(t)),
        move |t, v| set(t, v.unwrap_or(0)),
    );
    if let What::Number(n) = &mut spec.what {
        n.wanted = "error_whole_number";
        n.write = Box::new(|_, v| format!("{v:.0}"));
    }
    spec.must()
}

/// [`switch`] that stands in one field of the thing.
pub fn switch_in<'a, T: Clone + 'a>(key: &str, label: String, at: At<T, bool>) -> Spec<'a, T> {
    switch(key, label, of(at), put(at))
}

/// [`pick`] that stands in one field of the thing.
pub fn pick_in<'a, T: Clone + 'a>(
    key: &str,
    label: String,
    all: Vec<(&str, String)>,
    at: At<T, String>,
) -> Spec<'a, T> {
    pick(key, label, all, of(at), put(at))
}

/// [`one_of`] that stands in one field of the thing.
pub fn one_of_in<'a, T: Clone + 'a, V: PartialEq + Clone + 'a>(
    key: &str,
    label: String,
    all: Vec<(&str, V, String)>,
    otherwise: Option<V>,
    at: At<T, V>,
) -> Spec<'a, T> {
    let all = all.into_iter().map(|(k, v, name)| (k.to_owned(), v, name));
    one_of(key, label, all.collect(), otherwise, of(at), put(at))
}

fn of<T: Clone, V: Clone>(at: At<T, V>) -> impl Fn(&T) -> V {
    move |t| at(&mut t.clone()).clone()
}

fn put<T, V>(at: At<T, V>) -> impl Fn(&mut T, V) {
    move |t, v| *at(t) = v
}

impl<'a, T> Spec<'a, T> {
    /// With help beneath.
    pub fn hint(mut self, hint: impl Into<Option<String>>) -> Self {
        self.field.hint = hint.into();
        self
    }

    /// That must be filled in.
    pub fn must(mut self) -> Self {
        self.field.required = true;
        self
    }

    /// Marked as one that must be filled in. Whether it is, is judged by what is done with it.
    pub fn marked(mut self) -> Self {
        self.marked = true;
        self
    }

    /// Not drawn where there is nothing to say in it. What an older page sends of it is read all the same.
    pub fn drawn_if(mut self, drawn: bool) -> Self {
        self.drawn = drawn;
        self
    }

    /// Read only where the fields above say so: what stands in it otherwise is not looked at.
    pub fn read_if(mut self, wanted: impl Fn(&T) -> bool + 'a) -> Self {
        self.read_if = Some(Box::new(wanted));
        self
    }

    /// A number with a unit that is no [`Unit`]: a procedure says it.
    pub fn called(mut self, unit: &str) -> Self {
        self.field.unit = Some(unit.to_owned());
        self
    }

    /// A number that is written by this, in the unit it is typed in.
    pub fn written(mut self, write: impl Fn(&Units, f64) -> String + 'a) -> Self {
        debug_assert!(matches!(self.what, What::Number(_)));
        if let What::Number(n) = &mut self.what {
            n.write = Box::new(write);
        }
        self
    }

    /// A number written to so many digits.
    pub fn digits(self, digits: i32) -> Self {
        self.written(move |units, v| units.plain(v, digits))
    }

    /// A number that must be there where the fields above say so.
    pub fn must_if(mut self, wanted: impl Fn(&T) -> bool + 'a) -> Self {
        debug_assert!(matches!(self.what, What::Number(_)));
        self.must_if = Some(Box::new(wanted));
        self
    }

    /// What is drawn of a choice where what stands there is none of them: it is refused as it stands, and not
    /// replaced in silence.
    pub fn or_drawn(mut self, key: impl Fn(&T) -> String + 'a) -> Self {
        debug_assert!(matches!(self.what, What::Choice { .. }));
        if let What::Choice { strange, .. } = &mut self.what {
            *strange = Some(Box::new(key));
        }
        self
    }

    /// A text, the key of a choice, or 'yes' that a new thing begins with.
    pub fn starts(mut self, value: impl Into<String>) -> Self {
        self.field.value = value.into();
        self
    }

    /// A number, in the unit it is typed in, that a new thing begins with.
    pub fn starts_at(mut self, value: f64) -> Self {
        debug_assert!(matches!(self.what, What::Number(_)));
        if let What::Number(n) = &mut self.what {
            n.starts_at = Some(value);
        }
        self
    }

    /// The key of the text that says what is wrong with a number: by the thing as far as it was read, the one that
    /// stood there, and the number as it is recorded. What is none was refused before.
    pub fn check(
        mut self,
        check: impl Fn(&T, Option<&T>, f64) -> Option<&'static str> + 'a,
    ) -> Self {
        debug_assert!(matches!(self.what, What::Number(_)));
        if let What::Number(n) = &mut self.what {
            n.check = Some(Box::new(check));
        }
        self
    }

    /// [`Field::key`].
    pub fn key(&self) -> &str {
        &self.field.key
    }

    /// The field, filled in from the thing, or for a new one.
    fn draw(&self, units: &Units, thing: Option<&T>) -> Field {
        let mut field = self.field.clone();
        field.required |= self.marked;
        match (&self.what, thing) {
            (What::Number(n), thing) => {
                let stands = |t: &T| (n.get)(t).map(|v| n.unit.shown(units, v));
                let value = thing.map_or(n.starts_at, stands).filter(|v| !v.is_nan());
                field.value = value.map_or_else(String::new, |v| (n.write)(units, v));
                if n.unit != Unit::Unsaid {
                    field.unit = Some(n.unit.symbol(units).to_owned());
                }
            }
            (_, None) => {}
            (What::Text { get, .. }, Some(t)) => field.value = get(t),
            (What::Choice { get, strange, .. }, Some(t)) => {
                let drawn = get(t).or_else(|| strange.as_ref().map(|key| key(t)));
                field.value = drawn.unwrap_or(field.value);
            }
            (What::Switch { get, .. }, Some(t)) => field.value = yes_no(get(t)),
        }
        field
    }

    /// Puts what was typed into `thing`; `stood` is what the form was drawn from.
    fn read(&self, units: &Units, typed: &mut Typed<'_>, stood: Option<&T>, thing: &mut T) {
        let key = self.field.key.as_str();
        if self.read_if.as_ref().is_some_and(|wanted| !wanted(thing)) {
            return;
        }
        match &self.what {
            What::Number(n) => {
                let wanted = self.field.required || self.must_if.as_ref().is_some_and(|f| f(thing));
                n.read(key, units, typed, wanted, stood, thing);
            }
            What::Text { get, set } => {
                let text = if self.field.required {
                    typed.must_text(key)
                } else {
                    typed.text(key)
                };
                if stood.is_none_or(|s| get(s) != text) {
                    set(thing, text.to_owned());
                }
            }
            What::Choice { choose, .. } => {
                if !choose(thing, typed.text(key)) {
                    typed.wrong(key, "error_choice_wanted");
                }
            }
            What::Switch { set, .. } => set(thing, typed.on(key)),
        }
    }
}

impl<T> Number<'_, T> {
    fn read(
        &self,
        key: &str,
        units: &Units,
        typed: &mut Typed<'_>,
        wanted: bool,
        stood: Option<&T>,
        thing: &mut T,
    ) {
        // What was not touched is not rounded by the way it is shown.
        let as_shown = |v: &f64| {
            let shown = (self.write)(units, self.unit.shown(units, *v));
            untouched(&shown, typed.text(key))
        };
        let same = stood.and_then(|s| (self.get)(s)).filter(as_shown);
        let value = same.or_else(|| {
            let value = if self.whole {
                whole(typed, key).map(f64::from)
            } else {
                typed.may_number(key)
            };
            value.map(|v| self.unit.recorded(units, v))
        });
        if value.is_none() && wanted {
            typed.wrong(key, self.wanted);
        }
        if let (Some(check), Some(v)) = (&self.check, value.filter(|v| v.is_finite()))
            && let Some(why) = check(thing, stood, v)
        {
            typed.wrong(key, why);
        }
        (self.set)(thing, value);
    }
}

/// A whole number from 0 to 100 000 that may be left out.
fn whole(typed: &mut Typed<'_>, key: &str) -> Option<u32> {
    let value = typed.may_number(key)?;
    if value.fract() != 0.0 || !(0.0..=100_000.0).contains(&value) {
        if value.is_finite() {
            typed.wrong(key, "error_whole_number");
        }
        return None;
    }
    Some(value as u32)
}

/// A switch that is about no thing, off: what was asked of a form is answered with it.
pub fn asked(key: &str, label: String) -> Field {
    field(key, label, FieldKind::Switch, yes_no(false))
}

fn yes_no(on: bool) -> String {
    if on { "yes" } else { "no" }.to_owned()
}

/// The fields of a form, filled in from the thing, or for a new one.
pub fn draw<T>(specs: &[Spec<'_, T>], units: &Units, thing: Option<&T>) -> Vec<Field> {
    let drawn = specs.iter().filter(|s| s.drawn);
    drawn.map(|s| s.draw(units, thing)).collect()
}

/// Puts what was typed into `thing`, field by field from the top; `stood` is what the form was drawn from, if it was
/// no new one. What is wrong is noted in `typed`.
pub fn read<T>(
    specs: &[Spec<'_, T>],
    units: &Units,
    typed: &mut Typed<'_>,
    stood: Option<&T>,
    thing: &mut T,
) {
    for spec in specs {
        spec.read(units, typed, stood, thing);
    }
}

/// What was typed into a form that records an action, field by field from the top. What is wrong is noted in `typed`.
pub fn read_new<T: Default>(specs: &[Spec<'_, T>], units: &Units, typed: &mut Typed<'_>) -> T {
    let mut said = T::default();
    read(specs, units, typed, None, &mut said);
    said
}

/// What was typed into a form that was drawn from `stood`: what was not touched is as it stood there.
pub fn read_over<T: Clone>(
    specs: &[Spec<'_, T>],
    units: &Units,
    typed: &mut Typed<'_>,
    stood: &T,
) -> T {
    let mut said = stood.clone();
    read(specs, units, typed, Some(stood), &mut said);
    said
}

#[cfg(test)]
mod tests {
    use super::super::common::FieldValue;
    use super::super::texts::Texts;
    use super::*;

    #[derive(Debug, Clone, PartialEq)]
    struct Thing {
        name: String,
        deep: bool,
        depth_m: f64,
        count: Option<u32>,
        parts: Vec<String>,
        way: u8,
    }

    fn thing() -> Thing {
        Thing {
            name: "One".into(),
            deep: true,
            depth_m: 60.0,
            count: Some(3),
            parts: vec!["a, b".into(), "c".into()],
            way: 2,
        }
    }

    fn specs(otherwise: Option<u8>) -> Vec<Spec<'static, Thing>> {
        let label = || "label".to_owned();
        let ways = [("first", 1), ("second", 2)].map(|(k, v)| (k.to_owned(), v, label()));
        vec![
            text(
                "name",
                label(),
                |t: &Thing| t.name.clone(),
                |t, v| t.name = v,
            )
            .must(),
            switch("deep", label(), |t: &Thing| t.deep, |t, on| t.deep = on).starts("yes"),
            must_num(
                "depth",
                label(),
                Unit::Depth,
                |t: &Thing| t.depth_m,
                |t, v| t.depth_m = v,
            )
            .check(|t, _, v| (!t.deep && v > 10.0).then_some("error_percent")),
            whole_num(
                "count",
                label(),
                "",
                |t: &Thing| t.count,
                |t, v| t.count = v,
            )
            .must_if(|t| t.deep)
            .starts_at(1.0),
            list("parts", label(), |t: &Thing| &t.parts, |t, v| t.parts = v),
            one_of(
                "way",
                label(),
                ways.into(),
                otherwise,
                |t: &Thing| t.way,
                |t, v| t.way = v,
            ),
        ]
    }

    const FEET: Units = Units {
        pressure: slackwater_physics::units::PressureUnit::Mbar,
        fahrenheit: false,
        feet: true,
        fluid_ounces: false,
        ounces: false,
        decimal: ',',
    };

    fn drawn(thing: Option<&Thing>) -> Vec<(String, String)> {
        let fields = draw(&specs(Some(1)), &FEET, thing);
        fields.into_iter().map(|f| (f.key, f.value)).collect()
    }

    /// What is read where these fields are typed over, and the fields that are wrong.
    fn sent(otherwise: Option<u8>, over: &[(&str, &str)]) -> (Thing, Vec<String>) {
        let value = |(key, value): (String, String)| {
            let typed = over.iter().find(|(k, _)| *k == key);
            let value = typed.map_or(value, |(_, v)| (*v).to_owned());
            FieldValue { key, value }
        };
        let values: Vec<FieldValue> = drawn(Some(&thing())).into_iter().map(value).collect();
        let mut typed = Typed::new(Texts::english(), &values);
        let mut read_to = thing();
        let specs = specs(otherwise);
        read(&specs, &FEET, &mut typed, Some(&thing()), &mut read_to);
        (read_to, typed.faults.into_iter().map(|f| f.field).collect())
    }

    #[test]
    fn a_form_shows_the_thing_or_what_a_new_one_begins_with() {
        fn values(thing: Option<&Thing>) -> Vec<String> {
            drawn(thing).into_iter().map(|(_, v)| v).collect()
        }
        let there = ["One", "yes", "196,85", "3", "a, b, c", "second"];
        assert_eq!(values(Some(&thing())), there);
        assert_eq!(values(None), ["", "yes", "", "1", "", "first"]);
    }

    #[test]
    fn what_was_not_touched_stays_and_what_was_typed_is_read() {
        assert_eq!(sent(None, &[]), (thing(), vec![]));
        let (read, wrong) = sent(
            None,
            &[("depth", "100"), ("parts", "x,, y"), ("way", "first")],
        );
        assert!(wrong.is_empty());
        // 0.3048 m a foot (NIST SP 811).
        assert!((read.depth_m - 30.48).abs() < 1e-9, "{}", read.depth_m);
        assert_eq!((read.parts, read.way), (vec!["x".into(), "y".into()], 1));
        let (read, wrong) = sent(None, &[("deep", "no"), ("depth", "30"), ("count", "")]);
        assert_eq!((read.deep, read.count, wrong), (false, None, vec![]));
    }

    #[test]
    fn what_is_wrong_stands_at_its_field() {
        for (over, field) in [
            (("name", " "), "name"),
            (("depth", ""), "depth"),
            (("depth", "deep"), "depth"),
            (("deep", "no"), "depth"),
            (("count", ""), "count"),
            (("count", "2.5"), "count"),
            (("count", "-1"), "count"),
            (("way", "third"), "way"),
        ] {
            assert_eq!(sent(None, &[over]).1, [field], "{over:?}");
        }
        assert_eq!(sent(Some(1), &[("way", "third")]).1, ["way"]);
        let (read, wrong) = sent(Some(1), &[("way", "")]);
        assert_eq!((read.way, wrong), (1, vec![]));
    }

    /// What is not drawn is read all the same; what is not read is not looked at; what is marked is judged elsewhere.
    #[test]
    fn a_field_is_drawn_and_read_where_it_is_asked_for() {
        let specs = || {
            [
                switch_in("deep", "Deep".into(), |t: &mut Thing| &mut t.deep).drawn_if(false),
                must_num_in("depth", "Depth".into(), "m", |t: &mut Thing| &mut t.depth_m)
                    .read_if(|t| t.deep)
                    .digits(3),
                text_in("name", "Name".into(), |t: &mut Thing| &mut t.name).marked(),
                must_whole_in("way", "Way".into(), |t: &mut Thing| {
                    t.count.get_or_insert(0)
                }),
            ]
        };
        let stood = Thing {
            depth_m: 60.456,
            count: Some(99_999),
            ..thing()
        };
        let drawn = draw(&specs(), &FEET, Some(&stood));
        let shown: Vec<(&str, &str)> = (drawn.iter())
            .map(|f| (f.key.as_str(), f.value.as_str()))
            .collect();
        assert_eq!(
            shown,
            [("depth", "60,5"), ("name", "One"), ("way", "99999")]
        );
        assert!(drawn.iter().all(|f| f.required));
        assert_eq!(
            (drawn[0].unit.as_deref(), &drawn[2].unit),
            (Some("m"), &None)
        );
        let sent = |deep: &str, depth: &str, way: &str| {
            let values = [("deep", deep), ("depth", depth), ("way", way)].map(|(key, value)| {
                let (key, value) = (key.into(), value.into());
                FieldValue { key, value }
            });
            let mut typed = Typed::new(Texts::english(), &values);
            let read = read_over(&specs(), &FEET, &mut typed, &stood);
            let wrong: Vec<String> = typed.faults.into_iter().map(|f| f.field).collect();
            (read.depth_m, read.name, read.count, wrong)
        };
        let none = String::new;
        let wrong = |keys: &[&str]| keys.iter().map(|k| (*k).to_owned()).collect::<Vec<_>>();
        assert_eq!(
            sent("no", "abc", "7"),
            (60.456, none(), Some(7), wrong(&[]))
        );
        assert_eq!(
            sent("yes", "60.5", "7"),
            (60.456, none(), Some(7), wrong(&[]))
        );
        assert_eq!(
            sent("yes", "60.4", "7"),
            (60.4, none(), Some(7), wrong(&[]))
        );
        let (depth, .., faults) = sent("yes", "abc", "0.5");
        assert!(depth.is_nan());
        assert_eq!(faults, wrong(&["depth", "way"]));
    }

    /// What stands there and is none of the choices (another program wrote it) is shown, and refused as it stands.
    #[test]
    fn what_is_no_choice_is_not_replaced_in_silence() {
        let strange = Thing { way: 9, ..thing() };
        let way = || {
            let all = vec![("first".to_owned(), 1, "First".to_owned())];
            let get = |t: &Thing| t.way;
            let spec = one_of("way", "Way".into(), all, Some(1), get, |t, v| t.way = v);
            [spec.or_drawn(|t| format!("way {}", t.way))]
        };
        let shown = draw(&way(), &FEET, Some(&strange)).remove(0).value;
        assert_eq!(shown, "way 9");
        let values = [FieldValue {
            key: "way".into(),
            value: shown,
        }];
        let mut typed = Typed::new(Texts::english(), &values);
        let mut kept = strange.clone();
        read(&way(), &FEET, &mut typed, Some(&strange), &mut kept);
        assert_eq!((kept.way, typed.faults.len()), (9, 1));
    }
}
