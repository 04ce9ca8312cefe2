//! Who may carry what, why, and what a mating risks.

use super::super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, Sort, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, Picker, PickerState};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::genes::{Chance, Genes, Settings, percent};
use hirsel_core::terms::{AnimalId, PrionAllele, Sex, counted};
use serde::{Deserialize, Serialize};

/// What a lamb of two would be: the two, and a sentence for each gene.
type Risked = ((AnimalId, AnimalId), Vec<(Kind, String)>);

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    gene: String,
    share: String,
    healthy: Option<bool>,
    ewe: PickerState<AnimalId>,
    ram: PickerState<AnimalId>,
    search: String,
    #[serde(skip)]
    genes: Option<Genes>,
    #[serde(skip)]
    by: Option<(u64, u64, bool)>,
    #[serde(skip)]
    listed: Option<(String, String)>,
    #[serde(skip)]
    names: Vec<String>,
    #[serde(skip)]
    clashes: Vec<String>,
    #[serde(skip)]
    about: bool,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
    #[serde(skip)]
    risk: Option<Risked>,
}

const TABLE: &str = "Carriers";
/// What the choice of genes calls the prion protein gene.
const SCRAPIE: &str = "scrapie genotype";
const COUNTS: [(bool, &str); 2] = [(false, "unknown"), (true, "healthy")];

/// A share as typed, in percent.
fn share(text: &str) -> Result<f64, String> {
    let bare = text.trim().trim_end_matches('%').trim().replace(',', ".");
    let wrong = || phrase!("'{}' is no share: write a percentage between 0 and 100, like 5", text.trim());
    let of: f64 = bare.parse().map_err(|_| wrong())?;
    if of > 0.0 && of < 100.0 { Ok(of / 100.0) } else { Err(wrong()) }
}

impl State {
    fn settings(&self) -> Settings {
        let shipped = Settings::default();
        Settings {
            founder_share: share(&self.share).unwrap_or(shipped.founder_share),
            untested_healthy: self.healthy.unwrap_or(shipped.untested_healthy),
        }
    }

    fn make(&mut self, ctx: &Ctx<'_>) {
        let s = self.settings();
        let by = (ctx.flock.version(), s.founder_share.to_bits(), s.untested_healthy);
        if self.by != Some(by) {
            let genes = Genes::with(ctx.flock, &s);
            self.names = genes.names().map(str::to_string).collect();
            if ctx.flock.files().any(|f| genes.prion(f.animal.id).is_some()) {
                self.names.push(SCRAPIE.into());
            }
            self.genes = Some(genes);
            (self.by, self.listed, self.risk) = (Some(by), None, None);
        }
        if !self.names.contains(&self.gene) {
            self.gene = self.names.first().cloned().unwrap_or_default();
        }
        let listed = (self.gene.clone(), self.search.clone());
        if self.listed.as_ref() == Some(&listed) {
            return;
        }
        let Some(genes) = &self.genes else { return };
        let turned = self.listed.as_ref().is_none_or(|(gene, _)| *gene != self.gene);
        let scrapie = self.gene == SCRAPIE;
        if turned {
            let column = if scrapie { 3 } else { 2 };
            self.table.set_sort(Some(Sort { column, descending: true }));
        }
        let clashes = if scrapie { genes.prion_clashes() } else { genes.clashes(&self.gene) };
        self.clashes = clashes.iter().map(|c| clash(ctx, genes, &self.gene, c)).collect();
        let mut about = false;
        let rows = ctx.flock.present().filter_map(|f| {
            let (row, exact) = if scrapie {
                prion_row(genes, f)?
            } else {
                let c = genes.chance(&self.gene, f.animal.id)?;
                (row(ctx, genes, &self.gene, f, c), c.exact)
            };
            about |= !exact;
            fits(&self.search, row.plain.iter().map(String::as_str)).then_some(row)
        });
        let rows = rows.collect();
        self.list.set(rows);
        self.about = about;
        self.listed = Some(listed);
    }
}

/// Which results do not go together.
fn clash(ctx: &Ctx<'_>, genes: &Genes, gene: &str, of: &[AnimalId]) -> String {
    let each = of.iter().map(|id| {
        let why = if gene == SCRAPIE { String::new() } else { genes.why(ctx.flock, gene, *id) };
        let why = why.split([',', ';']).next().unwrap_or_default().to_string();
        if why.is_empty() { ctx.flock.tag(*id).to_string() } else { format!("{} {why}", ctx.flock.tag(*id)) }
    });
    let each: Vec<String> = each.collect();
    phrase!(
        "These results cannot all be right: {}. A test or a parent among them is wrong; until one is mended they are left out.",
        each.join(", ")
    )
}

/// A probability, `about` where it is not exact.
fn cell(share: f64, exact: bool) -> (Cell, By, String) {
    let words = percent(share);
    let words = if exact { words } else { format!("~ {words}") };
    (Cell::text(words.clone()), By::Number((share * 1e9) as i64), words)
}

fn row(ctx: &Ctx<'_>, genes: &Genes, gene: &str, f: &AnimalFile, c: Chance) -> Row<AnimalId> {
    let mut row = Row::new(f.animal.id).tag(f.animal.tag());
    for share in [c.clear, c.carrier, c.affected] {
        let (cell, by, words) = cell(share, c.exact);
        row = row.cell(cell, by, words);
    }
    let why = genes.why(ctx.flock, gene, f.animal.id);
    let said = phrase!(
        "{}, clear {}, carrier {}, affected {}, {why}",
        f.animal.title(),
        row.plain[1],
        row.plain[2],
        row.plain[3]
    );
    row.text(why).said(said)
}

fn prion_row(genes: &Genes, f: &AnimalFile) -> Option<(Row<AnimalId>, bool)> {
    let p = genes.prion(f.animal.id)?;
    let (likely, chance) = p.genotypes.first().copied()?;
    let mut row = Row::new(f.animal.id).tag(f.animal.tag()).text(likely.to_string());
    let has = |a: &str| PrionAllele::parse(a).map_or(0.0, |a| p.has(a));
    for share in [chance, has("ARR"), has("VRQ")] {
        let (cell, by, words) = cell(share, p.exact);
        row = row.cell(cell, by, words);
    }
    let tested = f
        .tests
        .iter()
        .any(|t| t.struck.is_none() && matches!(t.found, hirsel_core::flock::Tested::Scrapie(_)));
    let others: Vec<String> =
        p.genotypes.iter().skip(1).take(3).map(|(g, p)| format!("{g} {}", percent(*p))).collect();
    let why = match (tested, others.is_empty()) {
        (true, _) => phrase!("tested"),
        (false, true) => phrase!("certain by its kin"),
        (false, false) => phrase!("or {}", others.join(", ")),
    };
    let said = phrase!("{}, {likely} {}, {why}", f.animal.title(), row.plain[2]);
    Some((row.text(why).said(said), p.exact))
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    state.make(ctx);
    if state.names.is_empty() {
        *into = false;
        look::paragraph(
            ui,
            "No gene was ever tested. Write down the first test, of a recessive gene or a scrapie genotype, and everybody's chance to carry it is reckoned through the pedigree.",
        );
        return;
    }
    super::halves(ui, 0.45, state, |ui, state| left(ui, ctx, state, into), |ui, state| right(ui, state, out));
}

fn left(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, into: &mut bool) {
    let mut form = Form::new(ui, "carriers").label_width(90.0);
    form.focus_once(ui, into, "Gene");
    let names: Vec<(usize, &str)> = t.names.iter().map(String::as_str).enumerate().collect();
    let mut at = t.names.iter().position(|n| *n == t.gene);
    form.choice(ui, &Choice::names("Gene", &names), &mut at);
    let chosen = at.and_then(|at| t.names.get(at)).cloned();
    look::subheading(ui, "What a mating risks");
    let version = ctx.flock.version();
    let nobody = |t: &str| ctx.nobody(t);
    let picker = |label| Picker::new(label, version).nobody(&nobody).width(200.0);
    let (ewe, ram) = (picker("Ewe"), picker("Ram"));
    form.picker(ui, &ewe, &mut t.ewe, |x| ctx.find(x, |f| f.animal.sex == Sex::Ewe));
    form.picker(ui, &ram, &mut t.ram, |x| ctx.find(x, |f| f.animal.sex != Sex::Ewe));
    risk(ui, ctx, t);
    ui.add_space(space::S);
    let scrapie = t.gene == SCRAPIE;
    if !scrapie {
        look::subheading(ui, "What nobody tested");
        let read = |x: &str| share(x).map(|s| phrase!("{} of their genes are faulty", percent(s)));
        let shipped = format!("{}", Settings::default().founder_share * 100.0);
        let field = Field::new("Old blood").width(70.0).example(&shipped).unit("%").understand(&read);
        form.field(ui, &field, &mut t.share);
        t.healthy.get_or_insert(false);
        form.choice(ui, &Choice::new("Not tested", &COUNTS), &mut t.healthy);
    }
    form.finish(ui);
    let words = if scrapie {
        "Alleles of ancestors nobody tested are taken to be as frequent as among the tested animals."
    } else {
        "Old blood: how frequent the faulty gene is taken to be among ancestors of which nothing is known. Healthy: every animal not written as affected shows that it is not."
    };
    ui.add(egui::Label::new(egui::RichText::new(words).small().color(look::tokens(ui).faint)).wrap());
    if let Some(gene) = chosen {
        t.gene = gene;
    }
}

fn risk(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State) {
    let (Some(ewe), Some(ram)) = (t.ewe.chosen(), t.ram.chosen()) else {
        look::faint(ui, "Choose a ewe and a ram: what a lamb of the two would be stands here.");
        return;
    };
    if t.risk.as_ref().is_none_or(|(of, _)| *of != (ewe, ram)) {
        let Some(genes) = &t.genes else { return };
        let mut lines = Vec::new();
        let about = |exact: bool| if exact { "" } else { "about " };
        for r in genes.risk(ewe, ram) {
            let l = r.lamb;
            let (kind, words) = if l.affected > 0.0 {
                let words = phrase!(
                    "affected with {}{}, a carrier with {}",
                    about(l.exact),
                    percent(l.affected),
                    percent(l.carrier)
                );
                (if l.affected >= 0.1 { Kind::Refuse } else { Kind::Caution }, words)
            } else if l.carrier > 0.0 {
                (
                    Kind::Good,
                    phrase!("never affected; a carrier with {}{}", about(l.exact), percent(l.carrier)),
                )
            } else {
                (Kind::Good, phrase!("clear"))
            };
            lines.push((kind, phrase!("{}: a lamb would be {words}", r.gene)));
        }
        if let Some(p) = genes.lamb_prion(ewe, ram) {
            let each: Vec<String> =
                p.genotypes.iter().take(6).map(|(g, c)| format!("{g} {}", percent(*c))).collect();
            lines.push((
                Kind::Plain,
                phrase!("scrapie: a lamb would be {}{}", about(p.exact), each.join(", ")),
            ));
        }
        if let Some(f) = ctx.kindred.and_then(|k| k.coancestry(ewe, ram)).filter(|f| *f > 0.0) {
            lines.push((Kind::Plain, phrase!("a lamb of these two would be {} inbred", percent(f))));
        }
        t.risk = Some(((ewe, ram), lines));
    }
    for (kind, words) in t.risk.iter().flat_map(|(_, lines)| lines) {
        look::sentence(ui, *kind, words);
    }
}

fn right(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    for clash in &state.clashes {
        look::banner(ui, Kind::Refuse, "Results that do not go together", |ui| {
            ui.add(egui::Label::new(clash.as_str()).wrap());
        });
        ui.add_space(space::S);
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "tag, word of the reason", &mut no, &mut state.search);
    let scrapie = state.gene == SCRAPIE;
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "animal"));
        let heads = if scrapie {
            ["animal", "likeliest", "chance", "has_arr", "has_vrq", "why"].as_slice()
        } else {
            ["animal", "clear", "carrier", "affected", "why"].as_slice()
        };
        let name = phrase!("carriers of {}", state.gene);
        take_out(ui, &name, heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No animal of the flock fits the search.");
        return;
    }
    let columns = if scrapie {
        vec![
            Column::new("Animal", 70.0),
            Column::new("Likeliest", 90.0),
            Column::new("Chance", 78.0).right(),
            Column::new("Has ARR", 82.0).right(),
            Column::new("Has VRQ", 82.0).right(),
            Column::new("Why", 120.0).rest(),
        ]
    } else {
        vec![
            Column::new("Animal", 70.0),
            Column::new("Clear", 82.0).right(),
            Column::new("Carrier", 82.0).right(),
            Column::new("Affected", 88.0).right(),
            Column::new("Why", 120.0).rest(),
        ]
    };
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 3, 14));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                out.push(Intent::Open(id));
            }
        }
    });
    // The whole reason of the animal under the cursor: the column may be too narrow for it.
    let cursor = state.table.cursor().and_then(|id| state.list.rows.iter().find(|r| r.key == id));
    if let Some(row) = cursor.filter(|r| r.plain.last().is_some_and(|w| !w.is_empty())) {
        let why = row.plain.last().map(String::as_str).unwrap_or_default();
        look::paragraph(ui, format!("{}: {why}.", row.plain[0]));
    }
    if state.about {
        look::paragraph(
            ui,
            "~ means near it, not exact: the pedigree above these animals has too many loops to be counted through.",
        );
    }
}
