//! PIPELINE 1 on one page: claim, open, read, check, record, put away.
