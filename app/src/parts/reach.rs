//! Reach: what can be done on the page that is shown, read from the same tree of names that a screen reader is given,
//! and done through it. So every button with a name is reached by its name, and no page keeps a list of its own.

use egui::accesskit::{Action, ActionRequest, Node, NodeId, Role, TreeId, TreeUpdate};
use egui::{Context, Event, FullOutput, Plugin, RawInput};
use std::collections::HashMap;

/// What reaching a thing does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reached {
    /// Presses a button, a link, a tick.
    Press,
    /// Gives the keyboard to a field, a choice, a list.
    Enter,
    /// Sorts a list by a column.
    Sort,
    /// Gives the keyboard to a list and opens its choice of columns.
    Columns,
}

/// One thing on the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    /// Its name.
    pub name: String,
    /// Its own keys, if it has any.
    pub keys: String,
    /// What reaching it does.
    pub how: Reached,
    node: NodeId,
}

/// Reads the tree of one pass when asked to, and carries out what was chosen from it.
#[derive(Debug, Default)]
pub struct Reach {
    wanted: bool,
    /// The tree is made for us alone: no screen reader asked for it.
    ours: bool,
    heard: bool,
    found: Option<Vec<Live>>,
    send: Vec<(NodeId, Action)>,
}

impl Reach {
    /// Learns whether somebody listens to the tree anyway. Call it in every pass.
    pub fn listen(ctx: &Context) {
        drop(ctx.plugin_or_default::<Self>());
    }

    /// Reads what the next pass, or the one that is being drawn, shows.
    pub fn look(ctx: &Context) {
        let plugin = ctx.plugin_or_default::<Self>();
        let mut reach = plugin.lock();
        reach.wanted = true;
        reach.found = None;
        reach.ours = !reach.heard;
        drop(reach);
        ctx.enable_accesskit();
        ctx.request_repaint();
    }

    /// What was read, once.
    pub fn taken(ctx: &Context) -> Option<Vec<Live>> {
        ctx.plugin_or_default::<Self>().lock().found.take()
    }

    /// Does it in the next pass.
    pub fn go(ctx: &Context, live: &Live) {
        let action = match live.how {
            Reached::Enter | Reached::Columns => Action::Focus,
            Reached::Press | Reached::Sort => Action::Click,
        };
        if live.how == Reached::Columns {
            super::record_table::columns::ask(ctx);
        }
        ctx.plugin_or_default::<Self>().lock().send.push((live.node, action));
        ctx.request_repaint();
    }
}

impl Plugin for Reach {
    fn debug_name(&self) -> &'static str {
        "reach"
    }

    fn input_hook(&mut self, _ctx: &Context, input: &mut RawInput) {
        for (target_node, action) in self.send.drain(..) {
            let target_tree = TreeId::ROOT;
            let request = ActionRequest { action, target_tree, target_node, data: None };
            input.events.push(Event::AccessKitActionRequest(request));
        }
    }

    fn output_hook(&mut self, ctx: &Context, output: &mut FullOutput) {
        let tree = &mut output.platform_output.accesskit_update;
        if self.wanted
            && let Some(tree) = tree
        {
            self.wanted = false;
            self.found = Some(live(tree));
            ctx.request_repaint();
        }
        if self.ours {
            // Nobody else asked for it.
            *tree = None;
            if !self.wanted {
                self.ours = false;
                ctx.disable_accesskit();
            }
        } else {
            self.heard = tree.is_some();
        }
    }
}

/// Everything with a name that can be reached, in reading order.
fn live(tree: &TreeUpdate) -> Vec<Live> {
    let nodes: HashMap<NodeId, &Node> = tree.nodes.iter().map(|(id, node)| (*id, node)).collect();
    let mut found = Vec::new();
    let Some(root) = tree.tree.as_ref().map(|t| t.root) else { return found };
    let mut stack = vec![root];
    while let Some(id) = stack.pop() {
        let Some(node) = nodes.get(&id) else { continue };
        if !node.is_hidden() {
            let one = one(id, node, &nodes);
            // The list itself before its columns: it is what one who types its name wants.
            let columns = one.as_ref().filter(|_| node.role() == Role::Grid).map(|table| Live {
                how: Reached::Columns,
                keys: "Ctrl+L".into(),
                ..table.clone()
            });
            found.extend(one);
            found.extend(columns);
        }
        stack.extend(node.children().iter().rev());
    }
    found
}

fn one(id: NodeId, node: &Node, nodes: &HashMap<NodeId, &Node>) -> Option<Live> {
    if node.is_disabled() {
        return None;
    }
    let how = match node.role() {
        Role::Button | Role::Link | Role::CheckBox | Role::Switch | Role::Tab | Role::MenuItem => {
            Reached::Press
        }
        Role::ColumnHeader if node.supports_action(Action::Click) => Reached::Sort,
        Role::TextInput
        | Role::MultilineTextInput
        | Role::PasswordInput
        | Role::ComboBox
        | Role::RadioGroup
        | Role::Slider
        | Role::Grid => Reached::Enter,
        _ => return None,
    };
    let wanted = if how == Reached::Enter { Action::Focus } else { Action::Click };
    if !node.supports_action(wanted) {
        return None;
    }
    let of_labels = || {
        let words = |id: &NodeId| nodes.get(id).and_then(|n| n.label().or(n.value())).map(str::to_string);
        node.labelled_by().iter().filter_map(words).collect::<Vec<_>>().join(" ")
    };
    let name = node.label().map_or_else(of_labels, str::to_string);
    let keys = node.keyboard_shortcut().unwrap_or_default().to_string();
    (!name.trim().is_empty()).then_some(Live { name, keys, how, node: id })
}
