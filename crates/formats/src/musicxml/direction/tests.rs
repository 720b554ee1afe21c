use super::*;

fn with_element<T>(xml: &str, read: impl Fn(Node<'_, '_>) -> T) -> T {
    read(roxmltree::Document::parse(xml).unwrap().root_element())
}

#[test]
fn numbers_of_endings() {
    assert_eq!(numbers("1, 2"), [1, 2]);
    assert_eq!(numbers("1-3"), [1, 2, 3]);
    assert_eq!(numbers("1."), [1]);
    assert_eq!(numbers(" "), [0; 0]);
    assert_eq!(numbers("x,300"), [0; 0]);
}

/// Arithmetic: a dotted quarter at 60 is 90 quarters a minute.
#[test]
fn tempos() {
    let read = |xml: &str| with_element(xml, tempo).map(|tempo| tempo.map(Tempo::quarters_per_minute));
    let mark =
        |inner: &str| format!("<direction><direction-type><metronome>{inner}</metronome></direction-type></direction>");
    let dotted = mark("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>ca. 60</per-minute>");
    assert_eq!(read(&dotted), Some(Ok(90.0)));
    assert_eq!(read("<sound tempo='72.5'/>"), Some(Ok(72.5)));
    assert_eq!(read("<direction><sound tempo='72'/></direction>"), Some(Ok(72.0)));
    assert_eq!(read("<direction/>"), None);
    assert!(read("<sound tempo='0'/>").unwrap().is_err());
    assert!(read("<sound tempo='fast'/>").unwrap().is_err());
    let equation = mark("<beat-unit>quarter</beat-unit><beat-unit>half</beat-unit>");
    assert!(read(&equation).unwrap().is_err());
}

#[test]
fn words_that_steer() {
    let read = |words: &str| sign_of_words(words);
    assert_eq!(read("Fine"), Some(Sign::Fine));
    assert!(matches!(read("D.C. al Fine"), Some(Sign::Jump(Jump { target: JumpTarget::DaCapo, .. }))));
    assert!(matches!(read("D. S. al Coda"), Some(Sign::Jump(Jump { target: JumpTarget::DalSegno(_), .. }))));
    assert!(matches!(read("To Coda"), Some(Sign::ToCoda(_))));
    assert_eq!(read("dolce e fine"), None);
}

#[test]
fn barlines() {
    let read = |xml: &str| with_element(xml, barline);
    let first = read(
        "<barline location='right'><ending number='1, 2' type='stop'/><repeat direction='backward' times='3'/></barline>",
    );
    assert_eq!(first.backward, Some(RepeatEnd { times: 3, after_jump: false }));
    assert_eq!((first.ending_stops, first.ending_starts), (Some(vec![1, 2]), None));
    let second = read(
        "<barline location='left' segno='A'><ending number='2' type='start'/><repeat direction='forward'/></barline>",
    );
    assert_eq!((second.location, second.forward), (Location::Left, true));
    assert_eq!(second.ending_starts, Some(vec![2]));
    assert_eq!(second.segno.as_deref(), Some("A"));
}
