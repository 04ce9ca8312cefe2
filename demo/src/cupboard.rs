//! The medicine cupboard of the made-up flock. Substances are real, products are not: every strength, dose rule
//! and withdrawal period here is INVENTED to look plausible and must not be used for a living animal.

use hirsel_core::entry::ProductDraft;
use hirsel_core::flock::{ProductMore, RoutePeriods};
use hirsel_core::terms::{Dose, DoseRule, ProductClass, Route, Strength, Withdrawal};

/// One bottle on the shelf.
pub(crate) struct Bottle {
    pub(crate) name: &'static str,
    substance: &'static str,
    form: &'static str,
    mg_per_ml: Option<f64>,
    rule: DoseRule,
    pub(crate) route: Route,
    pub(crate) meat: Withdrawal,
    pub(crate) milk: Withdrawal,
    licensed_for: Option<&'static str>,
    /// Letters its batch numbers begin with.
    letters: &'static str,
    /// A vet must prescribe it.
    pub(crate) prescribed: bool,
    /// Where it is given.
    pub(crate) site: Option<&'static str>,
}

use DoseRule::{PerHead, PerKg, Typed};
use Route::{Bath, Eye, Intramuscular, Oral, Subcutaneous, Topical};
use Withdrawal::{Days, Hours, Never, Unknown};

const NECK: Option<&str> = Some("neck");

macro_rules! bottles {
    ($($id:ident = $name:literal, $substance:literal, $form:literal, $mg:expr, $rule:expr, $route:expr, $meat:expr, $milk:expr, $for:expr, $letters:literal, $vet:literal, $site:expr;)+) => {
        $(pub(crate) static $id: Bottle = Bottle {
            name: $name, substance: $substance, form: $form, mg_per_ml: $mg, rule: $rule, route: $route,
            meat: $meat, milk: $milk, licensed_for: $for, letters: $letters, prescribed: $vet, site: $site,
        };)+
        static ALL: &[&Bottle] = &[$(&$id),+];
    };
}

// Invented label facts, see above.
bottles! {
    CLOSTRIDIAL = "Clostridial vaccine 4-in-1", "clostridial toxoids", "injection", None, PerHead(2_000),
        Subcutaneous, Days(0), Days(0), Some("sheep"), "CV", false, Some("neck, behind the ear");
    IODINE = "Iodine 7 %", "iodine", "dip", None, Typed, Topical, Days(0), Days(0), None, "IO", false,
        Some("navel");
    OXYTETRACYCLINE = "Long-acting oxytetracycline 200 mg/ml", "oxytetracycline", "injection", Some(200.0),
        PerKg(100), Intramuscular, Days(28), Hours(168), Some("sheep, cattle"), "OX", true, NECK;
    IVERMECTIN = "Ivermectin drench 0.8 mg/ml", "ivermectin", "drench", Some(0.8), PerKg(250), Oral,
        Days(14), Never, Some("sheep"), "IV", false, None;
    LEVAMISOLE = "Levamisole drench 75 mg/ml", "levamisole", "drench", Some(75.0), PerKg(100), Oral,
        Days(20), Hours(96), Some("sheep"), "LV", false, None;
    SELENIUM = "Vitamin E + selenium", "tocopherol, sodium selenite", "injection", None, PerHead(1_000),
        Intramuscular, Days(0), Days(0), Some("sheep, lambs"), "SE", true, NECK;
    MELOXICAM = "Meloxicam 20 mg/ml", "meloxicam", "injection", Some(20.0), PerKg(50), Subcutaneous,
        Days(15), Days(5), Some("cattle, pigs"), "MX", true, Some("behind the elbow");
    PENICILLIN = "Procaine penicillin 300 mg/ml", "procaine benzylpenicillin", "injection", Some(300.0),
        PerKg(50), Intramuscular, Days(10), Hours(60), Some("sheep, cattle"), "PN", true, NECK;
    TOLTRAZURIL = "Toltrazuril drench 50 mg/ml", "toltrazuril", "drench", Some(50.0), PerKg(400), Oral,
        Days(42), Days(42), Some("lambs"), "TZ", true, None;
    CALCIUM = "Calcium borogluconate 20 %", "calcium borogluconate", "injection", Some(200.0), Typed,
        Subcutaneous, Days(0), Days(0), Some("sheep, cattle"), "CA", true, Some("behind the elbow, two sites");
    EYE_OINTMENT = "Cloxacillin eye ointment", "cloxacillin", "ointment", None, Typed, Eye, Days(7),
        Hours(72), Some("sheep, cattle"), "EY", true, None;
    MULTIVITAMIN = "Multivitamin injection, label torn", "vitamins A, D3, B complex", "injection", None,
        Typed, Intramuscular, Unknown, Unknown, None, "MV", false, NECK;
    FOOTBATH = "Zinc sulphate footbath", "zinc sulphate", "solution", None, Typed, Bath, Days(0), Days(0),
        Some("sheep"), "ZN", false, Some("feet");
}

/// The vet's own period for what is not labelled for sheep: meat and milk. Above the floor of the rules: 1.5 × 15 days
/// = 22.5, so 23; 1.5 × 5 days = 7.5, so 8.
const DIRECTED: (Withdrawal, Withdrawal) = (Days(28), Days(10));

impl Bottle {
    /// A batch number for a season and half of it.
    pub(crate) fn batch(&self, year: i32, half: i64) -> String {
        let n = (year as u32).wrapping_mul(7919).wrapping_add(self.name.len() as u32 * 104_729) % 900 + 100;
        let letter = if half > 0 { 'B' } else { 'A' };
        format!("{}{n}{:02}{letter}", self.letters, year % 100)
    }

    /// Days from a dose until the animal may be sold, if that can be told. Milk that may never be used does not
    /// stand in the way of a lamb or wether.
    pub(crate) fn held_days(&self) -> Option<i64> {
        let days = |w| match w {
            Days(n) => Some(i64::from(n) + 1),
            Hours(n) => Some(i64::from(n) / 24 + 2),
            Never => Some(0),
            Unknown => None,
        };
        let (meat, milk) = self.directed().unwrap_or((self.meat, self.milk));
        Some(days(meat)?.max(days(milk)?))
    }

    /// Meat and milk periods a vet directs, for the product that is not labelled for sheep.
    pub(crate) fn directed(&self) -> Option<(Withdrawal, Withdrawal)> {
        (self.letters == MELOXICAM.letters).then_some(DIRECTED)
    }

    /// What one bottle holds.
    pub(crate) fn size(&self) -> Dose {
        match (self.form, self.letters) {
            ("ointment", _) => Dose::Pieces(5),
            ("drench", "TZ") => Dose::Volume(250_000),
            ("drench", _) => Dose::Volume(1_000_000),
            ("solution", _) => Dose::Volume(5_000_000),
            ("dip", _) => Dose::Volume(500_000),
            (_, "CA") => Dose::Volume(400_000),
            _ => Dose::Volume(100_000),
        }
    }

    fn more(&self) -> ProductMore {
        let class = match self.letters {
            "CV" => ProductClass::Vaccine,
            "OX" | "PN" | "EY" => ProductClass::Antibiotic,
            "IV" | "LV" => ProductClass::Wormer,
            _ => ProductClass::Other,
        };
        let under_skin =
            RoutePeriods { route: Subcutaneous, meat: Days(35), milk: Hours(168), export: Unknown };
        let muscle = RoutePeriods { route: Intramuscular, meat: Days(28), milk: Hours(168), export: Unknown };
        let oxy = self.letters == "OX";
        ProductMore {
            routes: if oxy { vec![muscle, under_skin] } else { Vec::new() },
            opened_days: match self.form {
                "injection" if class == ProductClass::Vaccine => Some(1),
                "injection" => Some(28),
                "ointment" => None,
                _ => Some(180),
            },
            storage: Some(
                if class == ProductClass::Vaccine { "2 to 8 °C, dark" } else { "below 25 °C, dark" }.into(),
            ),
            prescription_only: self.prescribed,
            class,
            site_most: oxy.then_some(Dose::Volume(10_000)),
            ..ProductMore::default()
        }
    }
}

/// Every bottle.
pub(crate) fn all() -> &'static [&'static Bottle] {
    ALL
}

/// Every bottle, for the cupboard page.
pub(crate) fn products() -> Vec<ProductDraft> {
    ALL.iter()
        .map(|b| ProductDraft {
            name: b.name.into(),
            substance: Some(b.substance.into()),
            form: Some(b.form.into()),
            strength: b.mg_per_ml.and_then(Strength::from_mg_per_ml),
            rule: b.rule,
            route: Some(b.route),
            meat: b.meat,
            milk: b.milk,
            licensed_for: b.licensed_for.map(Into::into),
            more: b.more(),
        })
        .collect()
}
