//! A sheet as PNG, and sheets as a moving GIF.
//!
//! Drawn by plotters at [`FINE`] times the size, strip by strip so that no
//! picture needs much memory, and averaged down so that edges are smooth.

use std::collections::HashMap;
use std::io;
use std::ops::Range;
use std::time::Duration;

use rayon::prelude::*;

use super::paint::{Strip, reach};
use super::sheet::{Element, Sheet};
use super::style::Colour;

/// Dots drawn for each dot of the picture, each way.
const FINE: u32 = 4;
/// Rows of the picture in a strip.
const ROWS: usize = 32;
/// Longest side of a picture, in dots.
const LONGEST: f64 = 30_000.0;

impl Sheet {
    /// The picture as PNG, `scale` dots for each pixel of the sheet.
    ///
    /// # Errors
    ///
    /// When the picture has more than 30 000 dots on a side.
    pub fn png(&self, scale: u32) -> io::Result<Vec<u8>> {
        let size = size(self, scale)?;
        let dots = dots(self, size, scale)?;
        let mut out = Vec::new();
        let mut encoder = png::Encoder::new(&mut out, size.0, size.1);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        // Flat colours pack best as they are.
        encoder.set_filter(png::Filter::NoFilter);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&dots)?;
        writer.finish()?;
        Ok(out)
    }
}

/// The sheets one after the other as a GIF, again and again, each shown for
/// `delay`; otherwise as [`film`].
///
/// # Errors
///
/// When there is no sheet, or one has more than 30 000 dots on a side.
pub fn gif(sheets: &[Sheet], scale: u32, delay: Duration) -> io::Result<Vec<u8>> {
    write(sheets.iter().map(|sheet| (sheet, delay)).collect(), scale)
}

/// The sheets one after the other as a GIF, again and again, each shown for its
/// time (to the hundredth of a second, at most eleven minutes). As large as the
/// largest sheet; smaller ones keep to the upper left.
///
/// # Errors
///
/// When there is no sheet, or one has more than 30 000 dots on a side.
pub fn film(frames: &[(Sheet, Duration)], scale: u32) -> io::Result<Vec<u8>> {
    write(frames.iter().map(|(sheet, time)| (sheet, *time)).collect(), scale)
}

fn write(frames: Vec<(&Sheet, Duration)>, scale: u32) -> io::Result<Vec<u8>> {
    let mut large = (0, 0);
    for (sheet, _) in &frames {
        let (width, height) = size(sheet, scale)?;
        large = (large.0.max(width), large.1.max(height));
    }
    if frames.is_empty() {
        return Err(io::Error::other("no pictures to show one after the other"));
    }
    // No side is longer than LONGEST.
    let side = (large.0 as u16, large.1 as u16);
    let mut encoder = gif::Encoder::new(Vec::new(), side.0, side.1, &[]).map_err(io::Error::other)?;
    let endless = encoder.set_repeat(gif::Repeat::Infinite);
    endless.map_err(io::Error::other)?;
    let marks: Vec<Marks> = frames.iter().map(|(sheet, _)| Marks::of(sheet)).collect();
    // Much of a picture that moves stays as it is in the first frame.
    let first = dots_like(None, &marks[0], large, scale)?;
    let draw = |(shown, (_, time)): (&Marks, &(&Sheet, Duration))| {
        Ok(frame(&dots_like(Some((&marks[0], &first)), shown, large, scale)?, large, *time))
    };
    let packed: io::Result<Vec<gif::Frame>> = marks.par_iter().zip(&frames).map(draw).collect();
    for frame in packed? {
        encoder.write_lzw_pre_encoded_frame(&frame).map_err(io::Error::other)?;
    }
    encoder.into_inner().map_err(io::Error::other)
}

/// One frame, packed.
fn frame(dots: &[u8], large: (u32, u32), time: Duration) -> gif::Frame<'static> {
    let (palette, places) = few_colours(dots);
    let mut frame = gif::Frame::from_palette_pixels(large.0 as u16, large.1 as u16, places, palette, None);
    frame.delay = u16::try_from(time.as_millis() / 10).unwrap_or(u16::MAX);
    frame.make_lzw_pre_encoded();
    frame
}

/// The 256 most frequent colours, and for each dot the place of its own among
/// them, or of the one next to it. Flat colours so stay as they are; only shades
/// on the rims of letters and lines may move a little.
fn few_colours(dots: &[u8]) -> (Vec<u8>, Vec<u8>) {
    let colour = |d: &[u8]| [d[0], d[1], d[2]];
    let mut counts: HashMap<[u8; 3], u32> = HashMap::new();
    // Dots mostly come in runs of one colour.
    for run in dots.as_chunks::<3>().0.chunk_by(|a, b| a == b) {
        *counts.entry(run[0]).or_default() += run.len() as u32;
    }
    let mut colours: Vec<([u8; 3], u32)> = counts.into_iter().collect();
    colours.sort_unstable_by_key(|(colour, count)| (std::cmp::Reverse(*count), *colour));
    let kept: Vec<[u8; 3]> = colours.iter().take(256).map(|(colour, _)| *colour).collect();
    let place = |c: &[u8; 3]| kept.iter().enumerate().min_by_key(|(_, k)| apart(c, k)).map_or(0, |(i, _)| i);
    let places: HashMap<[u8; 3], u8> = colours.iter().map(|(c, _)| (*c, place(c) as u8)).collect();
    let mut last = ([0; 3], places.get(&[0; 3]).copied().unwrap_or(0));
    let mut place_of = |d: &[u8]| {
        if colour(d) != last.0 {
            last = (colour(d), places[&colour(d)]);
        }
        last.1
    };
    let places = dots.chunks_exact(3).map(&mut place_of).collect();
    (kept.concat(), places)
}

/// How far two colours lie apart, squared.
fn apart(a: &[u8; 3], b: &[u8; 3]) -> u32 {
    a.iter().zip(b).map(|(a, b)| u32::from(a.abs_diff(*b)).pow(2)).sum()
}

/// Width and height in dots.
fn size(sheet: &Sheet, scale: u32) -> io::Result<(u32, u32)> {
    let side = |length: f64| length.ceil() * f64::from(scale);
    let (width, height) = (side(sheet.width), side(sheet.height));
    match width.min(height) >= 1.0 && width.max(height) <= LONGEST {
        true => Ok((width as u32, height as u32)),
        false => Err(io::Error::other(format!(
            "a picture of {width} by {height} dots: each side must have 1 to {LONGEST}"
        ))),
    }
}

/// The picture's dots from its upper left corner, row by row, red, green and blue.
fn dots(sheet: &Sheet, size: (u32, u32), scale: u32) -> io::Result<Vec<u8>> {
    dots_like(None, &Marks::of(sheet), size, scale)
}

/// The same, strips copied from another picture of the size where that has the
/// same marks in them.
fn dots_like(
    other: Option<(&Marks, &[u8])>,
    marks: &Marks,
    (width, height): (u32, u32),
    scale: u32,
) -> io::Result<Vec<u8>> {
    let row = 3 * width as usize;
    let mut dots = vec![0; row * height as usize];
    let strips = dots.par_chunks_mut(row * ROWS).enumerate();
    strips.try_for_each_init(Vec::new, |fine, (i, strip)| {
        let rows = (i * ROWS) as u32..(i * ROWS + strip.len() / row) as u32;
        let here = marks.between(&rows, scale);
        if let Some((_, dots)) = other.filter(|(other, _)| alike(&other.between(&rows, scale), &here)) {
            strip.copy_from_slice(&dots[i * ROWS * row..][..strip.len()]);
            return Ok(());
        }
        let size = (FINE * width, FINE * (rows.end - rows.start));
        paper(marks.sheet, size, fine);
        let mut painter = Strip::new(fine, size, f64::from(FINE * scale), FINE * rows.start);
        here.into_iter().try_for_each(|mark| painter.mark(mark))?;
        drop(painter);
        average(fine, row, strip);
        io::Result::Ok(())
    })?;
    Ok(dots)
}

/// A sheet's marks with the heights that each reaches between.
struct Marks<'a> {
    sheet: &'a Sheet,
    reach: Vec<(f64, f64)>,
}

impl<'a> Marks<'a> {
    fn of(sheet: &'a Sheet) -> Self {
        Marks { sheet, reach: sheet.marks.iter().map(reach).collect() }
    }

    /// The marks of which something lies in these rows of dots, or close by.
    fn between(&self, rows: &Range<u32>, scale: u32) -> Vec<&'a Element> {
        let height = |row: u32| f64::from(row) / f64::from(scale);
        let (top, bottom) = (height(rows.start) - 1.0, height(rows.end) + 1.0);
        let all = self.sheet.marks.iter().zip(&self.reach);
        all.filter(|(_, r)| r.1 >= top && r.0 <= bottom).map(|(mark, _)| mark).collect()
    }
}

/// Whether two rows of marks look the same.
fn alike(a: &[&Element], b: &[&Element]) -> bool {
    let looks = |m: &Element| (m.fill, m.pen);
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| looks(a) == looks(b) && a.shape == b.shape)
}

/// Blank paper of a size, in a buffer that may be used again.
fn paper(sheet: &Sheet, (width, height): (u32, u32), fine: &mut Vec<u8>) {
    let Colour(red, green, blue) = sheet.paper();
    fine.resize(3 * width as usize * height as usize, 0);
    match red == green && green == blue {
        true => fine.fill(red),
        false => fine.chunks_exact_mut(3).for_each(|dot| dot.copy_from_slice(&[red, green, blue])),
    }
}

/// Averages the fine dots under each dot; `row` bytes of dots.
fn average(fine: &[u8], row: usize, dots: &mut [u8]) {
    const SIDE: usize = FINE as usize;
    const MANY: u16 = (SIDE * SIDE) as u16;
    for (dots, fine) in dots.chunks_mut(row).zip(fine.chunks(row * SIDE * SIDE)) {
        let mut sums = vec![0_u16; row];
        for fine in fine.chunks_exact(row * SIDE) {
            let under = fine.chunks_exact(3 * SIDE);
            for (sum, under) in sums.chunks_exact_mut(3).zip(under) {
                for dot in under.chunks_exact(3) {
                    (0..3).for_each(|i| sum[i] += u16::from(dot[i]));
                }
            }
        }
        for (dot, sum) in dots.iter_mut().zip(sums) {
            *dot = ((sum + MANY / 2) / MANY) as u8;
        }
    }
}
