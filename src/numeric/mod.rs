//! How numbers are found and compared.
