//! Scales: from figures to places on the sheet, and round numbers to mark.

/// A straight scale from values to pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    values: (f64, f64),
    pixels: (f64, f64),
}

impl Axis {
    /// The scale that puts the first value on the first pixel and so on. Two
    /// equal values get a range of 1 between them, so that both stand in the middle.
    pub fn new(values: (f64, f64), pixels: (f64, f64)) -> Self {
        let values = match values.1 - values.0 {
            d if d.abs() > f64::EPSILON => values,
            _ => (values.0 - 0.5, values.1 + 0.5),
        };
        Axis { values, pixels }
    }

    /// Where a value stands.
    pub fn at(&self, value: f64) -> f64 {
        let part = (value - self.values.0) / (self.values.1 - self.values.0);
        self.pixels.0 + part * (self.pixels.1 - self.pixels.0)
    }

    /// Round values within the scale, at least `apart` pixels from one to the
    /// next: the pixel and the number of each.
    pub fn ticks(&self, apart: f64) -> Vec<(f64, String)> {
        let (low, high) = self.values;
        let per_pixel = (high - low) / (self.pixels.1 - self.pixels.0).abs();
        let step = round_up(per_pixel * apart);
        let decimals = (-libm::log10(step).floor()).max(0.0) as usize;
        // A hair of slack keeps a tick that stands on the scale's very end.
        let from = (low / step - 1e-9).ceil() as i64;
        let to = (high / step + 1e-9).floor() as i64;
        let tick = |k: i64| (self.at(k as f64 * step), format!("{:.decimals$}", k as f64 * step));
        (from..=to).map(tick).collect()
    }

    /// The same scale, its ends moved out by a number of pixels each way.
    pub fn widened(&self, by: f64) -> Self {
        let slope = (self.values.1 - self.values.0) / (self.pixels.1 - self.pixels.0);
        Axis {
            values: (self.values.0 - by * slope, self.values.1 + by * slope),
            pixels: (self.pixels.0 - by, self.pixels.1 + by),
        }
    }
}

/// The next of 1, 2, 5, 10, 20, ... and their tenths and hundredths.
fn round_up(value: f64) -> f64 {
    let ten = libm::pow(10_f64, libm::log10(value).floor());
    let reaches = |m: &f64| m * ten >= value * (1.0 - 1e-9);
    ten * [1.0, 2.0, 5.0].into_iter().find(reaches).unwrap_or(10.0)
}

/// Moves places apart until each is at least `gap` from the last, as evenly to
/// both sides as `low` and `high` allow; they must have room between those.
pub fn spread(places: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut up = places.to_vec();
    for i in 1..up.len() {
        up[i] = up[i].max(up[i - 1] + gap);
    }
    let mut down = places.to_vec();
    for i in (1..down.len()).rev() {
        down[i - 1] = down[i - 1].min(down[i] - gap);
    }
    // Each keeps the gap, and so does the mean of both, and what is left of it
    // between two rows of places that keep it too.
    let last = places.len().saturating_sub(1);
    let within = |(i, (up, down)): (usize, (&f64, &f64))| {
        let (from, to) = (low + gap * i as f64, high - gap * (last - i) as f64);
        ((up + down) / 2.0).max(from).min(to)
    };
    up.iter().zip(&down).enumerate().map(within).collect()
}
