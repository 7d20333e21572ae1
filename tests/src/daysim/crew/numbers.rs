//! Numbers read off, and how they are typed.

use super::*;

impl Crew {
    /// What the gauge of an enclosure shows, as it is typed.
    pub(super) fn reads_gauge(&mut self, v: usize) -> String {
        let n = self.vessels.len();
        let of = if n > 1 && self.fires(Wrong::OtherGauge).is_some() {
            (v + 1) % n
        } else {
            v
        };
        let ambient = self.weather.ambient_pa(self.t);
        let inside = self.vessels[of].inside_pa();
        let gauge = self.vessels[of].gauge.clone();
        let shown = gauge.shows(&mut self.dice, inside, ambient);
        let mut text = places(shown, gauge.step);
        if self.fires(Wrong::DecimalSign).is_some() {
            text = places(
                if self.dice.chance(0.5) {
                    shown * 10.0
                } else {
                    shown / 10.0
                },
                gauge.step,
            );
        }
        if self.fires(Wrong::Digits).is_some() && text.len() > 2 && !text.starts_with('-') {
            let mut all: Vec<char> = text.chars().collect();
            all.swap(0, 1);
            if all[0] != '.' && all[1] != '.' {
                text = all.into_iter().collect();
            }
        }
        if of == v {
            self.note_reading(v);
        }
        self.tell(|c| {
            format!(
                "   reads {text} {} on {} (inside {:.1} mbar below)",
                UNITS[gauge.unit].0,
                c.vessels[v].id,
                (ambient - inside) / 100.0
            )
        });
        text
    }

    pub(super) fn note_reading(&mut self, v: usize) {
        let t = self.t;
        let plan_k = self.vessels[v].gas_k();
        let vessel = &self.vessels[v];
        let inside = vessel.inside_pa();
        let step = vessel.gauge.step_pa();
        let by_k = [0.15, 0.5, 1.5, 6.0][self.source] * inside / plan_k;
        let known = (2.0 * (step * step / 12.0) + by_k * by_k + 25.0 * 25.0 + 20.0 * 20.0).sqrt();
        let past = &mut self.pasts[v];
        past.read_s = t;
        past.known_pa = known;
        past.rechecked_s = t;
    }

    pub(super) fn air_text(&mut self, v: usize) -> String {
        let k = match self.source {
            0 => self.vessels[v].gas_k(),
            1 => self.vessels[v].wall_k(),
            _ => self.weather.air_k(self.t),
        };
        let c = k - 273.15 + self.thermometer_k + 0.05 * self.dice.normal();
        match self.fires(Wrong::AirWrong) {
            Some(m) if m.size < 0.4 => format!("{:.1}", c * 1.8 + 32.0),
            Some(m) if m.size < 0.7 => format!("{:.1}", c + 10.0),
            Some(_) => format!("{:.1}", c / 10.0),
            None => format!("{c:.1}"),
        }
    }

    pub(super) fn barometer_text(&mut self) -> String {
        let mbar = (self.weather.ambient_pa(self.t) + self.barometer_pa) / 100.0;
        match self.fires(Wrong::BarometerWrong) {
            Some(m) if m.size < 0.5 => format!("{:.1}", mbar + 30.0),
            Some(_) => format!("{:.1}", mbar - 100.0),
            None => format!("{mbar:.1}"),
        }
    }

    /// Fills a form of the hold or the recheck as a crew would that reads its labels. `said` is what
    /// they take the gauge to be: absolute, its unit.
    pub(super) fn fill(
        &mut self,
        form: &Form,
        v: usize,
        said: (bool, usize),
        gauge: Option<&str>,
    ) -> Vec<FieldValue> {
        let truth = self.vessels[v].gauge.clone();
        let mut values = Vec::new();
        for f in &form.fields {
            let keys: Vec<&str> = f.choices.iter().map(|c| c.key.as_str()).collect();
            let pick = |wanted: &[&str]| {
                wanted
                    .iter()
                    .find_map(|w| keys.iter().find(|k| k.contains(w)))
                    .map(|k| (*k).to_owned())
            };
            let key = f.key.as_str();
            let value = match key {
                "gauge" => match gauge {
                    Some(g) => g.to_owned(),
                    None => self.reads_gauge(v),
                },
                "temperature" if self.source < 3 => self.air_text(v),
                "temperature" => String::new(),
                // Of the recheck: a sensor in the gas, or a probe on it, is one for each housing.
                _ if key.starts_with("temperature/") => {
                    let id = key.trim_start_matches("temperature/");
                    self.air_text(self.index(id).unwrap_or(v))
                }
                "ambient" => self.barometer_text(),
                "air" => "typed".into(),
                "source" => SOURCES[self.source].into(),
                "unit" => UNITS[said.1].0.into(),
                "kind" => if said.0 { "absolute" } else { "below" }.into(),
                "resolution" => places(truth.step, truth.step),
                "humidity" => String::new(),
                // Of the recheck: whether it runs, or ran within half an hour.
                _ if key.starts_with("camera/") => {
                    let id = key.trim_start_matches("camera/");
                    let of = self.index(id).unwrap_or(v);
                    let runs = self.vessels[of].camera == Camera::On;
                    if runs { "on" } else { "off" }.into()
                }
                _ if key.contains("camera") => {
                    let cold = self.vessels[v].camera != Camera::Cold
                        && self.fires(Wrong::CameraSaidCold).is_some();
                    let says = match self.vessels[v].camera {
                        _ if cold => "cold",
                        Camera::Cold => "cold",
                        Camera::Warm => "warm",
                        Camera::On => "on",
                    };
                    pick(&[says]).unwrap_or_default()
                }
                _ if key.contains("desiccant") || key.contains("packs") => {
                    let unsaid =
                        self.vessels[v].desiccant && self.fires(Wrong::DesiccantUnsaid).is_some();
                    let says = if self.vessels[v].desiccant && !unsaid {
                        "fresh"
                    } else {
                        "none"
                    };
                    pick(&[says]).unwrap_or_default()
                }
                // Of the recheck: where it was within the hour.
                "stood" if form.key == "air" => {
                    let from = self.t < self.brought_until;
                    if from { "elsewhere" } else { "here" }.into()
                }
                "stood" => {
                    pick(if self.moved { &["moved"] } else { &["here"] }).unwrap_or_default()
                }
                "inside" => String::new(),
                _ if key.contains("place") || key.contains("moved") => pick(if self.moved {
                    &["moved", "else"]
                } else {
                    &["here", "stood"]
                })
                .unwrap_or_default(),
                _ if f.kind == FieldKind::Choice
                    && (key.contains("open") || key.contains("zero") || key.contains("shows")) =>
                {
                    // What it shows in open air is what it is taken to be.
                    pick(if said.0 {
                        &["absolute", "air", "baro"]
                    } else {
                        &["nothing", "below", "zero", "vacuum"]
                    })
                    .unwrap_or_else(|| f.value.clone())
                }
                _ if f.kind == FieldKind::Number && key.contains("open") => String::new(),
                _ if f.value.is_empty() && f.required => {
                    keys.first().map_or_else(String::new, |k| (*k).to_owned())
                }
                _ => f.value.clone(),
            };
            values.push(FieldValue {
                key: f.key.clone(),
                value,
            });
        }
        values
    }

    /// Sends a form of numbers. What is refused or asked is looked at again; what then stands is
    /// confirmed. None where the place has no such form.
    pub(super) fn sends(
        &mut self,
        place: &Place,
        shown: Option<&Form>,
        key: &str,
        v: usize,
        said: &mut (bool, usize),
        gauge: Option<&str>,
    ) -> Result<Option<Outcome>> {
        let truth = (self.vessels[v].gauge.absolute, self.vessels[v].gauge.unit);
        let mut typed: Option<Vec<FieldValue>> = None;
        let mut last = None;
        for attempt in 0..4 {
            let form = match shown.filter(|_| attempt == 0) {
                Some(form) => form.clone(),
                None => {
                    let screen = self.desk.show(place)?;
                    let Some(form) = forms(&screen).into_iter().find(|f| f.key == key) else {
                        return Ok(last);
                    };
                    form
                }
            };
            let asked = form.fields.iter().any(|f| f.kind == FieldKind::Switch);
            let insists = asked && (attempt >= 2 || (attempt == 1 && self.dice.chance(0.1)));
            let values = match typed.take().filter(|_| insists) {
                Some(old) => sure(&form, &old),
                None => self.fill(&form, v, *said, gauge.filter(|_| attempt == 0)),
            };
            let Some(action) = crate::shell::submit(place, &form.key, values.clone()) else {
                return Ok(last);
            };
            typed = Some(values);
            let outcome = self.tap(place, action)?;
            if outcome.faults.is_empty() {
                self.recent.clear();
                return Ok(Some(outcome));
            }
            for what in std::mem::take(&mut self.recent) {
                if what.is_typed() {
                    self.caught.push(what);
                }
            }
            if *said != truth && self.dice.chance(0.9) {
                *said = truth;
            }
            self.wait_s(15.0);
            last = Some(outcome);
        }
        Ok(last)
    }
}
