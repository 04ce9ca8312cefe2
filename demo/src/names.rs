//! Names for the made-up flock. All invented: likeness to a living person, farm or breed is chance.

/// The breed, which does not exist.
pub(crate) const BREED: &str = "Quernfold Grey";
/// Another that does not exist either, in the blood of graded-up ewes.
pub(crate) const OTHER_BREED: &str = "Hillgrey";
/// Before every registry name of this flock.
pub(crate) const PREFIX: &str = "Pipitfold";
/// The breed's register.
pub(crate) const REGISTER: &str = "Quernfold Grey Flock Register";
/// Its section for sheep of pure blood; graded-up ewes stand in others.
pub(crate) const SECTION: &str = "Full book";
/// Where samples are sent.
pub(crate) const LAB: &str = "Fellmouth laboratory";
/// The keeper.
pub(crate) const KEEPER: &str = "Hester Rookby";
/// Who helps at lambing.
pub(crate) const HELPER: &str = "Tam Fennick";
/// The vet.
pub(crate) const VET: &str = "I. Corvane, veterinary surgeon";

/// Farms the founders and bought sheep come from.
pub(crate) const FARMS: &[&str] =
    &["Cinderlow", "Sallowmere", "Ottergill Rise", "Lathewick", "Tarnbeck End", "Gorsey Loft"];

/// Who buys breeding stock and stores.
pub(crate) const BUYERS: &[&str] = &[
    "A. Merrowby, Sallowmere",
    "J. and P. Averlock, Lathewick",
    "Ottergill Rise Farm",
    "E. Thackrigg, Wren Bank",
    "M. Dunnable, Coldwell Heads",
    "The Misses Pellow, Gorsey Loft",
];

/// Where finished lambs and cull ewes go.
pub(crate) const ABATTOIR: &str = "Low Cross abattoir";

/// Second part of registry names.
pub(crate) const WORDS: &[&str] = &[
    "Bracken", "Juniper", "Heather", "Rowan", "Bryony", "Sorrel", "Tansy", "Yarrow", "Clover", "Fern",
    "Hazel", "Linnet", "Plover", "Dipper", "Wren", "Merlin", "Curlew", "Siskin", "Dunlin", "Teal", "Flint",
    "Slate", "Ember", "Ash", "Willow", "Alder", "Aspen", "Maple", "Thistle", "Burdock", "Mallow", "Comfrey",
    "Campion", "Vetch", "Meadow", "Tarn", "Beck", "Fell", "Crag", "Moss", "Lichen", "Ling", "Sedge", "Rush",
    "Reed", "Barley", "Oat", "Rye", "Sloe", "Damson", "Medlar", "Quince", "Bramble", "Briar", "Nettle",
    "Dock", "Mist", "Frost", "Hail", "Squall", "Beacon", "Candle", "Lantern", "Cobble",
];

/// Colours of the breed.
pub(crate) const COLOURS: &[(&str, f64)] =
    &[("grey", 46.0), ("silver", 22.0), ("black", 16.0), ("brown", 10.0), ("white, grey face", 6.0)];

/// Marks of founders and bought sheep.
pub(crate) const MARKS: &[&str] = &[
    "notch in left ear",
    "horned, left tip broken",
    "white star",
    "one white hind foot",
    "slit in right ear",
];

/// What the keeper notes of ewes.
pub(crate) const EWE_NOTES: &[&str] = &[
    "Good mother, fetches both lambs to call",
    "Watch her udder, left half was hard",
    "Kicks when the lambs suck, hold her the first day",
    "Slow to let the second lamb suck",
    "Breaks out through the orchard hedge",
    "Sour feet after wet weather, trim again",
    "Thin after lambing, extra feed for two weeks",
    "Quiet to handle, first to the trough",
    "Butts other ewes' lambs, keep her in a jug",
];

/// What the keeper notes of lambs.
pub(crate) const LAMB_NOTES: &[&str] = &[
    "Lower lids turned in at birth, put right, look again",
    "Wet navel, dipped a second time",
    "Strong lamb, up within ten minutes",
    "Sucks at every ewe, watch the belly",
    "Limps on the near fore, joint not hot",
    "Nice fleece, keep in mind for the flock",
];

/// Ordinals for names used before.
pub(crate) fn ordinal(n: usize) -> String {
    let end = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

/// The other vet.
pub(crate) const SECOND_VET: &str = "P. Lorrimond, veterinary surgeon";

/// Where medicine is bought, with the address.
pub(crate) const SUPPLIERS: &[(&str, &str)] = &[
    ("Brackenrigg Vets", "2 Kiln Row, Sallowmere"),
    ("Coldwell Farm Supplies", "The Old Maltings, Coldwell Heads"),
];

/// Who fetches the dead.
pub(crate) const COLLECTOR: &str = "Low Cross fallen stock, collected";

/// Official number and address of another place; none for one whose number the keeper never asked for.
pub(crate) fn place(other: &str) -> Option<(String, String)> {
    let all: Vec<&str> = BUYERS.iter().chain(FARMS).copied().chain([ABATTOIR]).collect();
    let n = all.iter().position(|p| *p == other).filter(|n| *n != 3)?;
    let lane = ["Beck Lane", "Fell Road", "Mill Brow", "Church Bank"][n % 4];
    Some((format!("99/999/{:04}", 101 + n * 13), format!("{lane}, {other}")))
}
