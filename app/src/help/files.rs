//! The files of the help, built in. A test finds one that is not listed.

macro_rules! files {
    ($($key:literal,)+) => {
        /// Each file by its name without the ending.
        pub(super) const ALL: &[(&str, &str)] = &[
            $(($key, include_str!(concat!("../../../resources/help/", $key, ".md"))),)+
        ];
    };
}

files! {
    "start",
    "tonight",
    "barn_sheet",
    "flock",
    "leaf",
    "notes",
    "timeline",
    "joinings",
    "blood",
    "lambing",
    "treatments",
    "weights",
    "keeping",
    "figures",
    "feed",
    "papers",
    "care_plan",
    "inspection",
    "the_book",
    "words",
    "marks",
    "tour",
    "why/dose",
    "why/injection",
    "why/syringe",
    "why/off_label",
    "why/withdrawal",
    "why/bottle",
    "why/disposal",
    "why/rings",
    "why/docking",
    "why/castration",
    "why/tubing",
    "why/navel",
    "why/drench",
    "why/selenium",
    "why/vaccine",
    "why/worms",
    "why/eyelid",
    "why/weaning",
    "why/heavy_ewe",
    "why/scan",
    "why/udder",
    "why/ram",
    "why/copper",
    "why/feed_change",
    "why/stones",
    "why/lamb_feed",
    "why/medicated_feed",
    "why/even_mix",
    "why/feed_figures",
    "why/creep",
    "why/inbreeding",
    "why/genes",
    "why/pedigree",
    "why/odd_figure",
    "why/odd_day",
    "why/twice",
    "why/right_animal",
    "why/copies",
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    fn files_in(folder: &Path, before: &str, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).expect("the help").flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            if entry.path().is_dir() {
                files_in(&entry.path(), &format!("{before}{name}/"), found);
            } else {
                found.push(format!("{before}{}", name.trim_end_matches(".md")));
            }
        }
    }

    #[test]
    fn every_file_is_built_in_once() {
        let mut found = Vec::new();
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../resources/help");
        files_in(&folder, "", &mut found);
        let mut listed: Vec<String> = super::ALL.iter().map(|(key, _)| key.to_string()).collect();
        found.sort();
        listed.sort();
        assert_eq!(found, listed);
    }
}
