//! Beginning from nothing, where there is no folder yet: a bowl laid out from a few answers, or a
//! joint alone from its stations. What is typed is read as on the command line and as in tables.

use std::collections::BTreeMap;
use std::sync::Arc;

use maud::{Markup, html};
use serde_json::json;

use super::answer::{Answer, Method, Refusal, Request, Status, json, json_as, page, sent};
use super::frame::Frame;
use super::told;
use crate::bowl::layout::{LENGTH, LaidOut, OPENING, SPARE, STATIONS, Wanted, exchanged, lay_out};
use crate::bowl::shape::{Outline, WIDEST};
use crate::job::bowl::{BowlSettings, Spacer, read_bowl};
use crate::job::ranges::{self, Range};
use crate::job::{Angle, Job, Mold, Plane, Station, Unit, read_folder};
use crate::record::{Style, write_bowl, write_folder};
use crate::seat::wood::Wood;
use crate::store::{Day, Held, Place};
use crate::table::{LONGEST_TEXT, typed_length};

/// What was begun: the folder's name and its files.
pub type Begun = (String, Vec<(String, Vec<u8>)>);

/// Answers what needs no folder: [`None`] for every other address. With it, where something was
/// begun, the folder that was made, on the day `today`.
pub fn begin(request: &Request, today: Day) -> Option<(Answer, Option<Begun>)> {
    let kind = match request.path.as_str() {
        "/new/bowl" => Kind::Bowl,
        "/new/joint" => Kind::Joint,
        _ => return None,
    };
    if request.method == Method::Get {
        return Some((kind.page(), None));
    }
    let held = Arc::new(Held::new(Vec::<(String, Vec<u8>)>::new(), today));
    match kind.begun(&request.body, &held) {
        Ok((answer, name)) => Some((answer, name.map(|name| (name, held.files())))),
        Err(refusal) => Some((told(request, &refusal), None)),
    }
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    Bowl,
    Joint,
}

/// A field: its name, its label, and what is beside it.
type Asked = (&'static str, &'static str, &'static str);

const OF_THE_BOWL: [Asked; 5] = [
    ("ribs", "Ribs", "From rim to rim."),
    ("length", "Length of the opening", "From end to end."),
    ("width", "Width of the opening", "At its widest, from rim to rim."),
    ("depth", "Depth", "From the opening to the deepest rib. Left empty: half the width, a round bowl."),
    ("spacer", "Spacers", "The width of the strips between the ribs. Left empty: none."),
];

const OF_THE_RIB: [Asked; 4] = [
    ("thickness", "Thickness of the ribs", "Left empty: not told."),
    ("spare", "Spare width", "The most that may come off a rib's edge. Left empty: 3 mm."),
    ("sole", "Your plane's sole", "Its length. Left empty: 600 mm."),
    ("shaving", "Its shaving", "How thick it is, by the caliper. Left empty: 0.08 mm."),
];

/// What is read at each station of a joint alone, and how it is called.
const AT_A_STATION: [(&str, &str); 4] =
    [("along", "Along"), ("width", "Width"), ("bevel", "Bevel"), ("rise", "Rise")];

/// Stations that are asked for at first, and at most.
const ROWS: [usize; 2] = [9, 60];
/// Fewer stations say nothing of how a joint bends.
const FEWEST: usize = 3;

impl Kind {
    fn page(self) -> Answer {
        let title = match self {
            Kind::Bowl => "Lay out a bowl",
            Kind::Joint => "Begin a joint alone",
        };
        let frame = Frame { title, joint: None, view: "new", script: Some("begin.js") };
        page(frame.around(html! { h1 { (title) } (self.form()) }))
    }

    fn form(self) -> Markup {
        let (about, to) = match self {
            Kind::Bowl => (
                "From these numbers every joint gets stations with rises, widths and bevels, so that readings can begin at once.",
                "/new/bowl",
            ),
            Kind::Joint => ("One joint, from what is measured at its stations.", "/new/joint"),
        };
        html! {
            p.about { (about) }
            form #begin novalidate autocomplete="off" data-to=(to) {
                (asked(&("title", "Title", "As you like. It names the folder, too."), "text"))
                (choice("units", "All lengths in", [("mm", "mm"), ("inch", "inches")]))
                (choice("mold", "The mold across a rib", [("round", "round"), ("faceted", "faceted")]))
                @if let Kind::Bowl = self { @for field in &OF_THE_BOWL { (asked(field, "decimal")) } }
                (woods())
                @for field in &OF_THE_RIB { (asked(field, "decimal")) }
                @if let Kind::Joint = self { (rows()) }
                p.problem #begin-problem role="alert" {}
                div.actions { button type="submit" .button.main { "Begin" } }
                p #said .unseen role="status" aria-live="polite" {}
            }
        }
    }

    /// What is answered, and the folder's name where it was written.
    fn begun(self, body: &[u8], held: &Arc<Held>) -> Result<(Answer, Option<String>), Refusal> {
        let mut form = Form::of(sent(body)?);
        let name = form.folder(self);
        let place = Place::new(held.clone(), &name);
        let made = match self {
            Kind::Bowl => form.bowl().map(|laid| {
                let style = Style { geometry: 2, ..Style::default() };
                write_bowl(&laid.settings, &laid.joints, &[], &place, &style)
            }),
            Kind::Joint => Ok(write_folder(&form.joint(), &place)),
        };
        if !form.wrong.is_empty() {
            return Ok((form.open(), None));
        }
        let made = made.map_err(|why| Refusal::new(Status::Unprocessable, why))?;
        made.map_err(|why| Refusal::new(Status::Unprocessable, why.to_string()))?;
        // Whether it goes together is said by whoever reads it from now on.
        match self {
            Kind::Bowl => drop(read_bowl(&place)?),
            Kind::Joint => drop(read_folder(&place)?),
        }
        Ok((json(&json!({ "next": "/" })), Some(name)))
    }
}

fn asked((name, label, about): &Asked, keys: &str) -> Markup {
    let described = format!("{name}-about {name}-mark");
    html! {
        div.ask {
            label for=(name) { (label) }
            div.field { input #(name) name=(name) type="text" inputmode=(keys) enterkeyhint="next" maxlength="160" aria-describedby=(described); }
            div.about #{ (name) "-about" } { (about) }
            div.mark #{ (name) "-mark" } hidden {}
        }
    }
}

/// One of two; the first unless the other is tapped.
fn choice(name: &str, legend: &str, ways: [(&str, &str); 2]) -> Markup {
    html! {
        fieldset.choice {
            legend { (legend) }
            @for (i, (value, label)) in ways.iter().enumerate() {
                label { input type="radio" name=(name) value=(value) checked[i == 0]; span { (label) } }
            }
        }
    }
}

fn woods() -> Markup {
    html! {
        div.ask {
            label for="wood" { "Wood" }
            select #wood name="wood" {
                option value="" { "another, or not known" }
                @for wood in Wood::names() { option { (wood) } }
            }
        }
    }
}

/// The stations of a joint alone. Rows that are left empty are none.
fn rows() -> Markup {
    html! {
        h2 { "Stations" }
        p.about { "In their order. Along: the place on the straight line from end to end of the joint. Width: the rib's, from joint edge to outer edge. Bevel: the mitre of the joint face, in degrees from square. Rise: the joint line's height over the straight line; left empty at all stations of a straight joint. Three stations at least; more where it bends." }
        ol.stations.rows { @for i in 1..=ROWS[0] { (row(&i.to_string())) } }
        template #row { (row("0")) }
        div.actions { button #more .button type="button" data-most=(ROWS[1]) { "Another station" } }
    }
}

fn row(number: &str) -> Markup {
    html! {
        li {
            div role="group" aria-label={ "Station " (number) } {
                h3.name { (number) }
                @for (name, label) in AT_A_STATION { (figure(&format!("{name}-{number}"), label, number)) }
            }
        }
    }
}

fn figure(id: &str, label: &str, number: &str) -> Markup {
    html! {
        div.ask {
            div.field {
                label for=(id) { (label) span.unseen { ", station " (number) } }
                input #(id) name=(id) type="text" inputmode="decimal" enterkeyhint="next" maxlength="24" aria-describedby={ (id) "-mark" };
            }
            div.mark #{ (id) "-mark" } hidden {}
        }
    }
}

/// What is typed, by the fields' names; what is wrong with a field is gathered.
struct Form {
    texts: BTreeMap<String, String>,
    unit: Unit,
    wrong: BTreeMap<String, String>,
}

impl Form {
    fn of(texts: BTreeMap<String, String>) -> Form {
        let unit = if texts.get("units").is_some_and(|u| u == "inch") { Unit::Inch } else { Unit::Mm };
        Form { texts, unit, wrong: BTreeMap::new() }
    }

    fn text(&self, name: &str) -> &str {
        self.texts.get(name).map_or("", |text| text.trim())
    }

    /// A number in its range, mm where it is a length; nothing where the field is empty or wrong.
    fn number(&mut self, name: &str, range: &Range) -> Option<f64> {
        let text = self.text(name);
        if text.is_empty() {
            return None;
        }
        let read = typed_length(text, range, self.unit);
        read.map_err(|why| self.wrong.insert(name.to_owned(), why)).ok()
    }

    /// The same where it can't be left out; 0 stands for one that is wrong, of which nothing is made.
    fn must(&mut self, name: &str, range: &Range) -> f64 {
        let number = self.number(name, range);
        if number.is_none() && !self.wrong.contains_key(name) {
            self.wrong.insert(name.to_owned(), format!("Expected {}.", range.in_words(self.unit)));
        }
        number.unwrap_or_default()
    }

    fn ribs(&mut self) -> usize {
        let ribs = self.must("ribs", &ranges::RIBS);
        if ribs.fract() != 0.0 {
            self.wrong.insert("ribs".into(), "Expected a whole number of ribs.".into());
        }
        ribs as usize
    }

    /// The title on one line, with room for a joint's number.
    fn title(&mut self) -> Option<String> {
        let title = self.text("title").to_owned();
        let room = LONGEST_TEXT - ", joint 99".len();
        if title.chars().count() > room || title.chars().any(char::is_control) {
            let why = format!("Expected at most {room} plain characters on one line.");
            self.wrong.insert("title".into(), why);
        }
        Some(title).filter(|title| !title.is_empty())
    }

    /// A name that every system takes for a folder's.
    fn folder(&self, kind: Kind) -> String {
        let words = self.text("title").split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        let name: String = words.collect::<Vec<_>>().join("-").to_lowercase().chars().take(40).collect();
        match (name.trim_matches('-'), kind) {
            ("", Kind::Bowl) => "bowl".into(),
            ("", Kind::Joint) => "joint".into(),
            (name, _) => name.into(),
        }
    }

    fn mold(&self) -> Mold {
        if self.text("mold") == "faceted" { Mold::Faceted } else { Mold::Round }
    }

    fn wood(&self) -> Option<String> {
        Wood::named(self.text("wood")).map(|wood| wood.name.to_owned())
    }

    fn plane(&mut self) -> Plane {
        let usual = Plane::default();
        let sole = self.number("sole", &ranges::SOLE).unwrap_or(usual.sole);
        let shaving = self.number("shaving", &ranges::SHAVING).unwrap_or(usual.shaving);
        Plane { sole, shaving, ..usual }
    }

    fn spare(&mut self) -> f64 {
        self.number("spare", &ranges::SPARE).unwrap_or(SPARE)
    }

    /// The bowl, or why the numbers make none.
    fn bowl(&mut self) -> Result<LaidOut, String> {
        let (ribs, length) = (self.ribs(), self.must("length", &LENGTH));
        let (width, depth) = (self.must("width", &OPENING), self.number("depth", &ranges::DEPTH));
        if let Some(why) = exchanged(length, width, self.unit).filter(|_| self.wrong.is_empty()) {
            self.wrong.insert("width".into(), why);
        }
        let spacer = self.number("spacer", &ranges::SPACER_WIDTH);
        let settings = BowlSettings {
            title: self.title(),
            unit: self.unit,
            mold: self.mold(),
            ribs,
            wood: self.wood(),
            thickness: self.number("thickness", &ranges::THICKNESS),
            spacer: spacer.map(|width| Spacer { width, ..Spacer::default() }),
            ..BowlSettings::default()
        };
        let (plane, spare) = (self.plane(), self.spare());
        let outline = Outline::Numbers { length, half_width: width / 2.0, widest: WIDEST * length };
        let wanted = Wanted { settings, outline, depth, stations: STATIONS, plane, spare };
        if self.wrong.is_empty() { lay_out(&wanted) } else { Err(String::new()) }
    }

    fn joint(&mut self) -> Job {
        let (plane, spare) = (self.plane(), self.spare());
        let stations: Vec<Station> = (1..=ROWS[1]).filter_map(|row| self.station(row)).collect();
        self.enough(&stations);
        self.in_order(&stations);
        Job {
            title: self.title(),
            unit: self.unit,
            mold: self.mold(),
            wood: self.wood(),
            thickness: self.number("thickness", &ranges::THICKNESS),
            spare: Some(spare),
            planes: vec![plane],
            stations,
            ..Job::default()
        }
    }

    fn station(&mut self, row: usize) -> Option<Station> {
        let [along, width, bevel, rise] = AT_A_STATION.map(|(name, _)| format!("{name}-{row}"));
        if [&along, &width, &bevel, &rise].iter().all(|name| self.text(name).is_empty()) {
            return None;
        }
        Some(Station {
            name: row.to_string(),
            along: self.must(&along, &ranges::ALONG),
            width: self.must(&width, &ranges::WIDTH),
            bevel: Angle::degrees(self.must(&bevel, &ranges::BEVEL)),
            rise: self.number(&rise, &ranges::RISE),
            ..Station::default()
        })
    }

    /// Marks the first empty row where there are too few stations.
    fn enough(&mut self, stations: &[Station]) {
        let empty = (1..=FEWEST).find(|row| stations.iter().all(|s| s.name != row.to_string()));
        if let Some(row) = empty.filter(|_| stations.len() < FEWEST) {
            let why = format!("Expected at least {FEWEST} stations, each with along, width and bevel.");
            self.wrong.insert(format!("along-{row}"), why);
        }
    }

    /// What can be said beside the fields of stations that don't go together.
    fn in_order(&mut self, stations: &[Station]) {
        for pair in stations.windows(2).filter(|pair| pair[1].along <= pair[0].along) {
            let field = format!("along-{}", pair[1].name);
            let why = "Expected more than at the station before: they stand in their order along the joint.";
            self.wrong.entry(field).or_insert_with(|| why.into());
        }
        let risen = stations.iter().filter(|s| s.rise.is_some()).count();
        for station in stations.iter().filter(|s| s.rise.is_none() && risen > 0) {
            let why = "Expected a rise at every station, or at none.";
            self.wrong.entry(format!("rise-{}", station.name)).or_insert_with(|| why.into());
        }
    }

    /// The answer where fields are wrong.
    fn open(&self) -> Answer {
        let error = "Nothing was begun: a field is marked. Next: correct it.";
        json_as(Status::Unprocessable, &json!({ "error": error, "marks": self.wrong }))
    }
}
