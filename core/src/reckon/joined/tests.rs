use super::*;
use crate::papers::fixture::{animal, day};
use crate::terms::{MarkId, MarkKind, Sex};

fn joining(ewe: &mut AnimalFile, ram: AnimalId, from: &str, to: Option<&str>, group: Option<&str>) {
    ewe.joinings.push(Joining {
        id: JoiningId::new(),
        ewe: ewe.animal.id,
        ram,
        from: day(from),
        to: to.map(day),
        method: None,
        group: group.map(Into::into),
        struck: None,
    });
}

fn mark(ewe: &mut AnimalFile, ram: AnimalId, on: &str) {
    ewe.marks.push(MatingMark {
        id: MarkId::new(),
        ewe: ewe.animal.id,
        ram: Some(ram),
        on: day(on),
        kind: MarkKind::Crayon,
        colour: None,
        note: None,
        struck: None,
    });
}

#[test]
fn groups_by_name_or_ram_and_season() {
    let (r7, r9) = (animal("R7", "", Sex::Ram), animal("R9", "", Sex::Ram));
    let (a, b) = (r7.animal.id, r9.animal.id);
    let (mut one, mut two, mut three) =
        (animal("0412", "", Sex::Ewe), animal("0417", "", Sex::Ewe), animal("0433", "", Sex::Ewe));
    for e in [&mut one, &mut two] {
        joining(e, a, "2025-10-25", Some("2025-11-30"), Some("Bottom field"));
    }
    // A second ram over the first, and the name typed in other case.
    joining(&mut two, b, "2025-11-20", Some("2025-12-20"), Some("bottom field"));
    joining(&mut three, a, "2026-11-01", None, None);
    mark(&mut one, a, "2025-10-28");
    mark(&mut two, a, "2025-10-30");
    mark(&mut two, a, "2025-11-16");
    // Long after the ram went: no mark of this group.
    mark(&mut three, a, "2026-10-01");
    let mut flock = Flock::default();
    let ids = [one.animal.id, two.animal.id, three.animal.id];
    for f in [r7, r9, one, two, three] {
        flock.put(f);
    }
    let all = groups(&flock);
    assert_eq!(all.len(), 2);
    assert_eq!((all[0].season, all[0].name.clone(), all[0].runs()), (2027, None, true));
    assert_eq!((all[0].ewes.clone(), all[0].marked.len()), (vec![ids[2]], 0));
    let g = &all[1];
    assert_eq!(g.title(&flock), "Bottom field");
    assert_eq!((g.rams.clone(), g.ewes.clone()), (vec![a, b], vec![ids[0], ids[1]]));
    assert_eq!((g.from, g.to), (day("2025-10-25"), Some(day("2025-12-20"))));
    assert_eq!((g.marked.len(), g.back.clone()), (2, vec![ids[1]]));
    assert_eq!(
        g.both[0].words(&flock),
        "R7 and R9 are both with 0417 from 20 Nov 2025 to 30 Nov 2025: lambs born between 13 Apr 2026 and 1 May 2026 have two possible sires"
    );
    let over = overlaps(&flock, b, &[ids[2]], day("2026-11-20"), None);
    assert_eq!((over[0].rams, over[0].from, over[0].to), ([a, b], day("2026-11-20"), None));
    assert!(overlaps(&flock, b, &[ids[0]], day("2025-12-01"), None).is_empty());
}

#[test]
fn lines_of_the_due_list_say_how_long() {
    let ram = animal("R7", "", Sex::Ram);
    let mut ewe = animal("0412", "", Sex::Ewe);
    joining(&mut ewe, ram.animal.id, "2025-11-01", Some("2025-11-05"), None);
    let mut flock = Flock::default();
    flock.put(ram);
    flock.put(ewe);
    let said = |on: &str| due_lines(&flock, day(on)).first().map(|l| l.when(day(on)));
    assert_eq!(said("2026-03-20").as_deref(), Some("from 25 Mar, in 5 days"));
    assert_eq!(said("2026-03-30").as_deref(), Some("any day now"));
    assert_eq!(said("2026-04-07").as_deref(), Some("1 day past her last day"));
}

#[test]
fn shares_as_keepers_read_them() {
    for (share, said) in [(0.0, "0.0 %"), (0.0625, "6.3 %"), (0.125, "12.5 %"), (0.03125, "3.1 %")] {
        assert_eq!(percent(share), said);
    }
}
