//! temporary tuning knobs
#![allow(missing_docs)]
pub fn knob(name: &str, default: f64) -> f64 {
    static ALL: std::sync::OnceLock<std::collections::HashMap<String, f64>> = std::sync::OnceLock::new();
    *ALL.get_or_init(|| {
        std::env::vars()
            .filter_map(|(k, v)| Some((k.strip_prefix("K_")?.to_string(), v.parse().ok()?)))
            .collect()
    })
    .get(name)
    .unwrap_or(&default)
}
