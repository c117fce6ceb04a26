//! PIPELINE 1 on one page.
