//! A small invented flock for the papers' tests.

use crate::flock::*;
use crate::terms::*;

pub fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

pub fn mark(kind: IdentityKind, tag: &str) -> Identity {
    Identity { id: IdentityId::new(), kind, tag: Tag::parse(tag).unwrap(), from: None, to: None, ended: None }
}

pub fn animal(tag: &str, name: &str, sex: Sex) -> AnimalFile {
    let animal = Animal {
        id: AnimalId::new(),
        identities: [mark(IdentityKind::Flock, tag)].into(),
        name: (!name.is_empty()).then(|| name.into()),
        sex,
        breed: None,
        born: Born::Unknown,
        dam: None,
        sire: Sire::Unknown,
        genetic_dam: None,
        rearing: Rearing::Dam,
        birth_type: None,
        rear_type: None,
        birth_weight: None,
        prefix: None,
        section: None,
        colour: None,
        marks: None,
        pen: None,
        note: None,
        status: Status::Present,
        status_on: None,
        status_reason: None,
        meant_for: Default::default(),
    };
    AnimalFile::of(animal)
}

pub fn treatment(
    animal: AnimalId,
    product: &str,
    at: Moment,
    meat: Withdrawal,
    milk: Withdrawal,
) -> Treatment {
    Treatment {
        id: TreatmentId::new(),
        animal,
        at,
        product: product.into(),
        batch: Some("B-2207".into()),
        dose: Dose::from_ml(2.5),
        route: Some(Route::Intramuscular),
        site: Some("neck, left".into()),
        reason: Some("joint ill".into()),
        given_by: Some("Eirlys Pugh".into()),
        prescribed_by: Some("Vet Órla Ní Bhriain".into()),
        meat,
        milk,
        struck: None,
        more: Default::default(),
    }
}

/// A ewe's lambing with her lambs: (tag, sex, grams).
pub fn lambs(
    ewe: &mut AnimalFile,
    ram: Option<AnimalId>,
    at: Moment,
    born: &[(&str, Sex, i64)],
) -> Vec<AnimalFile> {
    let lambing = LambingId::new();
    let files: Vec<AnimalFile> = born
        .iter()
        .enumerate()
        .map(|(i, (tag, sex, grams))| {
            let mut file = animal(tag, "", *sex);
            let lamb = &mut file.animal;
            lamb.born = Born::On(at.day);
            lamb.dam = Some(ewe.animal.id);
            lamb.sire = ram.map_or(Sire::Unknown, Sire::Known);
            lamb.birth_weight = Weight::from_grams(*grams);
            lamb.pen = ewe.animal.pen.clone();
            file.birth = Some(Birth {
                lambing,
                ewe: ewe.animal.id,
                order: i as u8 + 1,
                fate: Fate::Alive,
                ease: None,
                sucked: None,
                navel_dipped: None,
                colostrum: None,
            });
            file
        })
        .collect();
    ewe.lambings.push(Lambing {
        id: lambing,
        ewe: ewe.animal.id,
        at,
        ram,
        ease: Some(Ease::Slight),
        help: Some("one leg back, put right".into()),
        note: None,
        lambs: files.iter().map(|f| f.animal.id).collect(),
        struck: None,
    });
    ewe.offspring.extend(files.iter().map(|f| f.animal.id));
    files
}

/// Everything the cards can show: twins, triplets (one fostered, one on the bottle), a lamb of which nothing is
/// known, long names and accents. Returns the flock, the ewes and the lambs.
pub fn lambing_shed() -> (Flock, Vec<AnimalId>, Vec<AnimalId>) {
    let born = Moment { day: day("2026-04-14"), time: Minute::new(5, 20) };
    let mut ram = animal("R17", "Thornfell Duke", Sex::Ram);
    ram.animal.born = Born::Year(2022);
    let mut bramble = animal("0231", "Bramble", Sex::Ewe);
    bramble.animal.pen = Some("7".into());
    bramble.animal.born = Born::On(day("2021-04-02"));
    let mut past = Vec::new();
    for (year, litter) in [("2023-04-06", 1), ("2024-04-11", 2), ("2025-04-09", 2)] {
        let names = [format!("{}1", &year[2..4]), format!("{}2", &year[2..4])];
        let born: Vec<(&str, Sex, i64)> =
            names.iter().take(litter).map(|n| (n.as_str(), Sex::Ewe, 4_400)).collect();
        past.extend(lambs(&mut bramble, Some(ram.animal.id), Moment::day(day(year)), &born));
    }
    past[1].animal.status = Status::Dead;
    past[1].animal.status_on = Some(day("2024-04-20"));
    let mut twins = lambs(
        &mut bramble,
        Some(ram.animal.id),
        born,
        &[("0412", Sex::Ewe, 4_600), ("0413", Sex::Ram, 5_150)],
    );
    twins[0].animal.colour = Some("blue, near shoulder".into());
    twins[0].animal.identities.push(mark(IdentityKind::Electronic, "826012345600412"));
    if let Some(birth) = &mut twins[0].birth {
        birth.navel_dipped = Some(true);
        birth.sucked = Some(true);
        birth.colostrum = Dose::from_ml(200.0);
    }
    let ram_lamb = twins[1].animal.id;
    twins[1].treatments.push(treatment(
        ram_lamb,
        "long-acting oxytetracycline 200 mg/ml",
        Moment::day(day("2026-04-15")),
        Withdrawal::Days(28),
        Withdrawal::Unknown,
    ));
    twins[1].animal.note = Some("weak at first, keep an eye".into());

    let mut seren = animal("UK 0123456 00118", "Seren Ŵyn o'r Mynydd Mawr", Sex::Ewe);
    seren.animal.pen = Some("Lower byre, end by the door".into());
    seren.animal.born = Born::About(day("2020-03-20"));
    let ewe = seren.animal.id;
    seren.treatments.push(treatment(
        ewe,
        "Udder tube dry cow intramammary suspension with a very long name",
        Moment { day: day("2026-04-13"), time: Minute::new(18, 40) },
        Withdrawal::Days(35),
        Withdrawal::Hours(156),
    ));
    let late = Moment { day: day("2026-04-14"), time: Minute::new(23, 10) };
    let mut triplets = lambs(
        &mut seren,
        None,
        late,
        &[
            ("UK 0123456 00414", Sex::Ewe, 3_250),
            ("UK 0123456 00415", Sex::Ram, 3_900),
            ("UK 0123456 00416", Sex::Wether, 2_980),
        ],
    );
    triplets[0].animal.name = Some("Gwenllian fach y Bwthyn Uchaf".into());
    triplets[0].animal.sire = Sire::OneOf(vec![ram.animal.id, AnimalId::new()]);
    triplets[0].animal.colour =
        Some("brown face, white blaze, two stripes of red spray behind the off shoulder".into());
    triplets[1].animal.rearing = Rearing::Foster(bramble.animal.id);
    triplets[2].animal.rearing = Rearing::Bottle;

    let mut heather = animal("88", "", Sex::Ewe);
    heather.animal.pen = Some("3".into());
    let mut dead = lambs(&mut heather, None, Moment::day(day("2026-04-12")), &[("88a", Sex::Ram, 5_000)]);
    if let Some(birth) = &mut dead[0].birth {
        birth.fate = Fate::BornDead;
    }
    dead[0].animal.status = Status::Dead;

    let blank = animal("Z9", "", Sex::Ram);
    let ewes = [&bramble, &seren, &heather].map(|f| f.animal.id).to_vec();
    let cards = twins.iter().chain(&triplets).chain([&blank]).map(|f| f.animal.id).collect();
    let mut flock = Flock::default();
    for file in
        [ram, bramble, seren, heather, blank].into_iter().chain(past).chain(twins).chain(triplets).chain(dead)
    {
        flock.put(file);
    }
    flock.set_holding(Holding {
        flock: "Thornfell Heritage".into(),
        keeper: "Eirlys Pugh".into(),
        number: "55/123/4567".into(),
        address: "Tŷ Uchaf, Cwm Du".into(),
        ..Holding::default()
    });
    (flock, ewes, cards)
}

/// Two groups: 40 ewes with R17, half sibs of his among them, and 3 with R17 and R9 in turn.
pub fn joined(today: Day) -> (Flock, Vec<String>) {
    let mut duke = animal("R17", "Thornfell Duke", Sex::Ram);
    let old = animal("R3", "Old Sorrel", Sex::Ram);
    duke.animal.sire = Sire::Known(old.animal.id);
    duke.crayons.push(Crayon {
        id: CrayonId::new(),
        ram: duke.animal.id,
        on: today.plus(-12),
        colour: "yellow".into(),
        struck: None,
    });
    let nine = animal("R9", "", Sex::Ram);
    let mut flock = Flock::default();
    let mut tags = Vec::new();
    for i in 0..43u32 {
        let tag = format!("{:04}", 400 + i);
        let mut ewe = animal(&tag, if i % 3 == 0 { "Gwenllian fach y Bwthyn" } else { "Bramble" }, Sex::Ewe);
        ewe.animal.born = Born::On(day("2022-04-02"));
        if i % 4 == 0 {
            ewe.animal.sire = Sire::Known(old.animal.id);
        }
        if i % 5 == 0 {
            ewe.animal.pen = Some("Top shed".into());
        }
        let mut join = |ram: AnimalId, from: i64, to: Option<i64>, group: &str| {
            ewe.joinings.push(Joining {
                id: JoiningId::new(),
                ewe: ewe.animal.id,
                ram,
                from: today.plus(from),
                to: to.map(|t| today.plus(t)),
                method: None,
                group: Some(group.into()),
                struck: None,
            });
        };
        if i < 40 {
            join(duke.animal.id, -20, None, "Bottom field");
        } else {
            join(duke.animal.id, -40, Some(-15), "Bank");
            join(nine.animal.id, -18, None, "Bank");
        }
        if i % 2 == 0 {
            ewe.marks.push(MatingMark {
                id: MarkId::new(),
                ewe: ewe.animal.id,
                ram: None,
                on: today.plus(-9),
                kind: MarkKind::Crayon,
                colour: Some("yellow".into()),
                note: None,
                struck: None,
            });
        }
        flock.put(ewe);
        tags.push(tag);
    }
    for f in [duke, old, nine] {
        flock.put(f);
    }
    flock.set_holding(Holding { flock: "Thornfell Heritage".into(), ..Holding::default() });
    (flock, tags)
}
