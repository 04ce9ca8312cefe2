//! Jobs of random flocks: none lost or doubled as days pass or the plan changes, and none hangs on the order in which
//! facts were written; the board followed through writes is the board made anew.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, Sure, plan_step};
use hirsel_core::flock::{Flock, Holding, Outcome};
use hirsel_core::plan::{Anchor, Whom};
use hirsel_core::reckon::due::{Board, Job, State, of_animal};
use hirsel_core::terms::{AnimalId, Born, Day};
use hirsel_tests::book::{new_book, room, today};
use hirsel_tests::maker::{Kind, Maker};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;

/// So many cases, or `PROPTEST_CASES` for a long run.
fn config(cases: u32) -> ProptestConfig {
    let given = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { given.cases } else { cases };
    ProptestConfig { cases, max_shrink_iters: 60, failure_persistence: None, ..given }
}

/// A book of random entries; half of them have a joining day set.
fn random_book(folder: &Path, maker: &mut Maker, steps: usize, with_plan: bool, set: bool) -> Book {
    let mut book = new_book(folder);
    if set {
        let held =
            Holding { joining_day: "11-05".into(), rules: "gb".into(), ..book.flock().holding().clone() };
        let sure = entry::holding(held, &book.flock()).expect("a holding").sure().expect("no question");
        book.write(sure).expect("written");
    }
    for step in 0..steps {
        let kind = match step % 4 {
            _ if book.flock().len() < 4 => Kind::Animals,
            0 => Kind::Lambings,
            1 => Kind::Ticks,
            _ => maker.kind(),
        };
        if kind == Kind::Holding || (kind == Kind::Plan && !with_plan) {
            continue;
        }
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        book.write(sure).expect("written");
    }
    book
}

fn ids(flock: &Flock) -> Vec<AnimalId> {
    let mut all: Vec<AnimalId> = flock.files().map(|f| f.animal.id).collect();
    all.sort_unstable();
    all
}

/// Which job it is.
type Key = (AnimalId, String, Day, u16);

fn key(j: &Job) -> Key {
    (j.animal, j.step.key.clone(), j.anchor.day, j.round)
}

fn by_key(flock: &Flock, id: AnimalId, day: Day) -> Result<BTreeMap<Key, Job>, String> {
    let mut all = BTreeMap::new();
    for j in of_animal(flock, id, day) {
        if let Some(twice) = all.insert(key(&j), j) {
            return Err(format!("{} {} stands twice on {day}", flock.tag(id), twice.step.key));
        }
    }
    Ok(all)
}

fn rank(s: &State) -> u8 {
    match s {
        State::Early => 0,
        State::Due => 1,
        State::Overdue => 2,
        State::Missed => 3,
        State::Done(_) => 4,
        State::Skipped { .. } => 5,
    }
}

/// Jobs as days pass with nothing written: every one stays, and only moves on.
fn days_pass(flock: &Flock, gaps: &[i64]) -> Result<usize, String> {
    let mut jobs = 0;
    for id in ids(flock) {
        let mut day = today();
        let mut before = by_key(flock, id, day)?;
        for gap in gaps {
            day = day.plus(*gap);
            let now = by_key(flock, id, day)?;
            for (k, old) in &before {
                // Joining seasons of which no joining is in the book are looked back on for a year.
                if old.step.anchor == Anchor::Season && k.2.year() < day.year() - 1 {
                    continue;
                }
                let of = format!("{} of {} on {day}", k.1, flock.tag(id));
                let new = now.get(k).ok_or_else(|| format!("{of} is lost: {:?}", old.state))?;
                let (was, is) = (rank(&old.state), rank(&new.state));
                if is < was || (was < 3 && is > 3) || (was >= 3 && old.state != new.state) {
                    return Err(format!("{of} went from {:?} to {:?}", old.state, new.state));
                }
                if (old.due, old.earliest, old.late, old.close)
                    != (new.due, new.earliest, new.late, new.close)
                {
                    return Err(format!("{of} moved"));
                }
            }
            jobs += now.len();
            before = now;
        }
    }
    Ok(jobs)
}

/// One job for every step that is for all lambs, whatever else is written: none is lost, and each is in one state.
fn every_step_has_its_job(flock: &Flock, day: Day) -> Result<(), String> {
    for id in ids(flock) {
        let Some(f) = flock.file(id) else { continue };
        let all = by_key(flock, id, day)?;
        let here = f.animal.status.is_here();
        if let (Born::On(born), true) = (f.animal.born, here) {
            for step in flock.plan().steps(born.year()) {
                let plain = step.whom == Whom::Lamb && step.anchor == Anchor::Birth && step.when.is_empty();
                if plain && !step.off && step.repeat.is_none() {
                    let there = all.keys().filter(|k| k.1 == step.key && k.2 == born && k.3 == 0).count();
                    if there != 1 {
                        return Err(format!("{} has {there} jobs '{}'", flock.tag(id), step.key));
                    }
                }
            }
        }
        for t in f.ticks_standing() {
            let same = |j: &&Job| {
                j.step.key == t.step && j.round == t.round && j.anchor.day.since(t.anchor).abs() <= 100
            };
            let last = f.ticks_standing().filter(|o| (&o.step, o.round) == (&t.step, t.round)).count() == 1;
            for j in all.values().filter(same).filter(|_| last) {
                let fits = match t.outcome {
                    Outcome::Done => matches!(j.state, State::Done(_)),
                    Outcome::Skipped => matches!(j.state, State::Done(_) | State::Skipped { .. }),
                    Outcome::PutOff(_) => !matches!(j.state, State::Skipped { .. }),
                };
                if !fits {
                    return Err(format!("{} ticked {:?} is {:?}", t.step, t.outcome, j.state));
                }
            }
        }
        // What left has nothing open.
        if !here && all.values().any(|j| j.state.is_open()) && f.animal.status.words() != "lent" {
            return Err(format!("{} has left and has open jobs", flock.tag(id)));
        }
    }
    Ok(())
}

fn sorted(jobs: impl IntoIterator<Item = Job>) -> Vec<Job> {
    let mut all: Vec<Job> = jobs.into_iter().collect();
    all.sort_by_key(|j| (j.place, j.round, j.anchor));
    all
}

/// The board against the whole lists of every animal.
fn board_is_right(board: &Board, flock: &Flock) -> Result<(), String> {
    for f in flock.files() {
        let id = f.animal.id;
        let here = f.animal.status == hirsel_core::terms::Status::Present;
        let open = of_animal(flock, id, board.day()).into_iter().filter(|j| here && j.state.is_open());
        let (open, held) = (sorted(open), sorted(board.of(id).to_vec()));
        if open != held {
            let keys = |all: &[Job]| all.iter().map(|j| format!("{:?}", (key(j), j))).collect::<Vec<_>>();
            let (a, b) = (keys(&open), keys(&held));
            let lost: Vec<_> = a.iter().filter(|k| !b.contains(k)).collect();
            let come: Vec<_> = b.iter().filter(|k| !a.contains(k)).collect();
            return Err(format!(
                "{}: only on the leaf {lost:#?}, only on the board {come:#?}",
                flock.tag(id)
            ));
        }
    }
    Ok(())
}

fn same_boards(followed: &Board, flock: &Flock) -> Result<(), String> {
    let new = Board::new(flock, followed.day());
    for id in ids(flock) {
        if sorted(new.of(id).to_vec()) != sorted(followed.of(id).to_vec()) {
            let keys =
                |b: &Board| b.of(id).iter().map(|j| format!("{:?}", (key(j), &j.state))).collect::<Vec<_>>();
            return Err(format!("{}: anew {:#?}\nfollowed {:#?}", flock.tag(id), keys(&new), keys(followed)));
        }
    }
    let line = |b: &Board| b.within(flock, 9999).into_iter().map(key).collect::<Vec<_>>();
    if line(&new) != line(followed) {
        return Err("the lists of the two boards differ".into());
    }
    if followed.version() != flock.version() {
        return Err("the version did not follow".into());
    }
    Ok(())
}

/// The board through writes, undone and redone ones.
fn follow(seed: u64, steps: usize, set: bool) -> Result<(), String> {
    let room = room();
    let mut maker = Maker::new(seed, today());
    let mut book = random_book(room.path(), &mut maker, 20, true, set);
    let mut board = Board::new(&book.flock(), today());
    for step in 0..steps {
        let kind = maker.kind();
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        let written = book.write(sure).map_err(|e| e.to_string())?;
        board.follow(&written.flock, &written.touched);
        same_boards(&board, &written.flock).map_err(|e| format!("{kind:?}: {e}"))?;
        if step % 3 == 0 {
            // A run over midnight cannot undo: nothing is followed then.
            let Ok(Some(undone)) = book.undo() else { continue };
            board.follow(&undone.flock, &undone.touched);
            same_boards(&board, &undone.flock).map_err(|e| format!("{kind:?} undone: {e}"))?;
        }
    }
    board_is_right(&board, &book.flock())
}

proptest! {
    #![proptest_config(config(40))]

    #[test]
    fn no_job_is_lost_or_doubled_and_states_only_move_on(
        seed in any::<u64>(), steps in 8usize..50, set in any::<bool>(), gaps in prop::collection::vec(0i64..90, 1..6),
    ) {
        let room = room();
        let book = random_book(room.path(), &mut Maker::new(seed, today()), steps, true, set);
        let flock = book.flock();
        days_pass(&flock, &gaps).map_err(TestCaseError::fail)?;
        every_step_has_its_job(&flock, today()).map_err(TestCaseError::fail)?;
        for ahead in [0, 60] {
            board_is_right(&Board::new(&flock, today().plus(ahead)), &flock).map_err(TestCaseError::fail)?;
        }
    }
}

proptest! {
    #![proptest_config(config(24))]

    #[test]
    fn the_board_followed_is_the_board_anew(seed in any::<u64>(), set in any::<bool>()) {
        follow(seed, 14, set).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn a_plan_change_leaves_done_jobs_done(seed in any::<u64>(), set in any::<bool>()) {
        let room = room();
        let mut maker = Maker::new(seed, today());
        let mut book = random_book(room.path(), &mut maker, 50, false, set);
        let before = book.flock();
        let step = maker.step(&before);
        // Of the step itself the ticks stand in any case; what a record completed may be asked for otherwise now.
        let season = if seed % 2 == 0 { None } else { Some(today().year()) };
        let Ok(checked) = plan_step(season, step.clone(), &before) else { return Ok(()) };
        book.write(checked.sure().expect("no question")).expect("written");
        let after = book.flock();
        for id in ids(&before) {
            let now = by_key(&after, id, today()).map_err(TestCaseError::fail)?;
            for (k, old) in by_key(&before, id, today()).map_err(TestCaseError::fail)? {
                let of = format!("{} of {} after the change of {}: {:?}", k.1, before.tag(id), step.key, old.state);
                let kept = now.get(&k).map(|j| &j.state);
                // The last tick is the keeper's word: one left out after it was done is left out.
                let ticked = before.file(id).is_some_and(|f| {
                    let mut of = f.ticks_standing().filter(|t| t.step == k.1 && t.round == k.3);
                    of.next_back().is_some_and(|t| t.outcome == Outcome::Done)
                });
                match &old.state {
                    State::Done(_) if k.1 != step.key => prop_assert_eq!(kept, Some(&old.state), "{}", of),
                    State::Done(_) if ticked => prop_assert!(matches!(kept, Some(State::Done(_))), "{}", of),
                    State::Skipped { .. } if k.1 != step.key => prop_assert_eq!(kept, Some(&old.state), "{}", of),
                    State::Done(_) | State::Skipped { .. } => {}
                    _ if k.1 != step.key => prop_assert_eq!(kept, Some(&old.state), "{}", of),
                    _ => {}
                }
            }
        }
    }

    #[test]
    fn the_order_of_entries_does_not_matter(seed in any::<u64>(), turn in 1usize..12) {
        const KINDS: [Kind; 9] = [
            Kind::Joinings, Kind::Weighings, Kind::Treatments, Kind::PenMoves, Kind::Remarks, Kind::Ticks,
            Kind::Ticks, Kind::Weighings, Kind::Treatments,
        ];
        let room = room();
        let mut maker = Maker::new(seed, today());
        let book = random_book(room.path(), &mut maker, 24, true, seed % 2 == 0);
        let base = book.flock();
        let all: Vec<Sure> = KINDS.iter().filter_map(|k| maker.make(*k, &base)).collect();
        let path = book.path().to_path_buf();
        book.close().expect("closed");
        let written = |name: &str, order: &[Sure]| {
            let copy = room.path().join(name);
            std::fs::copy(&path, &copy).expect("copied");
            let mut book = Book::open_plain(&copy).expect("a book");
            for sure in order {
                book.write(sure.clone()).expect("written");
            }
            book.flock()
        };
        let mut turned = all.clone();
        turned.rotate_left(turn % all.len().max(1));
        turned.reverse();
        let (one, other) = (written("one.hirsel", &all), written("other.hirsel", &turned));
        for id in ids(&one) {
            prop_assert_eq!(sorted(of_animal(&one, id, today())), sorted(of_animal(&other, id, today())));
        }
    }
}

/// The random flocks hold jobs of every state, or the tests above say little.
#[test]
fn random_flocks_have_jobs_of_every_state() {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in 0..12 {
        let room = room();
        let book = random_book(room.path(), &mut Maker::new(seed, today()), 50, true, seed % 2 == 0);
        let flock = book.flock();
        let all = ids(&flock).into_iter().flat_map(|id| of_animal(&flock, id, today()));
        all.for_each(|j| *seen.entry(j.state.words()).or_default() += 1);
    }
    for state in ["early", "due", "overdue", "missed", "done", "skipped"] {
        assert!(seen.get(state).is_some_and(|n| *n > 5), "{state}: {seen:?}");
    }
}
