//! PIPELINE 2 on one page: a site's readings become series, trend, level, flags: one Assessment.
