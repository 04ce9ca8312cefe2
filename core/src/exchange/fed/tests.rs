//! The feed room's tables through a real book.

use super::super::common::*;
use super::super::*;
use crate::terms::*;

const FEEDS: &str = "name,kind,bag_kg,price,protein_percent_dm,dry_matter_percent,parts
Barley,grain,25,7.25,11,86,
Field beans,protein,,,28,,
Creep 16,mix,,,,,Barley 66.7; field beans 33.3
";

fn fed() -> Desk {
    let mut desk = small();
    assert_eq!(desk.took(Kind::Feeds, FEEDS), [""; 0]);
    desk
}

#[test]
fn a_feed_room_comes_in_and_goes_out() {
    let mut desk = fed();
    let measures =
        "feed,name,on,weighed_kg\nBarley,Scoop,2026-03-01,0.5; 0,52 ;0.48\nBarley,scoop,2026-03-01,0.6\n";
    let measures = measures.replace("0,52", "0.52");
    assert_eq!(desk.took(Kind::Measures, &measures), [""; 0]);
    assert_eq!(desk.took(Kind::Creeps, "pen,from,feed,holds_kg\nYard,2026-03-20,creep 16,20\n"), [""; 0]);
    let rations = "eaters,feed,from,each_kg,pen,measure\nnursing two,barley,2026-03-20,0.9,,scoop 2026-03-01\n\
        dry ewes,barley,2026-03-20,0.2,Yard,scoop 2026-03-01 2\n";
    assert_eq!(desk.took(Kind::Rations, rations), [""; 0]);
    let moves = "feed,on,change,amount_kg,pen,level,batch,price,took\n\
        Barley,2026-03-10,delivered,500,,,B1,145,\n\
        Creep 16,2026-03-21,mixed,30,,,,,\n\
        Creep 16,2026-03-22,mixed,30,,,,,Barley 19; Field beans 11\n\
        Creep 16,2026-03-23,fed,8,Yard,25,,,\n\
        Creep 16,2026-03-24,fed,,yard,half,,,\n";
    assert_eq!(desk.took(Kind::FeedMoves, moves), [""; 0]);
    let sheets = "feed,on,lab,copper_mg_per_kg_dm\nBarley,2026-03-11,Hillside,4.5\n";
    assert_eq!(desk.took(Kind::FeedSheets, sheets), [""; 0]);
    assert_eq!(desk.took(Kind::PenChecks, "pen,on,what,fault\nYard,2026-03-24,lamp,cable bitten\n"), [""; 0]);
    let flock = desk.flock();
    let room = flock.feedroom();
    let taken: Vec<u64> =
        room.moves[1].parts.iter().chain(&room.moves[2].parts).map(|p| p.1.grams()).collect();
    assert_eq!(taken, [20_010, 9_990, 19_000, 11_000]);
    assert_eq!(room.rations[1].measure, Some(room.measures[1].id));
    assert!(export(Kind::Feeds, &flock).contains("\"Barley 66.7; Field beans 33.3\""));

    let copy = copied(&flock);
    assert_eq!(portrait(&copy.flock()), portrait(&flock));
    assert_eq!(exported(&copy.flock()), exported(&flock));
    // The same files again write nothing; of two equal rows each stands for one of the book.
    for kind in Kind::ALL.into_iter().skip_while(|k| *k != Kind::Feeds) {
        let text = export(kind, &flock);
        let again = read(kind, "x", text.as_bytes(), &flock, day(TODAY)).unwrap();
        assert!(again.is_empty(), "{}", kind.word());
    }
    let twice = "feed,on,change,amount_kg,batch,price\nBarley,2026-03-10,delivered,500,B1,145\n\
        Barley,2026-03-10,delivered,500,B1,145\n";
    assert_eq!(
        desk.took(Kind::FeedMoves, twice),
        [
            "line 3, column amount_kg: value '500': 500 kg of Barley came on 10 Mar 2026 already: is this another delivery?"
        ]
    );
}

#[test]
fn a_list_without_a_column_takes_nothing_away() {
    let mut desk = fed();
    desk.took(Kind::Feeds, "name,kind,price\nbarley,grain,8.10\n");
    desk.took(Kind::Creeps, "pen,from,feed,holds_kg\nYard,2026-03-20,Creep 16,20\n");
    desk.took(Kind::Creeps, "pen,from,to\nYARD,2026-03-20,2026-05-01\n");
    let flock = desk.flock();
    let barley = flock.feedroom().by_name("Barley").unwrap();
    assert_eq!((barley.bag.map(Mass::grams), barley.price.map(Price::cents)), (Some(25_000), Some(810)));
    assert_eq!(barley.own.get(Nutrient::Protein), Some(11.0));
    let [creep] = flock.feedroom().creeps.as_slice() else { panic!("one creep") };
    assert_eq!((creep.to, creep.holds.map(Mass::grams)), (Some(day("2026-05-01")), Some(20_000)));
}

#[test]
fn what_cannot_be_is_said_at_its_place() {
    let mut desk = fed();
    let wrong = "name,kind,protein_percent_dm,parts,medicine,per_kg,bag_kg\n\
        Hay,grass,,,,,\n\
        Meal,protein,140,,,,\n\
        Mix,mix,,Barley,,,\n\
        Mix 2,mix,,Barley 50; Straw 50,,,\n\
        Pellets,compound,,,Wormex,,\n\
        Nuts,compound,,,,5 mg,a lot\n";
    assert_eq!(
        desk.refused(Kind::Feeds, wrong),
        [
            "line 2, column kind: value 'grass': no kind of feed: write hay, straw, silage, grain, protein, byproduct, compound, mix, mineral, milk, other",
            "line 3, column protein_percent_dm: value '140': crude protein of 140 % of dry matter cannot be: write 0 to 100",
            "line 4, column parts: value 'Barley': not a feed with its figure: write such as Barley 66.7",
            "line 5, column parts: value 'Barley 50; Straw 50': no feed is called 'Straw': write the feed first, or mend the name",
            "line 5, column parts: value 'Barley 50; Straw 50': the parts of Mix 2 come to 50.0 %, not to 100 %",
            "line 6, column per_kg: value '': how much of the medicine is in each kg? Write it as its label says",
            "line 7, column bag_kg: value 'a lot': not an amount in kg: write 12.5",
            "line 7, column medicine: value '': an amount of medicine is written without its name: write the product",
        ]
    );
    let wrong = "feed,on,change,amount_kg,level,took,best_before\n\
        Oats,2026-03-10,delivered,5,,,\n\
        Barley,2026-03-10,eaten,5,,,\n\
        Barley,2026-03-10,fed,5,150,,soon\n\
        Barley,2026-03-10,counted,5,,Field beans 5,\n";
    assert_eq!(
        desk.refused(Kind::FeedMoves, wrong),
        [
            "line 2, column feed: value 'Oats': no feed is called 'Oats': write the feed first, or mend the name",
            "line 3, column change: value 'eaten': no thing that becomes of feed: write delivered, mixed, fed, wasted, counted",
            "line 4, column level: value '150': not how full it is: write empty, quarter, half, three quarters, full or 40 %",
            "line 4, column best_before: value 'soon': not a day: write year-month-day, such as 2026-04-03",
            "line 5, column took: value 'Field beans 5': only a mixing takes of other feeds: leave it blank",
        ]
    );
    assert_eq!(
        desk.refused(Kind::FeedMoves, "feed,on,change\nBarley,2026-03-10,fed\nBarley,2026-03-11,delivered\n"),
        [
            "line 2, column pen: value '': in which pen was it? Write the pen",
            "line 2, column amount_kg: value '': write how much was filled in, or how full it was before",
            "line 3, column amount_kg: value '': how much of Barley was it? Write kg, bags or a measure of it",
        ]
    );
    assert_eq!(
        desk.refused(Kind::FeedSheets, "feed,on\nBarley,2026-03-10\n"),
        ["line 2: the sheet of Barley has no figure: write at least one"]
    );
    assert_eq!(
        desk.refused(
            Kind::Rations,
            "eaters,feed,from,each_kg,measure\nrams,Barley,2026-03-10,0.2,flake 2026-01-01\n"
        ),
        [
            "line 2, column measure: value 'flake 2026-01-01': no measure of Barley: import measures first, and write its name and day such as flake 2026-01-12"
        ]
    );
    assert_eq!(
        desk.refused(Kind::Measures, "feed,name,on,weighed_kg\nBarley,scoop,2026-03-10,half\n"),
        ["line 2, column weighed_kg: value 'half': not an amount in kg: write 12.5"]
    );
}

#[test]
fn a_table_of_feedings_writes_no_treatments_and_asks_after_them() {
    let mut desk = fed();
    desk.took(Kind::Products, "product,meat_days\nDecoquin,10\n");
    desk.took(Kind::Feeds, "name,kind,medicine,per_kg\nDosed nuts,compound,Decoquin,100 mg\n");
    let moves = "feed,on,change,amount_kg,pen\nDosed nuts,2026-05-03,fed,5,Yard\n";
    assert_eq!(
        desk.took(Kind::FeedMoves, moves),
        [
            "line 2, column feed: value 'Dosed nuts': Dosed nuts is medicated, and no treatment with Decoquin in feed is in the book for 3 May 2026: this table writes none. Import or write those treatments too"
        ]
    );
    assert_eq!(desk.flock().files().flat_map(|f| &f.treatments).count(), 0);
}
