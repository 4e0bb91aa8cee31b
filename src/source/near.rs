//! Words that are nearly what is known.

/// The option that a person most likely meant, if one is near.
pub(super) fn closest(word: &str, options: &[&'static str]) -> Option<&'static str> {
    let word = word.to_lowercase();
    let near = (word.chars().count() / 3).max(1);
    let distances = options.iter().map(|option| (strsim::osa_distance(&word, &option.to_lowercase()), *option));
    distances.filter(|(distance, _)| *distance <= near).min().map(|(_, option)| option)
}
