//! The assessments that changed become the nightly message.
