//! Claims a file once it has stopped growing, and puts originals away.
