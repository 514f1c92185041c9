//! Results to people: tables, JSON, pictures.
