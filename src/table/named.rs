//! One table file: bytes to named columns and numbered rows.

use super::dialect::{self, Decimal, Delimiter, Dialect, LineEnd};
use super::file::{Part, Raw};
use super::grid::{self, Fault, Record};
use super::layout::{Layout, plain};
use super::problem::{MOST, printable};
use super::stated::{self, Stated, misspelt};
use super::suggest::{listed, nearest};
use super::workbook::cell_name;
use super::{Encoding, Problem, Warning, decode, marks};

/// No spreadsheet has more columns.
const MOST_COLUMNS: usize = 20_000;

/// A row that holds anything.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    /// As a spreadsheet counts it.
    pub number: usize,
    cells: Vec<String>,
}

impl Row {
    /// Whether anything stands in the cell at this place.
    fn filled(&self, place: usize) -> bool {
        self.cells.get(place).is_some_and(|cell| !cell.is_empty())
    }
}

/// A table whose columns have names.
#[derive(Clone)]
pub(crate) struct Table {
    /// The file's name.
    pub file: String,
    /// What it may hold.
    pub layout: &'static Layout,
    /// How it is written; the decimal mark is the default one if none was seen.
    pub dialect: Dialect,
    /// Whether a decimal mark was seen.
    pub mark_seen: bool,
    /// The whole text.
    pub text: String,
    /// Where the header row ends in `text`, before its line end.
    pub header_end: usize,
    /// The columns' names as they stand there.
    names: Vec<String>,
    /// Columns whose names had a unit behind them.
    pub(super) stated: Vec<(String, Stated)>,
    /// The columns' names as compared, empty where there is none.
    pub columns: Vec<String>,
    /// The rows below the header that hold anything.
    pub rows: Vec<Row>,
    /// Columns that this table has no use for.
    pub extra: Vec<String>,
    /// Whether it is a workbook's sheet, whose cells have names.
    in_workbook: bool,
}

impl Part {
    /// The table in it, if it can be made out.
    pub fn table(&self, layout: &'static Layout, problems: &mut Vec<Problem>) -> Option<Table> {
        Table::read(self.raw(problems)?, layout, problems)
    }
}

impl Table {
    /// Reads a table; problems are added to the list. `None` if its cells can't be
    /// made out at all.
    pub fn read(raw: &Raw, layout: &'static Layout, problems: &mut Vec<Problem>) -> Option<Table> {
        let (text, encoding) = text_of(raw, layout, problems)?;
        let delimiter = delimiter(&raw.file, &text, layout, problems)?;
        let records: Vec<Record> = grid::records(&text, delimiter.char()).collect();
        let faults = quotes(&raw.file, &records);
        if !faults.is_empty() {
            problems.extend(faults);
            return None;
        }
        let sep_line = dialect::sep_line(&text).is_some();
        let header_at = (usize::from(sep_line)..records.len()).find(|i| !records[*i].is_blank());
        let Some(header_at) = header_at else {
            problems.push(empty(&raw.file, layout));
            return None;
        };
        let columns = records[header_at].cells.len();
        if columns > MOST_COLUMNS {
            let next = "check that it is the right file, and delete the columns that nothing stands in";
            let expected = format!("a table of at most {MOST_COLUMNS} columns, not {columns}");
            problems.push(Problem::new(&raw.file, expected, next).row(header_at + 1));
            return None;
        }
        let mut table = Table::lay_out(raw, layout, text, records, header_at);
        table.dialect.encoding = encoding;
        table.dialect.delimiter = delimiter;
        table.dialect.sep_line = sep_line;
        table.check(header_at + 1, problems).then_some(table)
    }

    fn lay_out(
        raw: &Raw,
        layout: &'static Layout,
        text: String,
        records: Vec<Record>,
        header_at: usize,
    ) -> Table {
        let row = |(i, r): (usize, Record)| Row { number: i + 1, cells: r.cells };
        let mut below = records.into_iter().enumerate().skip(header_at);
        let header = below.next().map(|(_, header)| header).unwrap_or_default();
        Table {
            file: raw.file.clone(),
            layout,
            dialect: Dialect { line_end: LineEnd::at(&text[header.end..]), ..Dialect::default() },
            mark_seen: false,
            header_end: header.end,
            columns: header.cells.iter().map(|c| plain(c)).collect(),
            names: header.cells,
            rows: below.filter(|(_, r)| !r.is_blank()).map(row).collect(),
            extra: Vec::new(),
            in_workbook: raw.in_workbook,
            stated: Vec::new(),
            text,
        }
    }

    /// Checks header, row lengths and decimal marks; false if cells can't be
    /// assigned to columns.
    fn check(&mut self, header_row: usize, problems: &mut Vec<Problem>) -> bool {
        let before = problems.len();
        if self.layout.units {
            self.stated = stated::take_units(self.layout, &mut self.columns);
        }
        self.header_problems(header_row, problems);
        let filled = |i: usize| self.rows.iter().any(|row| row.filled(i));
        let near = stated::nearly_named(self.layout, &self.columns, filled);
        problems.extend(near.map(|(i, name)| misspelt(&self.file, header_row, &self.names[i], name)));
        self.note_extra();
        let named = problems.len() == before;
        if !self.columns.iter().any(|c| self.layout.knows(c)) {
            // Without names nothing else can be judged.
            return false;
        }
        let (mark, trouble) = marks::decimal_mark(self);
        self.mark_seen = mark.is_some();
        self.dialect.decimal = mark.unwrap_or_default();
        problems.extend(self.length_problems());
        let sound = problems.len() == before;
        // A wrong cell count explains odd marks, so it is reported alone.
        if sound {
            problems.extend(trouble.clone());
        }
        named && sound && trouble.is_none()
    }

    fn header_problems(&self, row: usize, problems: &mut Vec<Problem>) {
        let known = self.layout.names();
        if !self.columns.iter().any(|c| known.contains(&c.as_str())) {
            problems.push(self.no_header(row));
            return;
        }
        if let Some(file) = self.of_another_file() {
            let expected = format!("the columns of this table, but here are those of {file}");
            let next = format!("put this table into {file}, and the right one in its place");
            problems.push(Problem::new(&self.file, expected, next).row(row));
            return;
        }
        let missing: Vec<_> =
            self.layout.required().into_iter().filter(|any| !any.iter().any(|n| self.has(n))).collect();
        let twice: Vec<_> = known.iter().filter(|n| self.places(n) > 1).collect();
        // What is missing may be the one that has a wrong name.
        if let ([lacking], [name]) = (&missing[..], &twice[..]) {
            problems.push(self.twice(row, name, Some(lacking[0])));
            return;
        }
        problems.extend(missing.iter().map(|any| self.missing(row, any, &known)));
        problems.extend(twice.iter().map(|n| self.twice(row, n, None)));
        let pairs = self.layout.required().into_iter().filter(|any| any.iter().all(|n| self.has(n)));
        problems.extend(pairs.filter(|any| any.len() > 1).map(|any| self.both(row, any[0], any[1])));
    }

    /// The file that has the columns which stand here, if it is not this one.
    fn of_another_file(&self) -> Option<&'static str> {
        let complete = |l: &Layout| l.required().iter().all(|any| any.iter().any(|n| self.has(n)));
        if self.layout.is_joined() || complete(self.layout) {
            return None;
        }
        let named = self.layout.family.iter().filter(|l| !l.file.is_empty());
        named.copied().find(|l| complete(l)).map(|l| l.file)
    }

    fn places(&self, name: &str) -> usize {
        self.columns.iter().filter(|c| c.as_str() == name).count()
    }

    /// Whether the table has this column.
    pub fn has(&self, name: &str) -> bool {
        self.places(name) > 0
    }

    /// The cell, empty if the row or the table ends before it.
    pub fn cell<'a>(&self, row: &'a Row, name: &str) -> &'a str {
        let place = self.columns.iter().position(|c| c == name);
        place.and_then(|i| row.cells.get(i)).map_or("", String::as_str)
    }

    /// A problem with one cell.
    pub fn problem(
        &self,
        row: &Row,
        column: &str,
        expected: impl Into<String>,
        next: impl Into<String>,
    ) -> Problem {
        let problem = Problem::new(&self.file, expected, next).row(row.number).column(column);
        let place = self.columns.iter().position(|c| c == column).filter(|_| self.in_workbook);
        problem.in_cell(place.map(|place| cell_name(row.number, place))).found(self.cell(row, column))
    }

    fn no_header(&self, row: usize) -> Problem {
        let known = self.layout.names();
        let seen = self.names.join(&self.dialect.delimiter.char().to_string());
        let lone = self.names.len() == 1 && known.iter().filter(|n| seen.contains(*n)).count() > 2;
        let next = match lone {
            true => "save the table with commas, semicolons or tabs between the cells",
            false => "put a row with the columns' names first, and nothing above it",
        };
        Problem::new(&self.file, format!("a header row with names such as {}", known.join(", ")), next)
            .row(row)
            .found(seen)
    }

    fn missing(&self, row: usize, any: &[&'static str], known: &[&str]) -> Problem {
        let named = || self.names.iter().map(String::as_str).filter(|n| !n.is_empty());
        let strangers: Vec<&str> = named().filter(|n| !known.contains(&plain(n).as_str())).collect();
        let near = any.iter().find_map(|n| Some((nearest(n, strangers.iter().copied())?, n)));
        let next = match near {
            Some((near, name)) => {
                format!("rename the column '{}' to '{name}' if it is that", printable(near))
            }
            None if strangers.is_empty() => {
                format!("add the column {} to the header row, with its cells", self.either(any))
            }
            None => {
                format!(
                    "give the column that holds it the name {}, or add it with its cells",
                    self.either(any)
                )
            }
        };
        let expected = format!("a column {}; the columns here are {}", any.join(" or "), listed(named()));
        Problem::new(&self.file, expected, next).row(row).column(any[0])
    }

    fn twice(&self, row: usize, name: &str, lacking: Option<&str>) -> Problem {
        let (and, next) = match lacking {
            Some(lacking) => (
                format!(", and one named {lacking}"),
                format!("rename one of the two to '{lacking}' if it is that"),
            ),
            None => (String::new(), "rename or remove one of the two".to_owned()),
        };
        Problem::new(&self.file, format!("one column named {name}, not two{and}"), next).row(row).column(name)
    }

    fn both(&self, row: usize, a: &str, b: &str) -> Problem {
        let next = "keep one of the two columns";
        Problem::new(&self.file, format!("either {a} or {b}, not both"), next).row(row).column(b)
    }

    /// The names of which a table needs one, with their signs: an overlap by the name of a
    /// gap would have its sign changed.
    fn either(&self, names: &[&str]) -> String {
        let named = |name: &&str| match self.layout.column(name).map_or("", |c| c.sign) {
            "" => format!("'{name}'"),
            sign => format!("'{name}' ({sign})"),
        };
        names.iter().map(named).collect::<Vec<_>>().join(" or ")
    }

    fn note_extra(&mut self) {
        let known = self.layout.names();
        let names = &self.names;
        let mut used = vec![false; names.len()];
        for row in &self.rows {
            used.iter_mut().zip(&row.cells).for_each(|(used, cell)| *used |= !cell.is_empty());
        }
        let stranger = |i: &usize| !known.contains(&self.columns[*i].as_str());
        let named = |i: usize| match names[i].as_str() {
            "" => format!("the nameless column {}", i + 1),
            name => format!("'{}'", printable(name)),
        };
        let wanted = |i: &usize| stranger(i) && (!names[*i].is_empty() || used[*i]);
        self.extra = (0..names.len()).filter(wanted).map(named).collect();
    }

    /// The warning about columns that are kept out of the way.
    pub fn extra_warning(&self) -> Option<Warning> {
        (!self.extra.is_empty()).then(|| {
            let names = self.extra.join(", ");
            let text = format!(
                "{}: {names} not read. If one of them matters, give it a column name that demo-readings/README.md lists.",
                self.file
            );
            Warning::new("extra-columns", text)
        })
    }

    /// Rows with more cells than the header.
    fn length_problems(&self) -> Vec<Problem> {
        let pointed = self.mark_seen && self.dialect.decimal == Decimal::Point;
        let harmless = self.dialect.delimiter != Delimiter::Comma || pointed;
        let width = self.columns.len();
        let too_long = |row: &&Row| {
            let beyond = row.cells.get(width..).unwrap_or_default();
            beyond.iter().any(|c| !c.is_empty()) || !(harmless || beyond.is_empty())
        };
        self.rows.iter().filter(too_long).take(MOST).map(|row| self.too_long(row)).collect()
    }

    fn too_long(&self, row: &Row) -> Problem {
        let (here, width) = (row.cells.len(), self.columns.len());
        let mark = self.dialect.delimiter.char().to_string();
        let next = match self.dialect.delimiter {
            Delimiter::Comma => {
                "if a decimal comma split a cell, save the table with semicolons or with decimal \
                 points; else put the cells under their columns"
            }
            _ => "put the cells under their columns, or name the columns in the header row",
        };
        let expected = format!("at most {width} cells, as in the header row, not {here}");
        Problem::new(&self.file, expected, next).row(row.number).found(row.cells.join(&mark))
    }
}

/// The file's text, unless it holds none.
fn text_of(raw: &Raw, layout: &Layout, problems: &mut Vec<Problem>) -> Option<(String, Encoding)> {
    let decoded = decode::decode(&raw.bytes);
    let blank = |c: char| c.is_whitespace() || ",;\"".contains(c);
    if decoded.as_ref().is_some_and(|(text, _)| text.chars().all(blank)) {
        problems.push(empty(&raw.file, layout));
        return None;
    }
    let page = |text: &str| text.trim_start().starts_with('<');
    if decoded.as_ref().is_none_or(|(text, _)| page(text)) {
        let next = "open it in the program that wrote it and save it as CSV text";
        problems.push(Problem::new(&raw.file, "plain text, but the file holds something else", next));
        return None;
    }
    decoded
}

fn empty(file: &str, layout: &Layout) -> Problem {
    Problem::new(file, "a table, but nothing stands in the file", layout.empty)
}

fn delimiter(file: &str, text: &str, layout: &Layout, problems: &mut Vec<Problem>) -> Option<Delimiter> {
    match dialect::sep_line(text) {
        None => Some(dialect::recognise(text, layout)),
        Some(Ok(delimiter)) => Some(delimiter),
        Some(Err(line)) => {
            let next = "write sep=, or sep=; or sep= and a tab, or delete the line";
            let expected = "a comma, a semicolon or a tab behind sep=";
            problems.push(Problem::new(file, expected, next).row(1).found(line));
            None
        }
    }
}

fn quotes(file: &str, records: &[Record]) -> Vec<Problem> {
    let problem = |(i, r): (usize, &Record)| {
        let (expected, next) = match r.fault? {
            Fault::Open => {
                ("a closing quote for every opening one", "close the quoted cell, or delete its quote")
            }
            Fault::After => (
                "nothing between a closing quote and the end of its cell",
                "write a quote inside a quoted cell twice, or delete the quotes",
            ),
        };
        Some(Problem::new(file, expected, next).row(i + 1).found(r.cells.join(" ")))
    };
    records.iter().enumerate().filter_map(problem).take(MOST).collect()
}
