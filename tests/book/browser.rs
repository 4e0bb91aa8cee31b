//! A browser for the tests, where there is one: the one that `MODSTATE_CHROMIUM` names, or Chromium of this machine.

use headless_chrome::protocol::cdp::types::Event;
use headless_chrome::protocol::cdp::{Emulation, Network, Page};
use headless_chrome::types::PrintToPdfOptions;
use headless_chrome::{Browser, LaunchOptions, Tab};
use serde_json::Value;
use std::ffi::OsStr;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// Says why a check was skipped.
pub(crate) fn skipped(why: &str) {
    writeln!(std::io::stdout(), "skipped: {why}").expect("stdout");
}

/// A program of this machine: the one that a variable names, or the first of these names that can be run.
pub(crate) fn program(variable: &str, names: &[&str]) -> Option<PathBuf> {
    let given = std::env::var_os(variable).map(PathBuf::from);
    let folders: Vec<PathBuf> =
        std::env::var_os("PATH").map(|path| std::env::split_paths(&path).collect()).unwrap_or_default();
    let found = || {
        names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|path| path.is_file())
    };
    let found = given.or_else(found);
    if found.is_none() {
        skipped(&format!("{variable} names no program, and none of {} is installed", names.join(", ")));
    }
    found
}

/// Starts the browser; `None`, and a line that says so, where there is none.
pub(crate) fn browser() -> Option<Browser> {
    let path = program("MODSTATE_CHROMIUM", &["chromium", "chromium-browser", "google-chrome"])?;
    let args: Vec<&OsStr> = vec![OsStr::new("--disable-gpu"), OsStr::new("--hide-scrollbars")];
    let options = LaunchOptions {
        path: Some(path),
        headless: true,
        // Tests may run as root, where the sandbox cannot.
        sandbox: false,
        window_size: Some((1400, 1000)),
        idle_browser_timeout: Duration::from_mins(3),
        args,
        ..LaunchOptions::default()
    };
    Some(Browser::new(options).expect("the browser starts"))
}

/// A page in a browser, and everything that it asked for.
pub(crate) struct Opened {
    pub(crate) tab: Arc<Tab>,
    asked_for: Arc<Mutex<Vec<String>>>,
}

/// Counts what must never happen: scripts that are not the page's own, and what its policy had to refuse.
const WATCH: &str = "window.hits = []; window.refused = []; window.hit = (what) => window.hits.push(what); \
                     for (const name of ['alert', 'prompt', 'confirm']) window[name] = () => window.hits.push(name); \
                     addEventListener('securitypolicyviolation', (event) => window.refused.push(event.violatedDirective + ' ' + event.sample));";

/// Opens a file, at a place of it, and waits until it is there.
pub(crate) fn open(browser: &Browser, file: &Path, place: &str) -> Opened {
    let tab = browser.new_tab().expect("a tab");
    tab.set_default_timeout(Duration::from_mins(1));
    tab.call_method(Network::Enable {
        max_total_buffer_size: None,
        max_resource_buffer_size: None,
        max_post_data_size: None,
        report_direct_socket_traffic: None,
        enable_durable_messages: None,
    })
    .expect("requests are told");
    let asked_for = Arc::new(Mutex::new(Vec::new()));
    let seen = Arc::clone(&asked_for);
    tab.add_event_listener(Arc::new(move |event: &Event| {
        if let Event::NetworkRequestWillBeSent(event) = event {
            seen.lock().expect("no listener fails").push(event.params.request.url.clone());
        }
    }))
    .expect("a listener");
    tab.call_method(Page::AddScriptToEvaluateOnNewDocument {
        source: WATCH.to_owned(),
        world_name: None,
        include_command_line_api: None,
        run_immediately: None,
    })
    .expect("the watch is set");
    let url = format!("file://{}{place}", file.display());
    tab.navigate_to(&url).expect("the file is opened").wait_until_navigated().expect("the file is there");
    Opened { tab, asked_for }
}

impl Opened {
    /// What an expression comes to; it gives a value that JSON can hold, or a promise of one.
    pub(crate) fn ask(&self, expression: &str) -> Value {
        let text = format!("(async () => JSON.stringify(await ({expression})))()");
        let found = self.tab.evaluate(&text, true).unwrap_or_else(|error| panic!("{expression}: {error}"));
        let text = found.value.and_then(|value| value.as_str().map(str::to_owned));
        let text = text.unwrap_or_else(|| panic!("`{expression}` gives nothing: {:?}", found.description));
        serde_json::from_str(&text).expect("it gives JSON")
    }
    /// Everything that it asked for beside itself.
    pub(crate) fn asked_for(&self) -> Vec<String> {
        let all = self.asked_for.lock().expect("no listener fails");
        let own = self.tab.get_url();
        let own = own.split('#').next().unwrap_or_default();
        all.iter().filter(|url| url.split('#').next() != Some(own)).cloned().collect()
    }
    /// Shows it so many pixels wide, as a phone or a screen does.
    pub(crate) fn wide(&self, width: u32) {
        self.tab
            .call_method(Emulation::SetDeviceMetricsOverride {
                width,
                height: 900,
                device_scale_factor: 1.0,
                mobile: width < 600,
                scale: None,
                screen_width: None,
                screen_height: None,
                position_x: None,
                position_y: None,
                dont_set_visible_size: None,
                screen_orientation: None,
                viewport: None,
                display_feature: None,
                device_posture: None,
            })
            .expect("the width is set");
    }
    /// Shows it dark or light, and so wide.
    pub(crate) fn shown(&self, dark: bool, width: u32) {
        let value = if dark { "dark" } else { "light" }.to_owned();
        let feature = Emulation::MediaFeature { name: "prefers-color-scheme".to_owned(), value };
        self.tab
            .call_method(Emulation::SetEmulatedMedia { media: None, features: Some(vec![feature]) })
            .expect("the colours are set");
        self.wide(width);
    }
    /// It printed on paper of a breadth and a height in inches: the text and the words of each page.
    pub(crate) fn printed(&self, paper: (f64, f64)) -> Option<Vec<PrintedPage>> {
        let reader = program("MODSTATE_PDFTOTEXT", &["pdftotext"])?;
        let options = PrintToPdfOptions {
            paper_width: Some(paper.0),
            paper_height: Some(paper.1),
            print_background: Some(false),
            display_header_footer: Some(false),
            prefer_css_page_size: Some(false),
            ..PrintToPdfOptions::default()
        };
        let pdf = self.tab.print_to_pdf(Some(options)).expect("it is printed");
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("book.pdf");
        std::fs::write(&file, pdf).expect("a file");
        let read = |option: &str| {
            let run = Command::new(&reader).arg(option).arg(&file).arg("-").output().expect("the PDF is read");
            assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
            String::from_utf8_lossy(&run.stdout).into_owned()
        };
        let (laid_out, boxes) = (read("-layout"), read("-bbox"));
        let texts = laid_out.trim_end_matches('\u{c}').split('\u{c}');
        let pages = boxes.split("<page ").skip(1);
        Some(texts.zip(pages).map(|(text, page)| PrintedPage::of(text, page)).collect())
    }
}

/// A printed page.
pub(crate) struct PrintedPage {
    /// Its text, laid out as it stands.
    pub(crate) text: String,
    /// Its breadth and height, in points.
    pub(crate) size: (f64, f64),
    /// The words on it with their left, upper, right and lower edges, in points.
    pub(crate) words: Vec<([f64; 4], String)>,
}

impl PrintedPage {
    fn of(text: &str, page: &str) -> PrintedPage {
        let figure = |line: &str, name: &str| -> f64 {
            let value = line.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
            value.and_then(|value| value.parse().ok()).unwrap_or_else(|| panic!("{name} in {line}"))
        };
        let words = page.lines().filter(|line| line.trim_start().starts_with("<word")).map(|line| {
            let edges = ["xMin", "yMin", "xMax", "yMax"].map(|name| figure(line, name));
            let word = line.split('>').nth(1).and_then(|rest| rest.split('<').next()).unwrap_or_default();
            (edges, word.to_owned())
        });
        PrintedPage {
            text: text.to_owned(),
            size: (figure(page, "width"), figure(page, "height")),
            words: words.collect(),
        }
    }
}
