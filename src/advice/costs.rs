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
