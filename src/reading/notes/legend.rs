//! What letters and zeros of a table stand for, where a note explains them.

use regex::Regex;
use std::sync::LazyLock;

/// True for a sentence that takes zeros for tests not made.
pub(super) fn zero_is_blank(text: &str) -> bool {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let Some(at) = words.iter().position(|w| matches!(*w, "zero" | "zeros" | "zeroes" | "0")) else {
        return false;
    };
    let mut after = words.iter().skip(at + 1).take(8);
    after.any(|w| matches!(*w, "means" | "mean" | "indicates" | "indicate" | "denotes" | "stands"))
        && after.any(|w| matches!(*w, "not" | "no"))
}

/// `L = low, M = medium`: the letters a legend explains.
pub fn legend(text: &str) -> Vec<String> {
    static LEGEND: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"\b(VL|L|ML|M|MH|H|VH|EH|O)\s*(?:=|:|-|,|is|means|for|stands for)?\s*(?i:very |extremely |medium )?(?i:low|medium|high|optimum)").ok()
    });
    LEGEND
        .as_ref()
        .map(|r| r.captures_iter(text).filter_map(|c| c.get(1)).map(|m| m.as_str().to_owned()).collect())
        .unwrap_or_default()
}
