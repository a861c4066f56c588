//! Photo → lines: the stages in their order.

use std::f32::consts::FRAC_PI_2;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use image::RgbImage;

use crate::abreast::{Begun, Crew};
use crate::between;
use crate::bundle::{Bundle, ModelInfo};
use crate::codes;
use crate::detect::{self, Place};
use crate::error::OcrError;
use crate::geometry::{Frame, Lie, Quad, angle, bounds, half_turned, length, thickness};
use crate::hexagon;
use crate::ink;
use crate::layout;
use crate::leader;
use crate::legibility;
use crate::line::{PhotoLines, TextLine};
use crate::looks::Eyes;
use crate::median::median;
use crate::model::Model;
use crate::photo::Photo;
use crate::plates;
use crate::recognise::{LINE_HEIGHT, Recogniser, Sight, line_width};
use crate::ruled;
use crate::sample::Pyramid;
use crate::specks;
use crate::stacked;
use crate::turns::Turns;

/// Longest side in pixels of the views in which the plate is looked for: the next one only
/// where the one before shows less than [`FEW`] places.
const FIRST_VIEWS: [f32; 2] = [640.0, 1280.0];
/// A plate has more lines than this; fewer may mean that it is small in the frame.
const FEW: usize = 4;
/// Longest side in pixels of the view of the plate in which its lines are looked for.
const SECOND_VIEW: f32 = 1120.0;
/// Height in pixels that lines should have in the second view: the detector parts
/// neighbouring lines well from about 20 on, and larger views only cost time.
const GOOD_HEIGHT: f32 = 26.0;
/// Pixels of the largest views, but for what their sides are rounded to: the detector takes about 80 bytes for
/// each.
const LARGEST_VIEW: f32 = SECOND_VIEW * SECOND_VIEW;
/// Pixels of a view from which on it is large.
const LARGE_VIEW: u32 = 700_000;
/// Turn (radians) and lean up to which the first view is good enough.
const LEVEL: f32 = 0.03;
/// Lines tried both ways up to tell whether the photo is upside down.
const TRIED_BOTH_WAYS: usize = 5;
/// Pixels of each, at [`LINE_HEIGHT`], that are enough for it.
const TRIED_WIDTH: u32 = 320;
/// Difference of the mean log probabilities of both ways up, summed over the lines tried so far, from
/// which on no more are tried. A line makes about 0.3; of 645 on rendered photos the worst made 0.04 for
/// the wrong way.
const DECIDED: f32 = 0.6;
/// Below this mean probability a place is taken for texture, not for text.
const READABLE: f32 = 0.35;

/// The models, loaded once; reading needs only a shared reference, also from several
/// threads at once.
pub struct Reader {
    detector: Box<dyn Model>,
    plate: Arc<Recogniser>,
    general: Arc<Recogniser>,
    models: Vec<ModelInfo>,
    /// What was got ready beforehand since the models rested.
    ready: Ready,
    crew: Crew,
    /// Of views that take much memory.
    large: Turns,
    /// When a photo was last begun or done with; none while the models rest.
    used: Mutex<Option<Instant>>,
}

/// What another processor gets ready while a photo is read, once.
#[derive(Default)]
struct Ready {
    lines: AtomicBool,
    general: AtomicBool,
    all: AtomicBool,
}

impl Ready {
    fn reset(&self) {
        for done in [&self.lines, &self.general, &self.all] {
            done.store(false, Ordering::Relaxed);
        }
    }
}

impl Reader {
    /// A reader with the models built into the program.
    ///
    /// # Errors
    ///
    /// [`OcrError`] when a model is not the one that the manifest names or cannot be
    /// loaded.
    pub fn bundled() -> Result<Self, OcrError> {
        let bundle = Bundle::open()?;
        let reader = Self {
            detector: Box::new(bundle.model("detector")?),
            plate: Arc::new(bundle.recogniser("recogniser-plate", Sight::Brightness)?),
            // Sees doubtful lines alone, and is read when the first one comes.
            general: Arc::new(bundle.recogniser("recogniser", Sight::Colours)?),
            models: bundle.info(),
            ready: Ready::default(),
            crew: Crew::default(),
            large: Turns::default(),
            used: Mutex::new(Some(Instant::now())),
        };
        // Both at once: the service starts, and somebody waits.
        std::thread::scope(|scope| {
            let plate = scope.spawn(|| reader.plate.prepare());
            let detector = reader.detector.prepare();
            let plate = plate.join();
            detector.and(plate.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
        })?;
        Ok(reader)
    }

    /// Lets go of what the models made for the photos so far, a few hundred megabytes, where none
    /// was read for `idle`. The next photo makes it again, which takes it about half a second.
    /// True where the models rest now.
    pub fn rest(&self, idle: Duration) -> bool {
        let mut used = self.used.lock().unwrap_or_else(PoisonError::into_inner);
        if used.is_none_or(|at| at.elapsed() < idle) {
            return used.is_none();
        }
        *used = None;
        self.detector.rest();
        for recogniser in [&self.plate, &self.general] {
            recogniser.rest();
        }
        self.ready.reset();
        true
    }

    /// Plans the recogniser for plates on another processor while this one looks for text. Not done
    /// before there is a photo, since it takes memory.
    fn expect_lines(&self) {
        let plate = Arc::clone(&self.plate);
        self.beforehand(&self.ready.lines, move || plate.expect_lines());
    }

    /// Loads the general recogniser on another processor while this one reads the other lines.
    fn expect_doubt(&self) {
        let general = Arc::clone(&self.general);
        self.beforehand(&self.ready.general, move || general.prepare());
    }

    /// Plans lines of any width on another processor. Where one photo showed doubtful lines, others will: a
    /// network whose widths are all planned is let go, and memory stops growing with the photos.
    fn expect_all_lines(&self) {
        if !self.ready.general.load(Ordering::Relaxed) {
            return;
        }
        let recognisers = [&self.plate, &self.general].map(Arc::clone);
        self.beforehand(&self.ready.all, move || {
            recognisers.iter().try_for_each(|r| r.expect_all_lines())
        });
    }

    /// Does `work` in a thread of its own, once, where there is another processor for it.
    fn beforehand(
        &self,
        done: &AtomicBool,
        work: impl FnOnce() -> Result<(), OcrError> + Send + 'static,
    ) {
        if self.crew.is_alone() || done.swap(true, Ordering::Relaxed) {
            return;
        }
        // What fails here fails again where it is needed, and is told of there.
        std::thread::spawn(move || drop(work()));
    }

    fn is_used(&self) {
        *self.used.lock().unwrap_or_else(PoisonError::into_inner) = Some(Instant::now());
    }

    /// The models that take part in a reading.
    pub fn models(&self) -> &[ModelInfo] {
        &self.models
    }

    /// The text on `photo`. A photo without text gives no lines.
    ///
    /// # Errors
    ///
    /// [`OcrError::Model`] when a model fails; the photo is never at fault.
    pub fn read(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        self.is_used();
        self.expect_lines();
        self.expect_all_lines();
        let crew = self.crew.begin();
        let pyramid = Pyramid::new(photo.image());
        let (quads, plates, mut read) = self.locate(&pyramid, &crew)?;
        let eyes = Eyes {
            plate: &self.plate,
            general: &self.general,
            crew: &crew,
        };
        let mut unread = 0;
        let readings = eyes.read_all(&pyramid, &quads, || self.expect_doubt())?;
        for ((quad, plate), reading) in quads.into_iter().zip(plates).zip(readings) {
            if reading.sureness() < READABLE.ln() {
                unread += 1;
                continue;
            }
            let line = reading.at(quad);
            read.lines.push(TextLine { plate, ..line });
        }
        unread += specks::take_out(&mut read.lines);
        let read_quads: Vec<Quad> = read.lines.iter().map(|l| l.quad).collect();
        let lie = layout::lie(&read_quads, f32::from(read.turn).to_radians());
        let found = codes::find(&pyramid, &read.lines, lie);
        let taken = found.places();
        read.lines
            .retain(|line| !taken.iter().any(|place| codes::covers(place, line)));
        between::put_in(eyes, &pyramid, &mut read.lines, lie, &taken)?;
        ink::mark(&pyramid, &mut read.lines, lie, &taken);
        hexagon::put_in(eyes, &pyramid, &mut read.lines)?;
        legibility::mark(&pyramid, &mut read.lines);
        if unread > 0 {
            read.notes.push(format!(
                "Places that look like text but could not be read: {unread}."
            ));
        }
        if !found.unread.is_empty() {
            read.notes.push(format!(
                "Machine-readable codes that were found but could not be read: {}.",
                found.unread.len()
            ));
        }
        read.codes = found.codes;
        self.is_used();
        Ok(read)
    }

    /// Where text stands on `photo`, unread: corners as in [`TextLine::quad`], in
    /// reading order.
    ///
    /// # Errors
    ///
    /// As [`Reader::read`].
    pub fn places(&self, photo: &Photo) -> Result<Vec<[[f32; 2]; 4]>, OcrError> {
        let crew = self.crew.begin();
        Ok(self.locate(&Pyramid::new(photo.image()), &crew)?.0)
    }

    /// The text in one place of `photo`, looked at once; `quad` as in
    /// [`TextLine::quad`].
    ///
    /// # Errors
    ///
    /// As [`Reader::read`].
    pub fn read_line(&self, photo: &Photo, quad: [[f32; 2]; 4]) -> Result<TextLine, OcrError> {
        let picture = line_picture(photo, quad);
        Ok(self.plate.read(&picture)?.at(quad))
    }

    /// The places of text in reading order, the plate of each, and a reading without lines yet.
    fn locate(
        &self,
        pyramid: &Pyramid,
        crew: &Begun<'_>,
    ) -> Result<(Vec<Quad>, Vec<usize>, PhotoLines), OcrError> {
        let mut read = PhotoLines::default();
        let (first_frame, places) = self.find(pyramid)?;
        if first_frame.step() > 1.0 {
            read.notes.push(format!(
                "Text was looked for at {:.2} of the photo's size; lines are read at full size.",
                1.0 / first_frame.step()
            ));
        }
        let mut quads: Vec<Quad> = places
            .iter()
            .map(|p| onto_picture(first_frame, &p.quad))
            .collect();
        if quads.is_empty() {
            return Ok((quads, Vec::new(), read));
        }
        let turn = self.turn(pyramid, crew, &quads)?;
        read.turn = (turn / FRAC_PI_2).round().rem_euclid(4.0) as u16 * 90;
        orient(&mut quads, turn);
        let mut lie = layout::lie(&quads, turn);
        if let Some((frame, width, height)) = closer(&quads, lie, first_frame) {
            let view = pyramid.view(frame, width, height);
            let closer = self.places_in(&view)?;
            if !closer.is_empty() {
                quads = closer
                    .iter()
                    .map(|p| onto_picture(frame, &p.quad))
                    .collect();
                orient(&mut quads, turn);
                lie = layout::lie(&quads, turn);
            }
        }
        let quads = ruled::parted(pyramid, &quads, lie);
        let quads = stacked::parted(pyramid, &quads);
        let (mut ordered, mut numbers) = (Vec::new(), Vec::new());
        for (number, group) in plates::apart(pyramid, &quads, lie).iter().enumerate() {
            let own: Vec<Quad> = group.iter().map(|&i| quads[i]).collect();
            let lie = if own.len() == quads.len() {
                lie
            } else {
                layout::lie(&own, turn)
            };
            let is_parted = |line: &Quad| ruled::is_parted(pyramid, line, lie);
            ordered.extend(layout::ordered(&own, lie, is_parted));
            numbers.resize(ordered.len(), number);
        }
        let (ordered, numbers) = leader::joined(pyramid, &ordered, &numbers, lie);
        Ok((ordered, numbers, read))
    }

    /// The places of text in a view. What the detector makes of a large one takes a hundred megabytes for a
    /// moment; two of them at the same moment made the peak of an import.
    fn places_in(&self, view: &RgbImage) -> Result<Vec<Place>, OcrError> {
        let is_large = view.width() * view.height() >= LARGE_VIEW;
        let _turn = is_large.then(|| self.large.take());
        detect::places(self.detector.as_ref(), view)
    }

    /// Looks for text on the whole photo, more closely where little is found.
    fn find(&self, pyramid: &Pyramid) -> Result<(Frame, Vec<Place>), OcrError> {
        let (width, height) = pyramid.full().dimensions();
        let longest = width.max(height) as f32;
        let mut best: Option<(Frame, Vec<Place>)> = None;
        for longest_side in FIRST_VIEWS {
            let step = (longest / longest_side)
                .max((width as f32 * height as f32 / LARGEST_VIEW).sqrt())
                .max(0.5);
            if best.as_ref().is_some_and(|(seen, _)| seen.step() <= step) {
                // The photo has no more pixels to show.
                break;
            }
            let frame = Frame::new([0.0, 0.0], Lie::default(), step);
            let view = pyramid.view(frame, side(width as f32 / step), side(height as f32 / step));
            let places = self.places_in(&view)?;
            let enough = places.len() >= FEW;
            if best
                .as_ref()
                .is_none_or(|(_, found)| places.len() >= found.len())
            {
                best = Some((frame, places));
            }
            if enough {
                break;
            }
        }
        Ok(best.unwrap_or((Frame::new([0.0, 0.0], Lie::default(), 1.0), Vec::new())))
    }

    /// The angle nearest to the text's that is a multiple of a quarter turn.
    fn turn(&self, pyramid: &Pyramid, crew: &Begun<'_>, quads: &[Quad]) -> Result<f32, OcrError> {
        let lying = |q: &Quad| angle(q).cos().abs() >= angle(q).sin().abs();
        let extent =
            |along: bool| -> f32 { quads.iter().filter(|q| lying(q) == along).map(length).sum() };
        let along = extent(true) >= extent(false);
        let mut longest: Vec<&Quad> = quads.iter().filter(|q| lying(q) == along).collect();
        longest.sort_by(|a, b| length(b).total_cmp(&length(a)));
        let mut forwards = 0.0_f32;
        for quad in longest.into_iter().take(TRIED_BOTH_WAYS) {
            let whole = pyramid.line(quad, line_width(quad), LINE_HEIGHT);
            let width = whole.width().min(TRIED_WIDTH);
            let picture = image::imageops::crop_imm(&whole, 0, 0, width, LINE_HEIGHT).to_image();
            let backwards = image::imageops::rotate180(&picture);
            let both = crew.each(&[picture, backwards], |way| self.plate.read(way))?;
            forwards += both[0].sureness() - both[1].sureness();
            if forwards.abs() > DECIDED {
                break;
            }
        }
        let base = if along { 0.0 } else { FRAC_PI_2 };
        Ok(if forwards >= 0.0 {
            base
        } else {
            base + 2.0 * FRAC_PI_2
        })
    }
}

/// The text in `quad` (as in [`TextLine::quad`]) drawn upright, 48 pixels high: what
/// the recogniser sees.
pub fn line_picture(photo: &Photo, quad: [[f32; 2]; 4]) -> RgbImage {
    Pyramid::new(photo.image()).line(&quad, line_width(&quad), LINE_HEIGHT)
}

fn onto_picture(frame: Frame, quad: &Quad) -> Quad {
    let mut q = quad.map(|p| frame.to_picture(p));
    // The longer side's direction was chosen in the frame; the picture's may differ.
    let a = angle(&q);
    let points_back = if a.cos().abs() >= a.sin().abs() {
        a.cos() < 0.0
    } else {
        a.sin() < 0.0
    };
    if points_back {
        q = half_turned(&q);
    }
    q
}

/// Side in pixels of a view: what the detector's strides divide, in steps that keep
/// the number of different views small.
fn side(pixels: f32) -> u32 {
    (pixels.ceil() as u32).max(32).next_multiple_of(160)
}

/// Turns quads that point against `turn` around.
fn orient(quads: &mut [Quad], turn: f32) {
    for quad in quads {
        if (angle(quad) - turn).cos() < 0.0 {
            *quad = half_turned(quad);
        }
    }
}

/// The frame of a closer look at the lines found so far, and its size in pixels;
/// `None` when it would show nothing new.
fn closer(quads: &[Quad], lie: Lie, seen: Frame) -> Option<(Frame, u32, u32)> {
    let mut heights: Vec<f32> = quads.iter().map(thickness).collect();
    let height = median(&mut heights)?;
    let full = Frame::new([0.0, 0.0], lie, 1.0);
    let standing: Vec<Quad> = quads
        .iter()
        .map(|q| q.map(|p| full.onto_frame(p)))
        .collect();
    let [x0, y0, x1, y1] = bounds(standing.iter().flatten());
    let margin = 1.5 * height;
    let (width, tall) = (x1 - x0 + 2.0 * margin, y1 - y0 + 2.0 * margin);
    let step = (height / GOOD_HEIGHT)
        .max(width.max(tall) / SECOND_VIEW)
        .max(0.5);
    let level = lie.turn.cos() > 0.0 && lie.turn.sin().abs() < LEVEL && lie.lean.abs() < LEVEL;
    if step > 0.85 * seen.step() && level {
        return None;
    }
    let frame = Frame::new(full.to_picture([x0 - margin, y0 - margin]), lie, step);
    Some((frame, side(width / step), side(tall / step)))
}
