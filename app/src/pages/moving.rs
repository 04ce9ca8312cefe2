//! What the registers ask of a move or a death, as fields of a form: those that fit what happened, the rarer ones
//! when they are asked for.

use super::{Ctx, Intent};
use crate::look::Kind;
use crate::parts::{Choice, Field, Form};
use hirsel_core::entry::Checked;
use hirsel_core::flock::MoveDetails;
use hirsel_core::phrase;
use hirsel_core::rules::MarkVerdict;
use hirsel_core::terms::{Status, Words};
use serde::{Deserialize, Serialize};

/// The fields as typed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct MoveFields {
    number: String,
    address: String,
    carrier: String,
    vehicle: String,
    document: String,
    cause: String,
    disposal: String,
    receipt: String,
    more: Option<bool>,
}

impl MoveFields {
    /// Draws the fields that fit what the animals become. `wrong` gives what was refused of a field.
    pub fn view(
        &mut self,
        ui: &mut egui::Ui,
        ctx: &Ctx<'_>,
        form: &mut Form,
        to: Status,
        wrong: &dyn Fn(&'static str) -> Option<String>,
    ) {
        match to {
            Status::Dead => {
                let example = "collected, buried where allowed …";
                form.field(ui, &Field::new("Disposal").width(320.0).example(example), &mut self.disposal);
                form.field(ui, &Field::new("Receipt").width(180.0).example("its number"), &mut self.receipt);
                form.choice(ui, &Choice::new("More", &MORE), &mut self.more);
                if self.more == Some(true) {
                    let field = Field::new("Cause").width(320.0).example("as the vet found it");
                    form.field(ui, &field, &mut self.cause);
                }
            }
            Status::Sold | Status::Culled | Status::Lent | Status::Present => {
                let understood = |text: &str| match ctx.flock.rules().map(|r| r.judge_holding(text)) {
                    Some(MarkVerdict::Fits(rule)) => Ok(rule.name.clone()),
                    Some(MarkVerdict::FitsNone(why)) => Ok(format!("⚠ {why}")),
                    _ => Ok(String::new()),
                };
                let refused = wrong("number");
                let field = Field::new("Its number").width(180.0).example("holding number of that place");
                let field = field.understand(&understood).refusal(refused.as_deref());
                form.field(ui, &field, &mut self.number);
                let field = Field::new("Document").width(180.0).example("number of the movement paper");
                form.field(ui, &field, &mut self.document);
                form.choice(ui, &Choice::new("More", &MORE), &mut self.more);
                if self.more == Some(true) {
                    form.field(ui, &Field::new("Address").width(360.0), &mut self.address);
                    form.field(
                        ui,
                        &Field::new("Carrier").width(280.0).example("who drove them"),
                        &mut self.carrier,
                    );
                    form.field(
                        ui,
                        &Field::new("Vehicle").width(140.0).example("its number plate"),
                        &mut self.vehicle,
                    );
                }
            }
            Status::Missing | Status::Outside => {}
        }
    }

    /// What is typed, as far as it fits what the animals become.
    pub fn details(&self, to: Status) -> MoveDetails {
        let some = |t: &String| (!t.trim().is_empty()).then(|| Words::from(t.trim()));
        let all = match to {
            Status::Dead => MoveDetails {
                cause: some(&self.cause),
                disposal: some(&self.disposal),
                receipt: some(&self.receipt),
                ..MoveDetails::default()
            },
            Status::Missing | Status::Outside => MoveDetails::default(),
            _ => MoveDetails {
                number: some(&self.number),
                address: some(&self.address),
                carrier: some(&self.carrier),
                vehicle: some(&self.vehicle),
                document: some(&self.document),
                ..MoveDetails::default()
            },
        };
        all.tidy()
    }
}

const MORE: [(bool, &str); 2] = [(false, "no more"), (true, "more fields")];

/// What stays blank that the rules ask for, said with what was written.
pub fn to_know(checked: &Checked) -> Option<Intent> {
    if checked.cautions().is_empty() || !checked.questions().is_empty() {
        return None;
    }
    let said: Vec<&str> = checked.cautions().iter().map(|c| c.words.as_str()).collect();
    Some(Intent::Say(
        Kind::Caution,
        phrase!("{}. Written with blanks: {}", &checked.sentence(), said.join("; ")),
    ))
}
