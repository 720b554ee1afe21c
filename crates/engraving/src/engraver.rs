//! The engraver at work on a thread of its own: music in, drawings and pictures out, nobody waits.

use std::collections::{HashMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread;

use crate::drawing::{Drawing, Music};
use crate::engine::{Engine, PageSize};
use crate::picture::Picture;
use crate::{EngravingError, MusicFonts};

/// Which drawing an answer belongs to; the asker counts them up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DrawingId(pub u64);

/// A picture of one system.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureRequest {
    /// Which drawing.
    pub drawing: DrawingId,
    /// Which of its systems.
    pub system: usize,
    /// Pixels to a staff space.
    pub pixels_per_space: f32,
}

/// What comes back.
#[derive(Clone, Debug)]
pub enum Answer {
    /// Music is laid out, or isn't.
    Drawn {
        /// As asked.
        id: DrawingId,
        /// The drawing.
        drawing: Result<Arc<Drawing>, EngravingError>,
    },
    /// A picture is ready, or isn't.
    Pictured {
        /// As asked.
        request: PictureRequest,
        /// The picture.
        picture: Result<Arc<Picture>, EngravingError>,
    },
}

enum Order {
    Draw(DrawingId, Arc<Music>, PageSize),
    Picture(PictureRequest),
}

/// The asker's end. When it is dropped, the thread ends after what it is at.
///
/// Only the newest drawing counts: orders for older ones that are still waiting are dropped, and so are their answers.
pub struct Engraver {
    orders: Sender<Order>,
    answers: Receiver<Answer>,
    newest: Option<DrawingId>,
}

impl Engraver {
    /// Starts the thread. Its fonts are kept in `fonts` for good, or only while it runs where that is none. `wake` is
    /// called from the thread after each answer.
    ///
    /// # Errors
    /// Where the system starts no more threads.
    pub fn start(fonts: Option<PathBuf>, wake: impl Fn() + Send + 'static) -> std::io::Result<Engraver> {
        let (orders, to_do) = channel();
        let (done, answers) = channel();
        thread::Builder::new().name("engraver".to_owned()).spawn(move || {
            let mut desk =
                Desk { fonts, engine: None, newest: None, drawings: Vec::new(), pictures: Pictures::default() };
            desk.work(&to_do, |answer| {
                let heard = done.send(answer).is_ok();
                wake();
                heard
            });
        })?;
        Ok(Engraver { orders, answers, newest: None })
    }

    /// Asks for a drawing; it takes the place of all before it.
    pub fn draw(&mut self, id: DrawingId, music: Arc<Music>, size: PageSize) {
        self.newest = Some(id);
        self.send(Order::Draw(id, music, size));
    }

    /// Asks for a picture of a system of the newest drawing.
    pub fn picture(&mut self, request: PictureRequest) {
        self.send(Order::Picture(request));
    }

    fn send(&self, order: Order) {
        if self.orders.send(order).is_err() {
            log::error!("the engraver's thread has ended");
        }
    }

    /// The answers that have come since the last time, those to older drawings left out.
    pub fn answers(&mut self) -> Vec<Answer> {
        let newest = self.newest;
        self.answers.try_iter().filter(|answer| Some(answer.drawing()) == newest).collect()
    }

    /// Waits for the next answer, whichever drawing it is for; none where the thread has ended.
    pub fn wait(&mut self) -> Option<Answer> {
        self.answers.recv().ok()
    }
}

impl Answer {
    fn drawing(&self) -> DrawingId {
        match self {
            Answer::Drawn { id, .. } => *id,
            Answer::Pictured { request, .. } => request.drawing,
        }
    }
}

/// Drawings that are kept, by their content: going back to the music before costs nothing.
const KEPT_DRAWINGS: usize = 4;

struct KeptDrawing {
    music: Arc<Music>,
    size: PageSize,
    drawing: Arc<Drawing>,
}

/// The thread's own things.
struct Desk {
    fonts: Option<PathBuf>,
    engine: Option<Engine>,
    newest: Option<(DrawingId, Arc<Drawing>)>,
    /// The last used one last.
    drawings: Vec<KeptDrawing>,
    pictures: Pictures,
}

impl Desk {
    fn work(&mut self, to_do: &Receiver<Order>, answer: impl Fn(Answer) -> bool) {
        let mut waiting: VecDeque<Order> = VecDeque::new();
        loop {
            if waiting.is_empty() {
                match to_do.recv() {
                    Ok(order) => waiting.push_back(order),
                    Err(_) => return,
                }
            }
            loop {
                match to_do.try_recv() {
                    Ok(order) => waiting.push_back(order),
                    Err(TryRecvError::Empty) => break,
                    Err(TryRecvError::Disconnected) => return,
                }
            }
            // Everything before the newest drawing has lost its use.
            if let Some(newest) = waiting.iter().rposition(|order| matches!(order, Order::Draw(..))) {
                waiting.drain(..newest);
            }
            let Some(order) = waiting.pop_front() else { continue };
            if self.carry_out(order).is_some_and(|done| !answer(done)) {
                return;
            }
        }
    }

    fn carry_out(&mut self, order: Order) -> Option<Answer> {
        match order {
            Order::Draw(id, music, size) => {
                let drawing = guarded(|| self.draw(&music, size));
                if let Err(error) = &drawing {
                    log::warn!("{error}");
                    // Whatever state it is in: the next drawing begins with a new one.
                    self.engine = None;
                }
                self.newest = drawing.as_ref().ok().map(|drawing| (id, drawing.clone()));
                Some(Answer::Drawn { id, drawing })
            }
            Order::Picture(request) => {
                let (id, drawing) = self.newest.clone()?;
                if id != request.drawing {
                    return None;
                }
                let picture = guarded(|| self.pictures.get(&drawing, request));
                Some(Answer::Pictured { request, picture })
            }
        }
    }

    fn draw(&mut self, music: &Arc<Music>, size: PageSize) -> Result<Arc<Drawing>, EngravingError> {
        if let Some(place) = self.drawings.iter().position(|kept| kept.size == size && kept.music == *music) {
            let kept = self.drawings.remove(place);
            let drawing = kept.drawing.clone();
            self.drawings.push(kept);
            return Ok(drawing);
        }
        let mut engine = match self.engine.take() {
            Some(engine) => engine,
            None => Engine::start(match &self.fonts {
                Some(folder) => MusicFonts::kept_in(folder)?,
                None => MusicFonts::temporary()?,
            })?,
        };
        let drawing = Arc::new(Drawing::of(music, size, &mut engine)?);
        self.engine = Some(engine);
        if self.drawings.len() >= KEPT_DRAWINGS {
            self.drawings.remove(0);
        }
        self.drawings.push(KeptDrawing { music: music.clone(), size, drawing: drawing.clone() });
        Ok(drawing)
    }
}

/// Turns a panic into an error.
fn guarded<T>(work: impl FnOnce() -> Result<T, EngravingError>) -> Result<T, EngravingError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no reason given");
        Err(EngravingError::Panicked(text.to_owned()))
    })
}

/// Pictures that are kept, by the drawing's content, system and size.
#[derive(Default)]
struct Pictures {
    kept: HashMap<PictureKey, Arc<Picture>>,
    /// The last used one last.
    used: Vec<PictureKey>,
    bytes: usize,
}

/// A system by its content, and the size in thousandths of a pixel to a staff space.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct PictureKey(u64, u64);

/// About forty systems across a large screen.
const MOST_PICTURE_BYTES: usize = 48 << 20;

impl Pictures {
    fn get(&mut self, drawing: &Arc<Drawing>, request: PictureRequest) -> Result<Arc<Picture>, EngravingError> {
        let scale = (f64::from(request.pixels_per_space.max(0.0)) * 1000.0).round() as u64;
        let system = drawing.systems.get(request.system);
        let system = system.ok_or_else(|| EngravingError::Drawing("no such system".to_owned()))?;
        let key = PictureKey(system.fingerprint, scale);
        if let Some(picture) = self.kept.get(&key) {
            self.used.retain(|used| *used != key);
            self.used.push(key);
            return Ok(picture.clone());
        }
        let picture = Arc::new(Picture::of(system, request.pixels_per_space)?);
        self.bytes += picture.ink.len();
        while self.bytes > MOST_PICTURE_BYTES && !self.used.is_empty() {
            if let Some(dropped) = self.kept.remove(&self.used.remove(0)) {
                self.bytes -= dropped.ink.len();
            }
        }
        self.kept.insert(key, picture.clone());
        self.used.push(key);
        Ok(picture)
    }
}
