//! Words, dates and lists of the store, to and from the trade's types.

use super::{Error, Result};
use jiff::civil::Date;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::borrow::Cow;

/// What another issue of the same report says against reading `r`, as SQL; none where nothing does.
macro_rules! contradiction {
    () => {
        "(SELECT min(c.doubt) FROM contradictions c JOIN samples x ON x.id = c.sample_id
          WHERE c.reading_id = r.id AND x.duplicate_of IS NULL AND x.superseded_by IS NULL)"
    };
}

/// What the site's earlier seasons say against reading `r`, as SQL; none where nothing does.
macro_rules! past_doubt {
    () => {
        "(SELECT a.doubt FROM past a WHERE a.reading_id = r.id)"
    };
}

/// How reading `r` with standing `t` stands but for its site's past, as SQL: a person's word, then a contradiction, then
/// as it was read.
macro_rules! status_alone {
    () => {
        concat!(
            "iif(coalesce(t.decided, 0) = 0 AND coalesce(t.status, r.status) = 'accepted' AND ",
            contradiction!(),
            " IS NOT NULL, 'held', coalesce(t.status, r.status))"
        )
    };
}

/// How it stands now, as SQL: the same, and the past.
macro_rules! status_now {
    () => {
        concat!(
            "iif(coalesce(t.decided, 0) = 0 AND coalesce(t.status, r.status) = 'accepted' AND (",
            contradiction!(),
            " IS NOT NULL OR ",
            past_doubt!(),
            " IS NOT NULL), 'held', coalesce(t.status, r.status))"
        )
    };
}

/// Why it is held, as SQL.
macro_rules! doubt_now {
    () => {
        concat!(
            "CASE WHEN t.decided = 1 THEN t.doubt ELSE nullif(concat_ws(' ',
                CASE WHEN t.reading_id IS NOT NULL AND t.status <> 'accepted' THEN t.doubt
                    WHEN t.reading_id IS NULL AND r.status <> 'accepted' THEN r.doubt ELSE coalesce(",
            contradiction!(),
            ", iif(t.reading_id IS NULL, r.doubt, t.doubt)) END, ",
            past_doubt!(),
            "), '') END"
        )
    };
}
pub(super) use {contradiction, doubt_now, past_doubt, status_alone, status_now};

/// A word of a closed list, or an error that names the column.
pub(super) fn word<T>(what: &'static str, text: &str, from_id: fn(&str) -> Option<T>) -> Result<T> {
    from_id(text).ok_or_else(|| Error::Word { what, text: text.to_owned() })
}

/// The same where the column may be empty.
pub(super) fn word_or_none<T>(
    what: &'static str,
    text: Option<String>,
    from_id: fn(&str) -> Option<T>,
) -> Result<Option<T>> {
    text.map(|text| word(what, &text, from_id)).transpose()
}

/// A calendar day as ISO text: never through a time stamp or a zone.
pub(super) fn day(text: Option<String>) -> Result<Option<Date>> {
    text.map(|text| text.parse().map_err(|_| Error::Word { what: "date", text })).transpose()
}

/// A day as ISO text.
pub(super) fn day_text(day: Option<Date>) -> Option<String> {
    day.map(|day| day.to_string())
}

/// A list or record as JSON text.
pub(super) fn json<T: Serialize + ?Sized>(value: &T) -> Result<String> {
    Ok(serde_json::to_string(value)?)
}

/// A list as JSON text; most are empty.
pub(super) fn json_list<T: Serialize>(list: &[T]) -> Result<Cow<'static, str>> {
    Ok(if list.is_empty() { Cow::Borrowed("[]") } else { Cow::Owned(json(list)?) })
}

/// A list or record back from JSON text.
pub(super) fn from_json<T: DeserializeOwned>(text: &str) -> Result<T> {
    Ok(serde_json::from_str(text)?)
}

/// A text made fit for matching: letters and digits alone, lower case; `Front Lawn #2` and `front lawn 2` meet.
pub(super) fn key(text: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    text.nfkc().flat_map(char::to_lowercase).filter(|c| c.is_alphanumeric()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_forgive_case_spaces_and_marks_but_not_letters() {
        assert_eq!(key("Front Lawn #2"), key("front  lawn 2"));
        assert_ne!(key("Front Lawn 2"), key("Front Lawn 3"));
        assert_eq!(key("\u{ff21}1"), "a1");
    }

    #[test]
    fn days_come_back_as_written_and_others_are_named() {
        let written = day_text(Some(jiff::civil::date(2021, 3, 9)));
        assert_eq!(written.as_deref(), Some("2021-03-09"));
        assert_eq!(day(written).unwrap(), Some(jiff::civil::date(2021, 3, 9)));
        assert!(matches!(day(Some("yesterday".into())), Err(Error::Word { what: "date", .. })));
    }
}
