//! One integration binary, one module per subject.
