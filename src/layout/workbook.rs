//! Tables as the sheets of a workbook for a spreadsheet program: legible on paper in black and white.
//!
//! What dossiers say is written as text, never as a formula. The same sheets give the same bytes.

use super::CAUTION;
use super::page::{Block, Finished, place_words};
use super::table::{Blank, PageTable, Side};
use rust_xlsxwriter::{
    ColNum, DataValidation, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, RowNum, Workbook,
    Worksheet, XlsxError,
};

/// The most that a cell holds, in UTF-16 units.
const CELL: usize = 32_767;
/// Stands at the end of a text that is too long for a cell.
const CUT: &str = " [too long for a cell: the rest is in the CSV]";
/// The furthest that a cell is set in.
pub(crate) const DEEPEST: u8 = 8;
/// The grey behind the headings.
const GREY: u32 = 0x00E4_E4E4;
/// A sheet of at most so many characters is printed upright: a few more than A4 holds at full size.
const UPRIGHT: u16 = 130;
/// The widest sheet that is printed on one page of A4, in characters: a smaller print than that of 7 points is not read
/// at a bench.
const LEGIBLE: u16 = 170;
/// Paper, by the number that workbooks give it.
const A4: u8 = 9;
const A3: u8 = 8;
/// How high a row of boxes is at least, in points: a hand writes in it.
const HAND: f64 = 20.0;
/// The longest name of a sheet, in characters.
const LONGEST_NAME: usize = 31;

/// A sheet of a workbook.
pub(crate) struct WorkbookSheet<'a> {
    /// What it is called.
    pub(crate) name: String,
    /// What stands above the headings, a row each; the first is the title.
    pub(crate) above: Vec<String>,
    /// Its columns.
    pub(crate) columns: Vec<WorkbookColumn<'a>>,
    /// Its rows, a cell for each column.
    pub(crate) rows: Vec<Vec<WorkbookCell<'a>>>,
    /// The last of the columns that begin every page, where a sheet that is too wide for one goes over two.
    pub(crate) repeated: Option<usize>,
}

/// A column of a sheet.
pub(crate) struct WorkbookColumn<'a> {
    /// Its heading.
    pub(crate) title: &'a str,
    /// Whether its cells are numbers.
    pub(crate) number: bool,
    /// To how many places numbers are shown; `None`: as they are. The cell holds all of it.
    pub(crate) places: Option<usize>,
    /// How wide it is at most, in characters.
    pub(crate) width: u16,
    /// What is written into its empty cells.
    pub(crate) blank: Option<Blank>,
}

/// A cell.
#[derive(Clone, Copy)]
pub(crate) struct WorkbookCell<'a> {
    /// What stands in it.
    pub(crate) text: &'a str,
    /// How far it is set in, up to [`DEEPEST`].
    pub(crate) indent: u8,
    /// Whether it stands out.
    pub(crate) bold: bool,
}

/// Sheets as the bytes of a workbook.
///
/// On each sheet the headings and what stands above them stay in sight and are printed on every page, and the caution stands
/// at the foot of every page. Every page is as wide as its sheet.
///
/// # Errors
/// What a workbook does not hold.
pub(crate) fn bytes(title: &str, sheets: &[WorkbookSheet<'_>]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    for sheet in sheets {
        sheet.write(workbook.add_worksheet())?;
    }
    // A workbook notes when it was made; the same sheets are to give the same bytes.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let properties = DocProperties::new().set_title(title).set_comment(CAUTION).set_creation_datetime(&made);
    workbook.set_properties(&properties);
    workbook.save_to_buffer()
}

impl Finished {
    /// As the bytes of a workbook: a sheet for each table, called by the heading above it, with all that the page says above
    /// the headings.
    ///
    /// # Errors
    /// A sentence without a full stop: a sheet holds no more than 1,048,576 rows.
    pub fn workbook(&self) -> Result<Vec<u8>, String> {
        let mut above: Vec<String> = Vec::new();
        let (mut title, mut heading) = ("Answer", None);
        let mut tables: Vec<(String, &PageTable)> = Vec::new();
        for block in &self.page.blocks {
            match block {
                Block::Title(text) => {
                    title = text;
                    above.insert(0, text.clone());
                }
                Block::Heading(text) => heading = Some(text.as_str()),
                Block::Paragraph { lead, text, at } => {
                    above.push(format!("{lead}{text}{}", place_words(at.as_ref())).trim().to_owned());
                }
                Block::Example(text) | Block::Lines(text) => above.push(text.clone()),
                Block::Table(table) => tables.push((sheet_name(heading.unwrap_or(title), &tables), table)),
                Block::Anchor(_) | Block::Gap => {}
            }
        }
        let sheets: Vec<WorkbookSheet<'_>> =
            tables.into_iter().map(|(name, table)| WorkbookSheet::of(name, table, above.clone())).collect();
        bytes(title, &sheets).map_err(|error| format!("the answer does not fit into a workbook: {error}"))
    }
}

/// A name that a sheet may have and no sheet before it has.
fn sheet_name(text: &str, before: &[(String, &PageTable)]) -> String {
    let text = text.split(':').next().unwrap_or(text);
    let plain: String = text.chars().map(|c| if "[]:*?/\\'".contains(c) { ' ' } else { c }).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let short: String = plain.chars().take(LONGEST_NAME - 3).collect();
    let named = |nth: usize| if nth == 1 { short.clone() } else { format!("{short} {nth}") };
    let taken = |name: &String| before.iter().any(|(other, _)| other.eq_ignore_ascii_case(name));
    (1..=before.len() + 1).map(named).find(|name| !taken(name)).expect("one more name than sheets")
}

/// How cells look: in a font that every machine has or has the measures of.
struct Looks {
    /// By how far they are set in.
    text: Vec<Format>,
    /// What stands out, by how far it is set in.
    bold: Vec<Format>,
    number: Format,
    heading: Format,
    /// The heading of figures.
    figures: Format,
    title: Format,
    above: Format,
    /// A box to be filled in.
    box_of_words: Format,
    box_of_figures: Format,
}

impl Looks {
    fn new() -> Looks {
        let text = Format::new().set_font_name("Arial").set_font_size(10).set_align(FormatAlign::Top).set_text_wrap();
        let bold = text.clone().set_bold();
        let number = text.clone().set_align(FormatAlign::Right).set_indent(1);
        let set_in = |format: &Format| {
            (0..=DEEPEST).map(|depth| format.clone().set_align(FormatAlign::Left).set_indent(depth)).collect()
        };
        let heading = bold.clone().set_background_color(GREY).set_border_bottom(FormatBorder::Thin);
        Looks {
            figures: heading.clone().set_align(FormatAlign::Right).set_indent(1),
            heading,
            title: bold.clone(),
            bold: set_in(&bold),
            above: text.clone(),
            text: set_in(&text),
            // A spreadsheet leaves what is written into a cell of text as it is.
            box_of_words: text.clone().set_border(FormatBorder::Thin).set_num_format("@"),
            box_of_figures: number.clone().set_border(FormatBorder::Thin),
            number,
        }
    }
}

impl<'a> WorkbookSheet<'a> {
    /// A table of a page.
    fn of(name: String, table: &'a PageTable, above: Vec<String>) -> WorkbookSheet<'a> {
        let columns = table.columns.iter().enumerate().map(|(at, column)| {
            let places = |row: &Vec<String>| row[at].split_once('.').map_or(0, |(_, places)| places.len());
            let number = column.side == Side::Right || column.blank == Some(Blank::Figure);
            WorkbookColumn {
                title: &column.text,
                number,
                places: Some(table.rows.iter().map(places).max().unwrap_or(0)).filter(|places| number && *places > 0),
                width: 40,
                blank: column.blank,
            }
        });
        // A text that follows a figure is set in a little.
        let after_a_figure =
            |at: usize| at.checked_sub(1).is_some_and(|before| table.columns[before].side == Side::Right);
        let cell =
            |(at, text): (usize, &'a String)| WorkbookCell { text, indent: u8::from(after_a_figure(at)), bold: false };
        let rows = table.rows.iter().map(|row| row.iter().enumerate().map(cell).collect());
        WorkbookSheet { name, above, columns: columns.collect(), rows: rows.collect(), repeated: None }
    }

    /// How wide each column is, in characters: no wider than what stands in it needs, for a sheet is printed to the width of the
    /// paper.
    fn widths(&self) -> Vec<u16> {
        let width = |(at, column): (usize, &WorkbookColumn<'_>)| {
            let of_words = column.title.split(' ').map(str::len);
            let of_cells = self.rows.iter().flat_map(|cells| {
                let indent = usize::from(cells[at].indent);
                cells[at].text.split('\n').map(move |line| line.chars().count() + indent)
            });
            // A hand writes wide.
            let hand = column.blank.map(|_| 8);
            let needed = of_words.chain(of_cells).chain(hand).max().unwrap_or(0) + 2;
            column.width.min(u16::try_from(needed).unwrap_or(u16::MAX))
        };
        self.columns.iter().enumerate().map(width).collect()
    }

    /// The row of the headings.
    fn heading(&self) -> RowNum {
        RowNum::try_from(self.above.len()).unwrap_or(0)
    }

    fn write(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        sheet.set_name(&self.name)?;
        let (looks, widths) = (Looks::new(), self.widths());
        let (heading, whole) = (self.heading(), widths.iter().sum());
        let last = ColNum::try_from(self.columns.len()).expect("a sheet has few columns") - 1;
        for (row, sentence) in (0..).zip(&self.above) {
            let format = if row == 0 { &looks.title } else { &looks.above };
            if last == 0 {
                sheet.write_string_with_format(row, 0, fitting(sentence), format)?;
            } else {
                sheet.merge_range(row, 0, row, last, &fitting(sentence), format)?;
            }
            sheet.set_row_height(row, height(lines(sentence, whole)))?;
        }
        for ((at, column), width) in (0..).zip(&self.columns).zip(&widths) {
            sheet.set_column_width(at, f64::from(*width))?;
            let look = if column.number { &looks.figures } else { &looks.heading };
            sheet.write_string_with_format(heading, at, column.title, look)?;
        }
        let titles = self.columns.iter().zip(&widths).map(|(column, width)| lines(column.title, *width));
        sheet.set_row_height(heading, height(titles.max().unwrap_or(1)))?;
        let numbers: Vec<Format> = self.columns.iter().map(|column| column.shown_as(&looks.number)).collect();
        for (row, cells) in (heading + 1..).zip(&self.rows) {
            let mut tallest = height(1);
            for ((at, column), cell) in (0..).zip(&self.columns).zip(cells) {
                if let (Some(blank), "") = (column.blank, cell.text) {
                    let look = if blank == Blank::Figure { &looks.box_of_figures } else { &looks.box_of_words };
                    sheet.write_blank(row, at, look)?;
                    tallest = tallest.max(HAND);
                    continue;
                }
                if cell.text.is_empty() {
                    continue;
                }
                let format = if cell.bold { &looks.bold } else { &looks.text }.get(usize::from(cell.indent));
                let format = format.expect("no cell is set in further than the deepest level");
                match number(cell.text).filter(|_| column.number) {
                    Some(value) => sheet.write_number_with_format(row, at, value, &numbers[usize::from(at)])?,
                    None => sheet.write_string_with_format(row, at, fitting(cell.text), format)?,
                };
                tallest = tallest
                    .max(height(lines(cell.text, widths[usize::from(at)].saturating_sub(u16::from(cell.indent)))));
            }
            sheet.set_row_height(row, tallest)?;
        }
        self.choices(sheet)?;
        self.set_up(sheet, last, whole)
    }

    /// The words that a box takes.
    fn choices(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let last = self.last_row();
        for (at, column) in (0..).zip(&self.columns) {
            if let Some(Blank::OneOf(words)) = column.blank {
                let choice = DataValidation::new().allow_list_strings(words)?;
                sheet.add_data_validation(self.heading() + 1, at, last, at, &choice)?;
            }
        }
        Ok(())
    }

    fn last_row(&self) -> RowNum {
        self.heading() + RowNum::try_from(self.rows.len()).unwrap_or(RowNum::MAX / 2)
    }

    /// What stays in sight, what can be filtered, how it is printed: upright where that is wide enough.
    fn set_up(&self, sheet: &mut Worksheet, last_column: ColNum, whole: u16) -> Result<(), XlsxError> {
        let heading = self.heading();
        sheet.set_freeze_panes(heading + 1, 0)?;
        sheet.autofilter(heading, 0, self.last_row(), last_column)?;
        sheet.set_repeat_rows(0, heading)?;
        sheet.set_print_gridlines(true);
        let wide = whole > LEGIBLE;
        // What is filled in by hand keeps its size.
        let by_hand = self.columns.iter().any(|column| column.blank.is_some());
        sheet.set_paper_size(if wide && by_hand { A3 } else { A4 });
        // What would print too small on one page goes over two side by side, each beginning with what the rows are of.
        match self.repeated.filter(|_| wide) {
            Some(column) => {
                sheet.set_repeat_columns(0, ColNum::try_from(column).expect("a sheet has few columns"))?;
                sheet.set_print_fit_to_pages(2, 0).set_page_order(false);
            }
            None => {
                sheet.set_print_fit_to_pages(1, 0);
            }
        }
        if whole <= UPRIGHT {
            sheet.set_portrait();
        } else {
            sheet.set_landscape();
        }
        sheet.set_margins(0.4, 0.4, 0.7, 0.7, 0.3, 0.3);
        sheet.set_header(format!("&L&B{}&RPage &P of &N", self.name.replace('&', "&&")));
        sheet.set_footer(format!("&L&8{CAUTION}"));
        Ok(())
    }
}

impl WorkbookColumn<'_> {
    /// How its numbers are shown.
    fn shown_as(&self, plain: &Format) -> Format {
        match self.places {
            Some(places) => plain.clone().set_num_format(format!("0.{}", "0".repeat(places))),
            None => plain.clone(),
        }
    }
}

/// How many lines a text takes in a column: a line holds some more letters than the figures that its width is counted in.
fn lines(text: &str, width: u16) -> usize {
    let width = usize::from(width) * 6 / 5;
    text.split('\n').map(|line| textwrap::wrap(line.trim_end(), width).len().max(1)).sum()
}

/// The height of a row of so many lines, in points; no row is higher than a spreadsheet allows.
fn height(lines: usize) -> f64 {
    let lines = u32::try_from(lines).unwrap_or(u32::MAX);
    (13.0 * f64::from(lines) + 2.0).min(409.0)
}

/// A text as it fits into a cell; one that is too long says so at its end.
fn fitting(text: &str) -> String {
    if text.encode_utf16().count() <= CELL {
        return text.to_owned();
    }
    let room = CELL - CUT.len();
    let mut used = 0;
    let start = text.chars().take_while(|c| {
        used += c.len_utf16();
        used <= room
    });
    start.collect::<String>() + CUT
}

/// The number that a text is, if a cell holds it exactly.
fn number(text: &str) -> Option<f64> {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    text.parse().ok().filter(|value: &f64| value.is_finite() && digits <= 15)
}
