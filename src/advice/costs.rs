//! What a joint costs at the bench: minutes.

/// Seconds that the work at a joint takes. The defaults are assumptions from memory, without a
/// source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Costs {
    /// Setting the rib in place and taking it off again, once a round.
    pub setting: f64,
    /// One reading with feelers.
    pub reading: f64,
    /// One push of a plane.
    pub stroke: f64,
}

impl Default for Costs {
    fn default() -> Self {
        Costs { setting: 60.0, reading: 8.0, stroke: 20.0 }
    }
}

impl Costs {
    /// Minutes of so many settings, readings and strokes.
    pub fn minutes(&self, settings: f64, readings: f64, strokes: f64) -> f64 {
        (self.setting * settings + self.reading * readings + self.stroke * strokes) / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2 rounds of 26 readings and 6 strokes are 120 + 416 + 120 s.
    #[test]
    fn minutes_are_settings_readings_and_strokes() {
        let minutes = Costs::default().minutes(2.0, 52.0, 6.0);
        assert!((minutes - 656.0 / 60.0).abs() < 1e-12);
    }
}
