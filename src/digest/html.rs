//! The digest as a page for mail programs: no pictures, no links, nothing from outside; all text is escaped.

use super::Digest;
use super::text::{Section, clean, sections, subject};
use askama::Template;

#[derive(Template)]
#[template(
    ext = "html",
    source = r##"<!DOCTYPE html>
<html lang="en">
<head><meta charset="utf-8"><title>{{ subject }}</title></head>
<body style="font-family: sans-serif; color: #222; max-width: 44em; line-height: 1.45">
<h1 style="font-size: 1.2em">{{ subject }}</h1>
{% for section in sections %}<h2 style="font-size: 1.05em">{{ section.heading }}</h2>
<ul>{% for line in section.lines %}
<li>{{ line }}</li>{% endfor %}{% if !section.more.is_empty() %}
<li>{{ section.more }}</li>{% endif %}
</ul>
{% endfor %}</body>
</html>
"##
)]
struct Page {
    subject: String,
    sections: Vec<Section>,
}

/// The same as a page.
pub(super) fn html(digest: &Digest) -> Result<String, askama::Error> {
    Page { subject: clean(&subject(digest)), sections: sections(digest) }.render()
}
