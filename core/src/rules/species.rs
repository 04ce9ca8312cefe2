//! What the words of a label say of the animals it is for. What they do not say is not known, never guessed.

const BOVIDS: &[&str] = &[
    "sheep", "ewe", "ram", "lamb", "hogget", "ovine", "goat", "caprine", "cattle", "cow", "calf", "calve",
    "bull", "heifer", "steer", "bovine", "buffalo", "bison", "ruminant",
];
const OTHER_FOOD: &[&str] = &[
    "pig", "swine", "sow", "piglet", "porcine", "horse", "equine", "equid", "foal", "donkey", "poultry",
    "chicken", "hen", "broiler", "turkey", "duck", "geese", "goose", "quail", "rabbit", "deer", "fish",
    "salmon", "trout", "bee", "ostrich",
];
const NOT_FOOD: &[&str] =
    &["dog", "cat", "puppy", "puppie", "kitten", "canine", "feline", "ferret", "hamster", "gerbil", "parrot"];
/// Animals whose milk people take, when they give milk.
const MILKED: &[&str] = &[
    "sheep", "ewe", "ovine", "goat", "doe", "caprine", "cattle", "cow", "heifer", "bovine", "buffalo",
    "ruminant",
];
/// Words that change nothing of which animals are meant.
const FILLERS: &[&str] =
    &["and", "or", "for", "in", "the", "only", "adult", "young", "all", "growing", "large", "small"];
/// Words after which the rest may mean its opposite.
const NEGATIONS: &[&str] = &["not", "non", "no", "except", "excluding", "other", "than"];

/// Whether the label's animals are animals people eat; none where the words do not settle it.
pub fn is_food(text: &str) -> Option<bool> {
    settle(text, &|word| BOVIDS.contains(&word) || OTHER_FOOD.contains(&word))
}

/// Whether the label's animals are animals whose milk people take; none where the words do not settle it.
pub fn is_milk(text: &str) -> Option<bool> {
    // Mare's milk is drunk in some places: horses settle nothing.
    let horses = ["horse", "equine", "equid", "donkey"];
    let told = settle(text, &|word| MILKED.contains(&word));
    if told == Some(false) && words(text).iter().any(|w| horses.contains(&w.as_str())) { None } else { told }
}

/// Whether any of the label's animals is of the sheep's family, the bovids; none where the words do not settle it.
pub fn is_bovid(text: &str) -> Option<bool> {
    settle(text, &|word| BOVIDS.contains(&word))
}

fn settle(text: &str, is_of: &dyn Fn(&str) -> bool) -> Option<bool> {
    let words = words(text);
    if words.iter().any(|w| NEGATIONS.contains(&w.as_str())) {
        return None;
    }
    let mut known = words.iter().map(String::as_str).filter(|w| !FILLERS.contains(w)).peekable();
    known.peek()?;
    let lists = [BOVIDS, OTHER_FOOD, NOT_FOOD, MILKED];
    let mut all_known = true;
    for word in known {
        if is_of(word) {
            return Some(true);
        }
        all_known &= lists.iter().any(|list| list.contains(&word));
    }
    all_known.then_some(false)
}

/// The words in small letters, of one animal each. A guinea pig is no pig.
fn words(text: &str) -> Vec<String> {
    let low = text.to_lowercase().replace("guinea pig", "hamster");
    let words = low.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty());
    words.map(|w| w.strip_suffix('s').filter(|w| w.len() > 2).unwrap_or(w).to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_animals_of_a_label() {
        // text, food, milk, bovid
        for (text, food, milk, bovid) in [
            ("sheep", Some(true), Some(true), Some(true)),
            ("Sheep, cattle", Some(true), Some(true), Some(true)),
            ("Goats and dogs", Some(true), Some(true), Some(true)),
            ("pigs", Some(true), Some(false), Some(false)),
            ("pigs, poultry", Some(true), Some(false), Some(false)),
            ("horses", Some(true), None, Some(false)),
            ("dogs and cats only", Some(false), Some(false), Some(false)),
            ("guinea pigs", Some(false), Some(false), Some(false)),
            ("lambs", Some(true), Some(false), Some(true)),
            ("dogs, alpacas", None, None, None),
            ("horses not for food", None, None, None),
            ("", None, None, None),
            ("adult", None, None, None),
        ] {
            assert_eq!((is_food(text), is_milk(text), is_bovid(text)), (food, milk, bovid), "{text}");
        }
    }
}
