//! Looking into the diary, and keeping it.

use leverlane_core::drill::Day;
use leverlane_formats::documents::Results;

use crate::effects::{Asker, DiaryOrder, Effect};
use crate::intent::DiaryIntent;
use crate::state::{Deleting, Notice, Place, State};

pub(super) fn apply(state: &mut State, intent: DiaryIntent) -> Vec<Effect> {
    match intent {
        DiaryIntent::Choose(flip) => {
            state.diary.chosen = Some(flip);
            look(state)
        }
        DiaryIntent::Export => vec![Effect::Diary(DiaryOrder::Export)],
        DiaryIntent::Delete => match state.diary.deleting {
            Deleting::No => {
                state.diary.deleting = Deleting::Asked;
                Vec::new()
            }
            Deleting::Asked => {
                state.diary.deleting = Deleting::No;
                state.diary.chosen = None;
                let mut effects = vec![Effect::Diary(DiaryOrder::DeleteEverything)];
                effects.extend(look(state));
                effects
            }
        },
        DiaryIntent::Name(name) => {
            state.diary.student = name;
            Vec::new()
        }
        DiaryIntent::WriteResults => {
            let student = state.diary.student.trim().to_owned();
            let lesson = state.lesson.as_ref().map_or_else(String::new, |desk| desk.lesson.title.clone());
            let open = state.piece.as_ref().map(|piece| piece.title(state.words()));
            match open.or_else(|| chosen_piece(state)) {
                Some(piece) => vec![Effect::Diary(DiaryOrder::WriteResults { student, lesson, piece })],
                None => Vec::new(),
            }
        }
        DiaryIntent::KeepAll => {
            state.diary.deleting = Deleting::No;
            Vec::new()
        }
        DiaryIntent::Seen(picture) => {
            state.diary.chosen = picture.chosen;
            state.diary.picture = Some(picture);
            Vec::new()
        }
        DiaryIntent::Exported(path) => {
            let text = state.words().with("diary-exported", [("path", path.display().to_string().into())]);
            state.notice = Some(Notice::remark(text));
            Vec::new()
        }
        DiaryIntent::Trouble(reason) => {
            state.notice = Some(Notice::error(state.words().said(&reason)));
            Vec::new()
        }
    }
}

/// The piece of the flip whose days are shown.
fn chosen_piece(state: &State) -> Option<String> {
    let picture = state.diary.picture.as_ref()?;
    let flip = picture.flips.iter().find(|flip| Some(flip.flip.id) == picture.chosen)?;
    Some(flip.flip.piece.clone())
}

/// Takes in what a student has sent, and shows it.
pub(super) fn take_in(state: &mut State, results: Results) -> Vec<Effect> {
    state.place = Place::Diary;
    let mut effects = vec![Effect::Diary(DiaryOrder::TakeIn(Box::new(results)))];
    effects.extend(look(state));
    effects
}

/// Asks what was held of the open piece's flips in earlier sittings.
pub(super) fn ask_for_standings(state: &State) -> Option<Effect> {
    let piece = state.piece.as_ref()?.digest();
    Some(Effect::Diary(DiaryOrder::Held { piece, asker: Asker::Standings }))
}

/// Has the diary read.
pub(super) fn look(state: &State) -> Vec<Effect> {
    vec![Effect::Diary(DiaryOrder::Look { today: Day::new(state.now.day), flip: state.diary.chosen })]
}
