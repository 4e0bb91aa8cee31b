//! `form`.

use super::Verb;
use crate::answers::jig::{JigStand, jig_stand};
use crate::answers::{
    Asked, FormAsked, NotRead, SurveyForm, Verdicts, drilling_form, drilling_page, finished, resurvey_form,
    setting_form, setting_page, stamping_form, stamping_page, survey_form, survey_form_page, survey_form_sheet,
};
use crate::cli::args::{Format, Which};
use crate::cli::desk::Desk;
use crate::cli::question::{AirframeQuestion, AnswerPart};
use crate::cli::{Answer, Trouble, pick};
use crate::ids::{AirframeId, JigId};
use crate::layout::Page;
use crate::quantity::Length;
use clap::ValueEnum;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A form for the bench, to print or to fill in: setting sheet, survey form, drilling list, stamping list
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct FormVerb {
    /// Which form
    #[arg(value_name = "FORM")]
    kind: Kind,
    /// The jig
    jig: String,
    /// Only this station, or the plate of this mark (default: the whole jig)
    station: Option<String>,
    #[command(flatten)]
    which: Which,
    /// Of the plates on the jig as their records say, whatever the state; a survey form always is
    #[arg(long)]
    as_recorded: bool,
    /// For limits after a rework: the instrument's uncertainty for one coordinate (k = 2), as `0.3thou`
    #[arg(long, value_name = "LENGTH")]
    uncertainty: Option<String>,
    /// The date that is printed on it (default: today)
    #[arg(long, value_name = "DATE")]
    printed: Option<String>,
    /// The file that it is written to; one that is there already is replaced (default: standard output)
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Which form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// Where plates and their dowels are set, distances, diagonals, turns, the frame path to strike
    Setting,
    /// To measure plates: nominal places and empty boxes; taken in by `intake --as holes`
    Survey,
    /// To measure again after a rework, with limits
    Resurvey,
    /// Holes by diameter
    Drilling,
    /// What is stamped on plates
    Stamping,
}

/// Which place of a jig was named.
#[derive(Clone, Copy, Debug, Default)]
struct Only {
    station: Option<usize>,
    mounted: Option<usize>,
}

impl Verb for FormVerb {
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        if format == Format::Xlsx && self.out.is_none() {
            let help = "name the file that it goes into, as in `--out form.xlsx`";
            return Err(Trouble::new("a workbook is no text for standard output").help(help));
        }
        Ok(())
    }

    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| self.answer(question))
    }
}

impl FormVerb {
    fn answer(&self, question: &AirframeQuestion<'_>) -> Result<Answer, Trouble> {
        let jigs = pick::jigs(question.book(), Some(&self.jig))?;
        let jig = jigs[0];
        let only = self.only(question, jig)?;
        let printed = question.printed(self.printed.as_deref())?;
        let asked = |asked: Option<Asked>| FormAsked { asked, jig, station: only.station, printed: printed.clone() };
        if self.kind == Kind::Survey {
            let form = survey_form(question.model, asked(None), only.mounted);
            return self.as_asked(question, &[], &form, || Self::survey_page(&form, question.format));
        }
        if self.is_as_recorded(question) {
            return self.of_state(question, asked(None), None, &[]);
        }
        if self.kind == Kind::Resurvey {
            let uncertainty = self.uncertainty(question, jig)?;
            let made = question.of_jigs(Some(&self.jig), &self.which, |resolver, state, _, examiner| {
                resurvey_form(resolver, asked(Some(state)), examiner, uncertainty.as_ref())
            })?;
            let (airframe, form) = &made[0];
            return self.as_asked(question, &[*airframe], form, || Self::survey_page(form, question.format));
        }
        let mut made = question.of_jigs(Some(&self.jig), &self.which, |resolver, state, jig, examiner| {
            (jig_stand(resolver, jig, examiner), state)
        })?;
        let (airframe, (stand, state)) = made.remove(0);
        self.of_state(question, asked(Some(state)), Some(&stand), &[airframe])
    }

    /// A setting sheet or a list.
    fn of_state(
        &self,
        question: &AirframeQuestion<'_>,
        asked: FormAsked,
        stand: Option<&JigStand>,
        airframes: &[AirframeId],
    ) -> Result<Answer, Trouble> {
        let model = question.model;
        match self.kind {
            Kind::Setting => {
                let form = setting_form(model, asked, stand);
                self.as_asked(question, airframes, &form, || setting_page(&form))
            }
            Kind::Drilling => {
                let form = drilling_form(model, asked, stand);
                self.as_asked(question, airframes, &form, || drilling_page(&form))
            }
            Kind::Stamping => {
                let form = stamping_form(model, asked, stand);
                self.as_asked(question, airframes, &form, || stamping_page(&form))
            }
            Kind::Survey | Kind::Resurvey => {
                let message = "what is measured after a rework follows from a state, and none was asked for";
                Err(Trouble::new(message).help("leave out `--as-recorded`, or ask for `form survey`"))
            }
        }
    }

    /// Whether the plates count as their records say: because that was asked for, or because there is no airframe.
    fn is_as_recorded(&self, question: &AirframeQuestion<'_>) -> bool {
        let model = question.model;
        self.as_recorded || (model.airframes.is_empty() && model.losses.of_airframes().is_empty())
    }

    /// A survey form, plate by plate on paper and as one table in a spreadsheet.
    fn survey_page(form: &SurveyForm, format: Format) -> Page {
        match format {
            Format::Csv | Format::Xlsx => survey_form_sheet(form),
            Format::Text | Format::Json => survey_form_page(form),
        }
    }

    /// The station or the mark that was named.
    fn only(&self, question: &AirframeQuestion<'_>, jig: JigId) -> Result<Only, Trouble> {
        let Some(text) = &self.station else { return Ok(Only::default()) };
        let entry = &question.model.jigs[jig];
        if let Some(station) = entry.stations.iter().position(|name| name.eq_ignore_ascii_case(text)) {
            return Ok(Only { station: Some(station), mounted: None });
        }
        if let Some(mounted) = entry.mounted.iter().position(|plate| plate.mark.eq_ignore_ascii_case(text)) {
            return Ok(Only { station: Some(entry.mounted[mounted].station), mounted: Some(mounted) });
        }
        let names = entry.stations.iter().chain(entry.mounted.iter().map(|plate| &plate.mark));
        let kind = format!("station or mark of jig `{}`", question.model.jigs.name(jig));
        Err(question.book().unknown(&kind, &["Jig"], text, names.map(String::as_str)))
    }

    /// For which instrument limits are given: the named one, else that of the last survey of the jig.
    fn uncertainty(&self, question: &AirframeQuestion<'_>, jig: JigId) -> Result<Option<Length>, Trouble> {
        if let Some(text) = &self.uncertainty {
            let length = Length::parse(text, &question.model.config);
            let length = length.map_err(|why| Trouble::new(why.message).help(why.help))?;
            if length.picometres <= 0 {
                return Err(Trouble::new(format!("the uncertainty `{text}` is not above zero")));
            }
            return Ok(Some(length));
        }
        let of_jig = question.model.surveys.iter().filter(|survey| survey.jig == jig);
        Ok(of_jig.max_by(|a, b| a.date.end.cmp(&b.date.end)).map(|survey| survey.uncertainty.clone()))
    }

    /// A form in the format asked for, into the file that was named for it.
    fn as_asked<R: Verdicts + Serialize>(
        &self,
        question: &AirframeQuestion<'_>,
        airframes: &[AirframeId],
        form: &R,
        page: impl Fn() -> Page,
    ) -> Result<Answer, Trouble> {
        let part = AnswerPart::of(form, &page);
        let answer = question.answer(airframes, BTreeSet::new(), &[part]);
        let mut workbook = None;
        if question.format == Format::Xlsx {
            let lost = NotRead::list(&form.not_read(), &question.model.losses, &question.project.sources);
            workbook = Some(finished(page(), &lost).workbook().map_err(Trouble::new)?);
        }
        question.put(answer, self.out.as_deref(), "form", workbook.as_deref())
    }
}
