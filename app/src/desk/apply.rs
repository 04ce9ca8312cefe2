//! Applying intents: the one way from a page to the book.

use super::{Ask, Desk, Stage, worker::Died, worker::Job};
use crate::crash;
use crate::look::{self, Kind, space};
use crate::pages::{Intent, PageId, Then};
use crate::parts::{Field, Form, FormEvent, caution};
use hirsel_core::book::{Failed, Written};
use hirsel_core::entry::{Checked, Sure};
use hirsel_core::phrase;

impl Desk {
    /// Does what a page wants.
    pub(super) fn apply(&mut self, ctx: &egui::Context, intent: Intent) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        crash::did(crash::name_of(&intent));
        match intent {
            Intent::Write { checked, then } => match checked.sure() {
                Ok(sure) => self.write(sure, &then),
                Err(checked) => {
                    let before = ctx.memory(|m| m.focused());
                    open.ask = Some(Ask { checked, then, word: String::new(), fresh: true, before });
                }
            },
            Intent::WriteAll { what, all, word, then } => {
                let sure = all.into_iter().map(|c| despite(c, &word)).collect::<Result<Vec<_>, _>>();
                match sure {
                    Ok(all) => self.write_many(&what, all, &then),
                    Err(question) => self.say(Kind::Refuse, question),
                }
            }
            Intent::TimelineOf(id) => {
                open.pages.timeline.show(id);
                open.pages.at = PageId::Timeline;
            }
            Intent::PedigreeOf(id) => {
                open.pages.blood.show_pedigree(id);
                open.pages.at = PageId::Blood;
            }
            Intent::PrintAncestors(animals, generations) => {
                open.pages.papers.show_ancestors(animals, generations);
                open.pages.at = PageId::Papers;
            }
            Intent::Go(page) => open.pages.at = page,
            Intent::BeforeVisit => {
                open.pages.inspect.show_questions();
                open.pages.at = PageId::Inspect;
            }
            Intent::Purge(before) => self.purge(before),
            Intent::Open(id) => {
                open.pages.leaf.show(id);
                open.pages.at = PageId::Flock;
            }
            Intent::Follow(link) => self.follow_link(link),
            Intent::KeepPaper { of, paths, how } => self.keep_papers(ctx, of, paths, how),
            Intent::StopPapers => self.stop_papers(),
            Intent::Thumbnails(wanted) => open.thumbs.want(ctx, &open.book, &open.flock, &wanted),
            Intent::ShowPaper(id) => self.show_paper(ctx, id),
            Intent::LambingOf(id) => {
                let mut pages = std::mem::take(&mut open.pages);
                pages.lambing.start(id, &open.ctx(today));
                pages.at = PageId::Lambing;
                open.pages = pages;
            }
            Intent::Treat(animals) => {
                open.pages.treatments.start(animals);
                open.pages.at = PageId::Treatments;
            }
            Intent::Print(kind, animals) => {
                open.pages.papers.show(kind, animals);
                open.pages.at = PageId::Papers;
            }
            Intent::PrintMix(mix, total) => {
                let name = open.flock.feedroom().name(mix).to_string();
                open.pages.papers.show_mix(mix, &name, &total.show(open.flock.holding().units));
                open.pages.at = PageId::Papers;
            }
            Intent::PrintSheet(sheet, day) => {
                open.pages.papers.show_sheet(sheet, day);
                open.pages.at = PageId::Papers;
            }
            Intent::PrintSeason(season) => {
                open.pages.papers.show_season(season);
                open.pages.at = PageId::Papers;
            }
            Intent::PrintFeed(feeds) => {
                open.pages.papers.show_feed(feeds, today);
                open.pages.at = PageId::Papers;
            }
            Intent::PrintRegister(ask) => {
                open.pages.papers.show_register(ask);
                open.pages.at = PageId::Papers;
            }
            Intent::LayOut(spec) => open.printing.lay_out(ctx, &open.flock, spec),
            Intent::StopLayOut => open.printing.stop(),
            Intent::Deliver(to) => {
                // A sheet that goes on paper keeps its numbers until it is typed back.
                let sheet = open.printing.laid().and_then(|l| l.spec.sheet.as_ref());
                if let Some((sheet, day)) = sheet {
                    open.pages.barn.keep(sheet, *day);
                }
                let folder = self.kept.folder().join("papers");
                open.printing.deliver(ctx, to, &open.path, folder);
            }
            Intent::Say(kind, text) => self.say(kind, text),
            Intent::SaveTable(list) => self.save_table(ctx, list),
            Intent::SavePicture { drawing, path } => {
                open.save_picture(ctx, *drawing, path);
                self.say(Kind::Plain, "The picture is being drawn");
            }
            Intent::AskCalendar(kinds) => {
                open.pages.tonight.ask_calendar(&kinds);
                open.pages.at = PageId::Tonight;
            }
            Intent::SaveCalendar(ask, path) => {
                if let Err(why) = open.save_calendar(ctx, *ask, path, today) {
                    self.say(Kind::Refuse, why);
                }
            }
            Intent::PrintList { title, heads, rows } => {
                let holding = open.flock.holding().clone();
                let folder = self.kept.folder().join("papers");
                open.told = Some(Job::start(ctx, move |reins| {
                    super::printing::list(&holding, title, heads, &rows, today, &folder, reins)
                }));
            }
            Intent::PrintWeighing(list) => {
                let holding = open.flock.holding().clone();
                let folder = self.kept.folder().join("papers");
                open.told = Some(Job::start(ctx, move |reins| {
                    super::printing::weighing_list(&holding, &list, today, &folder, reins)
                }));
            }
            Intent::PrintWinter(ask) => {
                let flock = std::sync::Arc::clone(&open.flock);
                let folder = self.kept.folder().join("papers");
                open.told = Some(Job::start(ctx, move |reins| {
                    super::printing::winter_feed(&flock, *ask, today, &folder, reins)
                }));
            }
            Intent::FindPairs(ask, wish) => open.find_pairs(ctx, *ask, wish),
            Intent::StopPairs => open.stop_pairs(),
            Intent::FindValues(ask) => open.find_values(ctx, *ask),
            Intent::OwnShares(ask) => open.find_own(ctx, *ask),
            Intent::StopValues => open.stop_values(),
            Intent::Undo => self.undo(),
            Intent::Redo => self.redo(),
            Intent::PartAgain(merge) => {
                let done = open.book.part_again(merge);
                self.after_walk(done, "They are two animals already");
            }
            Intent::CloseBook => match self.close_with_copy(ctx) {
                Some(trouble) => self.say(Kind::Refuse, trouble),
                None => self.say(Kind::Good, "The book is closed: one file, safe to copy"),
            },
            Intent::CopyBook(Some(path)) => self.copy_to(&path, false),
            Intent::CopyBook(None) => self.copy_book(ctx),
            Intent::WholeJournal => open.history = open.book.history(u32::MAX).unwrap_or_default(),
            Intent::CheckBook => self.check_book(),
            Intent::Import { kind, path, sheet } => self.import(ctx, kind, path.as_deref(), sheet),
            Intent::ImportAs(choice) => self.import_as(ctx, *choice),
            Intent::ImportForget => self.import_forget(ctx),
            Intent::ImportYes(word) => self.bring_in(&word),
            Intent::ReadScale(path) => self.read_scale(ctx, path.as_deref()),
            Intent::ScaleAs(choice) => self.scale_as(ctx, *choice),
            Intent::LeaveScale => self.leave_scale(),
            Intent::ReadRoll(from) => self.read_roll(ctx, from),
            Intent::LeaveRoll => self.leave_roll(),
            Intent::WeighRoll => self.weigh_roll(ctx),
            Intent::ShowRoll => {
                open.pages.flock.show_roll();
                open.pages.leaf.open = None;
                open.pages.at = PageId::Flock;
            }
            Intent::ScanOpens(opens) => {
                open.scan_opens = opens;
                let settings = super::kept::Settings { scan_rests: !opens, ..self.kept.settings() };
                self.kept.set(&settings);
            }
            Intent::LookAtCopy(path) => self.look_at_copy(ctx, path.as_deref()),
            Intent::BringCopy => self.bring_copy(),
            Intent::LeaveCopy => self.leave_copy(),
            Intent::DecideCopy(id, side, reason) => self.decide_copy(id, side, &reason),
            Intent::Copies(wish) => self.copy_wish(ctx, wish),
            Intent::ExportStandard(path) => self.export_standard(ctx, &path),
            Intent::ImportStandard(path) => self.import_standard(ctx, path.as_deref()),
            Intent::BringStandard(word) => self.bring_standard(&word),
            Intent::LeaveStandard => self.leave_standard(),
            Intent::ImportNo => open.coming = super::tables::Kept::default(),
            Intent::Export(wish) => self.take_out(ctx, wish),
            Intent::StopExport => self.stop_taking(),
            Intent::ShowTaken => self.show_taken(),
        }
    }

    /// Writes, says so, and lets the page go on.
    fn write(&mut self, sure: Sure, then: &Then) {
        let what = sure.sentence().to_string();
        self.write_many(&what, vec![sure], then);
    }

    fn write_many(&mut self, what: &str, all: Vec<Sure>, then: &Then) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let open_still = still_open(&all);
        let for_tour = if self.tour.is_on() { all.clone() } else { Vec::new() };
        match open.book.write_many(what, all) {
            Ok(written) => {
                self.typed_in = None; // what was typed is in the book: Ctrl+Z is the book's again
                open.trouble = None;
                open.refresh();
                open.follow(&written.touched);
                let mut pages = std::mem::take(&mut open.pages);
                let told = pages.after(then, &open.ctx(today));
                open.pages = pages;
                open.look_at_drafts = true;
                let told = told.unwrap_or(written.sentence);
                match open_still {
                    Some(words) => self.say(Kind::Caution, format!("{told}. {words}")),
                    None => self.say(Kind::Good, told),
                }
                self.did_write(&for_tour);
            }
            Err(e) => self.failed(&e),
        }
    }

    pub(super) fn failed(&mut self, e: &Failed) {
        let text = e.to_string();
        if let Stage::Open(open) = &mut self.stage {
            open.trouble = Some(text);
        }
    }

    fn after_walk(&mut self, done: Result<Option<Written>, Failed>, nothing: &str) {
        if let Stage::Open(open) = &mut self.stage {
            open.refresh();
            if let Ok(Some(written)) = &done {
                open.follow(&written.touched);
            }
        }
        match done {
            Ok(Some(written)) => self.say(Kind::Good, written.sentence),
            Ok(None) => self.say(Kind::Plain, nothing.to_owned()),
            Err(e) => self.failed(&e),
        }
    }

    /// Takes the last write back.
    pub(super) fn undo(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        // Lines that another copy brought go with it: the journal is read anew.
        if open.undo.as_ref().is_some_and(|w| w.starts_with(hirsel_core::book::BROUGHT)) {
            open.history.clear();
        }
        let done = open.book.undo();
        let undone = matches!(done, Ok(Some(_)));
        self.after_walk(done, "There is nothing to undo");
        if undone {
            self.did(super::Task::Undo);
        }
    }

    /// Brings it back.
    pub(super) fn redo(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let done = open.book.redo();
        self.after_walk(done, "There is nothing to redo");
    }

    /// Asks about what is unlikely; a word of the keeper's lets it through.
    pub(super) fn ask(&mut self, ui: &mut egui::Ui) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ask) = &mut open.ask else { return };
        let mut go = false;
        let mut leave = false;
        let modal = egui::Modal::new(egui::Id::unique("ask")).frame(super::dialog(ui)).show(ui.ctx(), |ui| {
            ui.set_width(560.0);
            look::subheading(ui, "Is this right as written?");
            look::faint(ui, ask.checked.sentence().to_string());
            ui.add_space(space::S);
            egui::ScrollArea::vertical().max_height(300.0).show(ui, |ui| {
                for q in ask.checked.questions() {
                    caution::banner(ui, Kind::Caution, &[q.what.why()], q.to_string());
                    ui.add_space(space::XS);
                }
            });
            ui.add_space(space::S);
            look::paragraph(ui, "If it is, say why in a word or two: it is kept beside the record.");
            let mut form = Form::new(ui, "ask").label_width(60.0);
            // A dialog is measured unseen before its first frame: ask for the keyboard until it is given.
            let mut wish = ask.fresh;
            form.focus_once(ui, &mut wish, "Why");
            ask.fresh &= !ui.memory(|m| m.has_focus(form.field_id("Why"))) || ui.is_sizing_pass();
            form.field(ui, &Field::new("Why").width(420.0).example("weighed twice"), &mut ask.word);
            go = form.finish(ui) == FormEvent::Submitted;
            ui.add_space(space::S);
            ui.horizontal(|ui| {
                ui.add_space(68.0);
                go |= look::primary(ui, "Write it all the same").clicked();
                leave |= ui.button(phrase!("Back to the form")).clicked();
            });
        });
        leave |= modal.should_close();
        if go && ask.word.trim().is_empty() {
            ask.fresh = true;
            self.say(Kind::Refuse, "A word is needed: say why it is right as written");
        } else if go {
            // What is far beyond a label is said twice: the dialog stays until it is.
            match ask.checked.clone().despite(&ask.word) {
                Ok(sure) => {
                    let then = ask.then.clone();
                    open.ask = None;
                    self.write(sure, &then);
                }
                Err(why) => {
                    ask.fresh = true;
                    self.say(Kind::Refuse, why.0);
                }
            }
        } else if leave {
            // Back to the field one came from, once the dialog no longer keeps the keyboard.
            self.refocus = open.ask.take().and_then(|a| a.before).map(|id| (id, 3));
        }
    }

    /// Gives the keyboard back some frames after a dialog.
    pub(super) fn refocus(&mut self, ctx: &egui::Context) {
        let Some((id, frames)) = &mut self.refocus else { return };
        ctx.request_repaint();
        *frames -= 1;
        if *frames == 0 {
            ctx.memory_mut(|m| m.request_focus(*id));
            self.refocus = None;
        }
    }

    fn copy_book(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        let name = open.path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let name = format!("{name} copy.hirsel");
        let job = Job::start(ctx, move |_| {
            rfd::FileDialog::new().set_title("Copy the book to").set_file_name(name).save_file()
        });
        open.chosen_file = Some((super::Chosen::Copy, job));
    }

    /// Copies the book; what stands there is replaced only if the keeper was asked.
    fn copy_to(&mut self, path: &std::path::Path, asked: bool) {
        let Stage::Open(open) = &mut self.stage else { return };
        let to =
            super::files::target(path, &open.path, "hirsel").and_then(|to| match to.exists() && !asked {
                true => Err(phrase!("{} is there already: choose another name for the copy", to.display())),
                false => Ok(to),
            });
        match to.and_then(|to| open.book.backup(&to).map(|()| to).map_err(|e| e.to_string())) {
            Ok(to) => self.say(Kind::Good, phrase!("Copied to {}", to.display())),
            Err(why) => self.say(Kind::Refuse, why),
        }
    }

    fn check_book(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        match open.book.check(&|_| {}) {
            Ok(report) => {
                let kind = if report.whole { Kind::Good } else { Kind::Refuse };
                let text = report.lines.last().cloned().unwrap_or_default();
                open.report = Some(report);
                self.say(kind, text);
            }
            Err(e) => self.failed(&e),
        }
    }

    /// Takes in what threads have answered.
    pub(super) fn poll(&mut self, ctx: &egui::Context) {
        self.poll_work(ctx);
        self.tell_of_work(); // last: it knows more of a fault than whoever waited for the work
    }

    fn poll_work(&mut self, ctx: &egui::Context) {
        self.poll_language();
        self.poll_opening();
        self.poll_tables(ctx);
        self.poll_taken();
        self.poll_paper(ctx);
        self.poll_pairs(ctx);
        self.poll_values();
        self.poll_scale(ctx);
        self.poll_roll(ctx);
        self.poll_copies();
        self.poll_places();
        self.poll_standard();
        let Stage::Open(open) = &mut self.stage else { return };
        let mut said = open.printing.poll();
        let delivered = open.laid_kind().filter(|_| matches!(said, Some(Ok(_))));
        if let Some(answer) = open.told.as_ref().and_then(Job::answer) {
            open.told = None;
            said = Some(answer.unwrap_or_else(|Died| Err(phrase!("it could not be done; please report it"))));
        }
        let chosen =
            open.chosen_file.as_ref().and_then(|(what, job)| Some((*what, job.answer()?.unwrap_or(None))));
        if let Some((what, path)) = chosen {
            open.chosen_file = None;
            match (what, path) {
                (_, None) => {
                    said = Some(Err(phrase!("no file was chosen: type a name in the field beside it")))
                }
                (super::Chosen::Copy, Some(path)) => self.copy_to(&path, true),
                (super::Chosen::Table(kind), Some(path)) => self.import(ctx, kind, Some(&path), None),
                (super::Chosen::Roll, Some(path)) => {
                    self.read_roll(ctx, super::roll::RollFrom::File(Some(path)));
                }
                (super::Chosen::Scale, Some(path)) => self.read_scale(ctx, Some(&path)),
                (super::Chosen::Standard, Some(path)) => self.import_standard(ctx, Some(&path)),
                (super::Chosen::Other, Some(path)) => self.look_at_copy(ctx, Some(&path)),
                (super::Chosen::Place, Some(path)) => self.set_place(&path.to_string_lossy(), ""),
                (super::Chosen::Save, Some(path)) => self.save_table_to(ctx, &path, true),
            }
        }
        match said {
            Some(Ok(text)) => self.say(Kind::Good, text),
            Some(Err(text)) => self.say(Kind::Refuse, text),
            None => {}
        }
        delivered.into_iter().for_each(|kind| self.did_deliver(kind));
    }
}

/// What of an entry is to be known once it is written: what stands out in full, the blanks in a word each.
fn still_open(all: &[Sure]) -> Option<String> {
    let mut told: Vec<String> = Vec::new();
    let mut blanks: Vec<&str> = Vec::new();
    for c in all.iter().flat_map(Sure::cautions) {
        match c.blank.as_deref() {
            Some(blank) if !blanks.contains(&blank) => blanks.push(blank),
            Some(_) => {}
            None => {
                let mut chars = c.words.chars();
                let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
                let words = format!("{first}{}", chars.as_str());
                if !told.contains(&words) {
                    told.push(words);
                }
            }
        }
    }
    if told.len() > 1 {
        let more = phrase!("{} more is told under Inspection", told.len() - 1);
        told.truncate(1);
        told.push(more);
    }
    if !blanks.is_empty() {
        told.push(phrase!("Still open: {}", blanks.join(", ")));
    }
    (!told.is_empty()).then(|| told.join(". "))
}

/// Sure of an entry; its first question without a word.
fn despite(checked: Checked, word: &str) -> Result<Sure, String> {
    match checked.sure() {
        Ok(sure) => Ok(sure),
        Err(checked) => {
            let asked = checked.questions().first().map(ToString::to_string).unwrap_or_default();
            // Without a word what is asked is told; with one, what the word is wanting.
            checked.despite(word).map_err(|why| if word.trim().is_empty() { asked } else { why.0 })
        }
    }
}
