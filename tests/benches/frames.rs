//! One frame of each page over a large flock, against the bound of the design: 2 ms of CPU, median, at 100,000
//! animals. Accessibility is on, as it is for a screen reader; nothing is painted by a card.

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, Event, Key, Modifiers, RawInput};
use hirsel_app::desk::{Desk, kept::Kept};
use made::{book, copy, today, unless_tried};

/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

struct Window {
    ctx: Context,
    desk: Desk,
}

impl Window {
    fn frame(&mut self, events: Vec<Event>) {
        let input = RawInput {
            screen_rect: Some(egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1240.0, 800.0))),
            events,
            focused: true,
            ..RawInput::default()
        };
        let out = self.ctx.run_ui(input, |ui| self.desk.view(ui));
        out.drop_without_applying_deltas();
    }

    fn key(&mut self, key: Key, modifiers: Modifiers) {
        let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
        self.frame(vec![event(true)]);
        self.frame(vec![event(false)]);
    }

    fn text(&mut self, text: &str) {
        self.frame(vec![Event::Text(text.into())]);
        self.frame(Vec::new());
    }

    /// Lets what a page makes once for a version of the flock be made, and threads end.
    fn settle(&mut self) {
        for _ in 0..20 {
            self.frame(Vec::new());
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
    }
}

fn frames(c: &mut Criterion) {
    let path = book(unless_tried(LARGE));
    let kept = std::env::temp_dir().join("hirsel-bench-frames");
    let desk = Desk::with_book(Kept::at(&kept), copy(&path), today());
    let ctx = Context::default();
    ctx.enable_accesskit();
    hirsel_app::look::apply(&ctx);
    let mut w = Window { ctx, desk };
    let animals = w.desk.flock().map_or(0, |f| f.len());
    eprintln!("{animals} animals");
    let pages = [
        ("Tonight", Key::Num1),
        ("Flock", Key::Num3),
        ("Timeline", Key::Num4),
        ("Lambing", Key::Num5),
        ("the pen map", Key::M),
        ("Treatments", Key::Num6),
        ("Weights", Key::Num7),
        ("Papers", Key::Num8),
        ("The book", Key::Num0),
    ];
    for (name, key) in pages {
        let start = std::time::Instant::now();
        w.key(key, Modifiers::COMMAND);
        eprintln!("{name}: shown for the first time in {} ms", start.elapsed().as_millis());
        w.settle();
        c.bench_function(&format!("a frame of {name}"), |b| b.iter(|| w.frame(Vec::new())));
    }
    w.key(Key::Num3, Modifiers::COMMAND);
    w.settle();
    w.key(Key::Enter, Modifiers::COMMAND); // from the search into the list
    c.bench_function("a frame of Flock, walking down", |b| {
        b.iter(|| w.key(Key::ArrowDown, Modifiers::NONE));
    });
    w.key(Key::F, Modifiers::COMMAND);
    w.text("12");
    w.key(Key::Enter, Modifiers::NONE);
    w.settle();
    c.bench_function("a frame of a leaf", |b| b.iter(|| w.frame(Vec::new())));
    w.key(Key::Num4, Modifiers::COMMAND);
    w.settle();
    timeline(c, &mut w);
    let _ = std::fs::remove_dir_all(&kept);
}

/// The timeline over all animals: rows drawn for the first time, days moved, and as far out as it goes.
fn timeline(c: &mut Criterion, w: &mut Window) {
    c.bench_function("a frame of Timeline, walking down a page", |b| {
        b.iter(|| w.key(Key::PageDown, Modifiers::NONE));
    });
    c.bench_function("a frame of Timeline, days moving", |b| {
        b.iter(|| {
            w.key(Key::ArrowLeft, Modifiers::NONE);
            w.key(Key::ArrowRight, Modifiers::NONE);
        });
    });
    for _ in 0..10 {
        w.key(Key::Minus, Modifiers::NONE);
    }
    c.bench_function("a frame of Timeline, ten years", |b| b.iter(|| w.frame(Vec::new())));
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(60);
    targets = frames
}
criterion_main!(benches);
