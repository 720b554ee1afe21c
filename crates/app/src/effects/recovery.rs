//! What the player has decided survives a crash: the open piece is written to a file of its own with every decision.
//!
//! Each run of the program has its recovery file, and holds a lock on it while it lives. A recovery file that nobody
//! holds was left behind by a run that did not end well.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};

use leverlane_formats::documents::{MOST_BYTES, Piece};
use leverlane_formats::{Said, files};

/// What stands behind the name of a recovery file.
const PIECE: &str = "piece.ron";
/// What stands behind the name of the file whose lock tells that a run lives.
const LOCK: &str = "lock";

/// What the recovery thread is told.
enum Order {
    Keep(Box<Piece>),
    Forget,
    /// What another run left behind can go, now that what was ordered before is on the disk.
    Discard(PathBuf),
}

/// The recovery file of this run.
pub struct Recovery {
    orders: Option<Sender<Order>>,
    writing: Option<JoinHandle<()>>,
}

impl Recovery {
    /// Takes a recovery file in the folder, which is made where it isn't there. `failed` is told what could not be
    /// written, from another thread.
    ///
    /// # Errors
    /// A folder that can't be made or written to, or no thread to be had.
    pub fn begin(folder: &Path, failed: impl Fn(Said) + Send + 'static) -> io::Result<Recovery> {
        fs::create_dir_all(folder)?;
        let (stem, lock) = free_place(folder)?;
        let (orders, incoming) = channel();
        let writing = thread::Builder::new()
            .name("recovery".to_owned())
            .spawn(move || write_newest(&stem, lock, &incoming, failed))?;
        Ok(Recovery { orders: Some(orders), writing: Some(writing) })
    }

    /// Writes the piece as soon as the disk is free; an older one that still waits is dropped.
    pub fn keep(&self, piece: Piece) {
        self.tell(Order::Keep(Box::new(piece)));
    }

    /// Removes what was kept: it is in a file of the player's now, or she doesn't want it.
    pub fn forget(&self) {
        self.tell(Order::Forget);
    }

    /// Removes what another run left behind, once everything that was kept before this is on the disk.
    pub fn discard(&self, file: PathBuf) {
        self.tell(Order::Discard(file));
    }

    fn tell(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // The thread ends before this only where it has told why.
            drop(orders.send(order));
        }
    }
}

impl Drop for Recovery {
    /// Lets the last order be carried out.
    fn drop(&mut self) {
        self.orders = None;
        if let Some(writing) = self.writing.take() {
            drop(writing.join());
        }
    }
}

/// A name in the folder that no living run has, and its lock.
fn free_place(folder: &Path) -> io::Result<(PathBuf, File)> {
    let mut attempt = 0;
    loop {
        let stem = folder.join(format!("{}-{attempt}", std::process::id()));
        // A process number can come again after a crash: what that run left behind is not to be written over.
        if !stem.with_extension(PIECE).exists() {
            let lock = OpenOptions::new().create(true).truncate(false).write(true).open(stem.with_extension(LOCK))?;
            if lock.try_lock().is_ok() {
                return Ok((stem, lock));
            }
        }
        attempt += 1;
        if attempt > 10_000 {
            return Err(io::Error::other("no free name for a recovery file"));
        }
    }
}

fn write_newest(stem: &Path, lock: File, incoming: &Receiver<Order>, failed: impl Fn(Said)) {
    let file = stem.with_extension(PIECE);
    let mut next = None;
    while let Some(mut order) = next.take().or_else(|| incoming.recv().ok()) {
        // Of several pieces to keep only the newest is written; a discarding waits for what came before it.
        while matches!(order, Order::Keep(_) | Order::Forget) {
            match incoming.try_recv() {
                Ok(newer @ (Order::Keep(_) | Order::Forget)) => order = newer,
                Ok(other) => {
                    next = Some(other);
                    break;
                }
                Err(_) => break,
            }
        }
        let done = match order {
            Order::Keep(piece) => match piece.write() {
                Ok(bytes) => files::save(&file, &bytes).map_err(|error| error.said()),
                Err(error) => Err(error.said()),
            },
            Order::Forget => remove(&file).map_err(|error| Said::quoted(error.to_string())),
            Order::Discard(left) => discard(&left).map_err(|error| Said::quoted(error.to_string())),
        };
        if let Err(reason) = done {
            failed(reason);
        }
    }
    drop(lock);
    // A lock that stays behind is found free and removed at the next start.
    drop(fs::remove_file(stem.with_extension(LOCK)));
}

fn remove(file: &Path) -> io::Result<()> {
    for path in [files::previous_version(file), file.to_owned()] {
        match fs::remove_file(path) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(())
}

/// The pieces that runs left behind which live no more, by their recovery file; oldest name first.
///
/// A file that can't be read as a piece stays where it is and is passed over.
pub fn left_behind(folder: &Path) -> Vec<(PathBuf, Piece)> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut found: Vec<(PathBuf, Piece)> = Vec::new();
    for path in entries.filter_map(|entry| entry.ok().map(|entry| entry.path())) {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let Some(stem) = name.strip_suffix(&format!(".{PIECE}")) else { continue };
        if lives(&folder.join(format!("{stem}.{LOCK}"))) {
            continue;
        }
        if let Ok(bytes) = files::read(&path, MOST_BYTES)
            && let Ok(piece) = Piece::read(&bytes)
        {
            found.push((path, piece));
        }
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

fn lives(lock: &Path) -> bool {
    match File::open(lock) {
        Ok(file) => file.try_lock().is_err(),
        Err(_) => false,
    }
}

/// Removes what a run left behind, its lock too.
fn discard(file: &Path) -> io::Result<()> {
    remove(file)?;
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    if let Some(stem) = name.strip_suffix(&format!(".{PIECE}")) {
        match fs::remove_file(file.with_file_name(format!("{stem}.{LOCK}"))) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(())
}
