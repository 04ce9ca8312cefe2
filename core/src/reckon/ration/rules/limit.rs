//! Bounds of feeding, each with its key, words and the figures it may take.

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident = $key:literal, $words:literal, $unit:literal, $least:literal..$most:literal;)+) => {
        /// A bound of feeding.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Limit { $($(#[$doc])* $name,)+ }

        impl Limit {
            /// All of them, in the order shown.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// As it stands in the table.
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => $key),+ }
            }

            /// What it is, in words.
            pub fn words(self) -> &'static str {
                match self { $(Self::$name => $words),+ }
            }

            /// Its unit.
            pub fn unit(self) -> &'static str {
                match self { $(Self::$name => $unit),+ }
            }

            /// Least and most it may be set to.
            pub fn range(self) -> (f64, f64) {
                match self { $(Self::$name => ($least, $most)),+ }
            }

            /// By its key.
            pub fn parse(key: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|l| l.key() == key)
            }
        }
    };
}

limits! {
    /// Copper of the whole diet: more is warned of.
    CopperWarn = "copper_warn", "copper of the diet, warned of above", "mg a kg of dry matter", 4.0..15.0;
    /// Copper of the whole diet: more must not be fed.
    CopperStop = "copper_stop", "copper of the diet, not to be fed above", "mg a kg of dry matter", 8.0..25.0;
    /// Molybdenum of the diet: with less, copper is taken up more.
    MolybdenumLow = "molybdenum_low", "molybdenum of the diet, low below", "mg a kg of dry matter", 0.0..5.0;
    /// Selenium of the diet.
    SeleniumMost = "selenium_most", "selenium of the diet, at most", "mg a kg of dry matter", 0.3..3.0;
    /// Calcium over phosphorus for male lambs on grain.
    CalciumPhosphorus = "calcium_to_phosphorus", "calcium to phosphorus of male lambs on grain, at least", "to 1", 1.0..5.0;
    /// Protein of what lambs get beside milk and forage, until some days after weaning.
    LambProtein = "lamb_protein", "crude protein of lambs' feed until after weaning, at least", "% as fed", 10.0..25.0;
    /// So long after weaning that protein holds.
    AfterWeaning = "after_weaning_days", "days after weaning lambs' feed stays as it is", "days", 0.0..60.0;
    /// Feed beside forage is raised by no more than this a day.
    GrainStep = "grain_step_g", "grain and mixes raised by at most", "g a head a day, each day", 10.0..500.0;
    /// Grain is brought in over so many days.
    GrainDays = "grain_days", "grain brought in over", "days", 3.0..42.0;
    /// Grain in one meal.
    GrainMeal = "grain_meal_g", "grain and mixes in one meal, at most", "g a head", 100.0..2000.0;
    /// Forage as a part of live weight.
    ForageLeast = "forage_percent", "forage a day, at least", "% of live weight, as fed", 0.2..4.0;
    /// Lambs eat so much dry matter.
    LambEats = "lamb_eats_percent", "dry matter a lamb of 30 kg eats a day", "% of live weight", 1.0..8.0;
    /// Condition score up to which a ewe counts as thin.
    Thin = "thin_score", "a ewe is thin up to condition score", "of 5", 1.0..3.0;
    /// Condition score from which she counts as fat.
    Fat = "fat_score", "a ewe is fat from condition score", "of 5", 3.0..5.0;
    /// Energy: Mcal of digestible energy in a kg of digestible nutrients.
    TdnEnergy = "tdn_mcal", "digestible energy of a kg of digestible nutrients", "Mcal", 4.0..5.0;
    /// Metabolisable energy of digestible.
    MetabolisablePart = "metabolisable_percent", "metabolisable of digestible energy", "%", 70.0..95.0;
    /// Trough of a ewe fed by hand.
    TroughEwe = "trough_ewe_cm", "trough of a ewe fed by hand", "cm", 10.0..100.0;
    /// Trough of a lamb fed by hand.
    TroughLamb = "trough_lamb_cm", "trough of a lamb fed by hand", "cm", 5.0..60.0;
    /// Trough of a ewe where feed is always there.
    SelfFedEwe = "self_fed_ewe_cm", "trough of a ewe where feed is always there", "cm", 5.0..60.0;
    /// Trough of a lamb where feed is always there.
    SelfFedLamb = "self_fed_lamb_cm", "trough of a lamb where feed is always there", "cm", 2.0..40.0;
    /// Creep gate.
    CreepGate = "creep_gate_cm", "opening of a creep gate for lambs of 30 to 60 days", "cm", 10.0..40.0;
    /// Feed is ordered while so many days are left.
    ReserveDays = "reserve_days", "days of a feed kept in reserve", "days", 0.0..60.0;
    /// Creep eaten a day, from which it shows a benefit.
    CreepLeast = "creep_least_g", "creep a lamb must eat a day to gain by it, from 20 days to weaning", "g", 20.0..600.0;
    /// Feed for a kg of gain at the creep.
    CreepFeedPerGain = "creep_feed_per_gain", "creep eaten for a kg of gain, the lower end of 3 to 4", "kg", 1.0..10.0;
    /// A heat lamp is looked at while lambs are younger than this.
    LampDays = "lamp_days", "heat lamp looked at each day while lambs are younger than", "days", 1.0..60.0;
}
