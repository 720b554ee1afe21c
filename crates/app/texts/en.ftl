# Everything that Leverlane's window says, in English. Every text stands in every other language's file too.

## Places

place-piece = Piece
place-harp = Harp
place-drill = Drill
place-diary = Diary
place-go = Go to { $place }

## Music

sharp = sharp
flat = flat
and = and
lever-up = up
lever-down = down
hand-left = left hand
hand-right = right hand
hand-left-letter = L
hand-right-letter = R
bar-and-beat = { $time ->
    [1] bar { $bar }, beat { $beat }
    [2] bar { $bar }, beat { $beat }, 2nd time
    [3] bar { $bar }, beat { $beat }, 3rd time
   *[other] bar { $bar }, beat { $beat }, { $time }th time
 }
bar-numbered = bar { $bar }
bar-gone = a bar that is gone
tempo = { $number } { $unit } a minute
a-minute = { $unit } a minute
unit-quarters = quarters
unit-eighths = eighths
unit-halves = halves
unit-dotted-quarters = dotted quarters
unit-dotted-halves = dotted halves
unit-dotted-eighths = dotted eighths
unit-other = beats of { $quarters } quarters
chunk-flip-bar = the flip’s own bar
chunk-bar-each-side = a bar each side
chunk-two-bars-each-side = two bars each side
chunk-whole-piece = the whole piece
bar-through = { $time ->
    [1] { $bar }
    [2] { $bar }, 2nd time
    [3] { $bar }, 3rd time
   *[other] { $bar }, { $time }th time
 }
chunk-bars = bars { $from } to { $to }
chunk-own-bars = bars of your own
join-earlier = and the flip before
join-later = and the flip after
pace-beginner = a beginner’s
pace-improver = an improver’s
pace-fluent = fluent
pace-expert = an expert’s
pace-measured = your own (× { $factor })
pace-measure = your own, from the diary
pace-measure-why = From the tempos that you have held with both hands, in this piece: how much slower or faster your hands are than fluent ones.
pace-unknown = The diary can’t tell your own pace yet: it needs three flips of this piece, held with both hands below the tempo you work for. Practise them on the ladder.
pace-found = Planned for your own hands now: the tempos you held ask for { $factor } times the time of fluent hands.
harp-range = { $strings } strings, { $low }–{ $high }
harp-own = your own { $strings } strings
string-named = the { $name } string
string-numbered = string { $number }

## What can't be done, and what helps

problem-off-the-harp = { $notes } lies outside this harp’s range
problem-not-in-tuning = { $notes } can’t be reached from this tuning on any string
problem-no-lever = { $notes } would need a lever that its string doesn’t have
problem-same-string = { $notes } need one string in two ways at once
problem-no-room = no room for a flip between { $notes }
problem-rushed = too little time for the flip before { $notes }
problem-edit-not-met = your own choice for { $notes } can’t be met
problem-refused = You asked: { $decision }. That can’t be done: { $reason }
refused-no-such-bar = the piece has no such bar any more
refused-outside-the-bar = the bar is shorter than that
refused-no-such-string = this harp has no such string
refused-no-lever = the string has no lever
refused-no-such-note = there is no such note any more
refused-string-cannot-sound = the string can’t sound that note, neither open nor raised
refused-not-needed = no such flip is needed there
refused-outside-the-window = the flip has to be made between two notes of its string
refused-collides = the same hand is fixed to another lever on that beat
refused-needed-by-the-loop = the piece can’t begin again without it
problem-this-moment = this moment
problem-many-places = : { $count } places, marked × on the strip
problem-also = { $count ->
    [1] ; also in bar { $bars }
   *[other] ; also in bars { $bars }
 }
problem-also-more = ; also in bars { $bars } and { $more } more
problem-show = Show
problem-show-named = Show { $place }
problem-no-way = No way out was found that works.
way-slower = Slow down to { $tempo }
way-tuning = Tune the harp to { $tuning }
way-hand = Flip { $string } with the { $hand }
way-place = Flip { $string } in { $place }
way-harp = Take a harp of { $harp }, tuned to { $tuning }
way-retune = Tune { $string } to { $pitch } before the start
way-damp = { $decision }, and damp the string first
way-withdraw = Take back: { $decision }
way-forbid = Don’t flip { $string } for { $place }
way-string = Play { $note } in { $place } on { $string }
way-preset = Set { $string } { $state } before the start

## The head

app-name = Leverlane
head-reading = reading …
head-planning = planning …
head-open = Open …
head-open-spoken = Open a file
head-help = Help
head-save = Save
head-more = More
more-demo = Open the demo piece
more-save-as = Save as …
more-save-harp = Save the harp …
more-settings = Settings
about = About Leverlane
about-copy = Copy version and licences
more-warnings = Everything read otherwise
more-hands = Who plays what
more-recent = Recent pieces
undo = Undo
redo = Redo

## Welcome

welcome-waiting = One moment: finding the flips …
welcome-question = Which piece shall it be?
welcome-what = Leverlane finds the lever flips in a score for your harp and loops each one until it sits.
welcome-open = Open a score …
welcome-open-spoken = Open a score
welcome-demo = Try the demo piece
welcome-formats = MusicXML (.musicxml, .xml, .mxl), MIDI or ABC; you can also drop a file on this window.

## Files

demo-piece = the demo piece
dialog-open = Open a piece or a harp
dialog-save = Save the piece
dialog-pieces = Pieces
dialog-save-harp = Save the harp
dialog-harps = Harps
dialog-scores = Scores
dialog-all-files = All files
dialog-none = This desktop shows no file dialog; drop the file on this window, or start the program as leverlane FILE
file-remarks = { $more ->
    [0] { $name }: { $first }
   *[other] { $name }: { $first } (and { $more } more such remarks)
 }

## Messages

notice-error = Not done
notice-remark = Note
notice-copy = Copy
notice-copy-spoken = Copy the message
notice-dismiss = Dismiss
notice-dismiss-spoken = Dismiss the message
silence = No sound
silence-dismiss-spoken = Dismiss the remark on sound

## Piece

sentence-harp = On a harp of
sentence-harp-spoken = Harp: { $harp }
sentence-tuning = tuned to
sentence-tuning-spoken = Tuning: { $tuning }
sentence-tuning-mixed = its own tuning
sentence-pace = with
sentence-pace-spoken = Pace: { $pace } hands
sentence-goal = hands, wanted at
goal-lower-spoken = Lower the wanted tempo
goal-raise-spoken = Raise the wanted tempo
forget-edits = Undo my choices
set-up-none-heading = First set the levers
set-up-none = all down
set-up-heading = First set these levers up, all others down
set-up-spoken = Set up: { $levers }
set-up-harp-spoken = The harp with its levers: up are { $levers }
levers-none = none
levers-every = every { $letters }
levers-but = every { $letter } but { $strings }
list-and = { $first } and { $last }
piece-drill = Drill this flip
piece-drill-spoken = Drill the flip { $flip }, { $place }
piece-no-flips = Nothing has to be flipped in this piece: set the levers and play.
piece-play = Play the piece
piece-play-bars = Play { $bars }
piece-choose-bars = Drag over the notes to choose bars.
piece-move-flips = Drag a flip to another beat.

## The flips

flips-count = { $count ->
    [0] No flips
    [1] One flip
   *[other] { $count } flips
 }
flips-unplayable = { $count } can’t be played
flips-rushed = { $count } too tight
flips-respelled = { $count } respelled to save flips
flips-problems = { $count ->
    [1] Show the problem
   *[other] Next of { $count } problems
 }
proof-best = Best possible plan
proof-unplayable = At best { $gap } fewer not playable
proof-rushed = At best { $gap } fewer too tight
proof-work = Within { $gap } of the best possible (a flip counts 10, a respelled note 4)
proof-comfort = Best possible but for comfort, within { $gap }
repeat-time = { $time ->
    [2] 2nd
    [3] 3rd
   *[other] { $time }th
 }
repeat-place = bar { $bar }, { $times } time: not as the first
repeat-differs = { $what }: { $then }; the first time { $first }
repeat-flip-at = beat { $beat }, { $hand }
repeat-no-flip = not in this bar
repeat-note = { $note } on beat { $beat }
repeat-not-played = not played
top-any = at any tempo
top-none = at no tempo
top-up-to = up to { $tempo } a minute
time-free = needs { $needed } s, nothing presses
time-rushed = ! too tight: needs { $needed } s, has { $available } s
time-enough = needs { $needed } s, has { $available } s

## The strip

score-failed = The notes can’t be drawn, so they are shown as strings: { $reason }
score-spoken-pass = Score of { $bars } bars with { $flips } flips. The last pass: { $hit } notes came, { $missed } did not, { $wrong } with the wrong lever, { $unheard } not heard.
score-spoken = Score of { $bars } bars with { $flips } flips
piece-show-strings = Show as strings
piece-show-notes = Show as notes
strip-spoken = Strip of { $bars } bars with { $flips } flips on { $strings } strings
strip-flip-spoken = Flip { $flip }, { $hand }, { $place }
strip-reset-spoken = Reset { $flip }, { $hand }, before the next time round
strip-levers-back = levers back
strip-now = now
strip-start = start
whole-spoken = The whole piece, { $bars } bars
whole-looped-spoken = The whole piece, { $bars } bars as played; looped: { $from } to { $to }

## Drill

drill-no-loop = This loop can’t be made: { $reason }
drill-empty = Open a piece first: the drill is about one of its flips.
drill-open-piece = Go to the piece
then-nothing = Then nothing has to be flipped. { $key } plays the piece.
then-whole = Then { $key } plays the whole piece.
then-loop = Then { $key } loops { $flip } with the { $hand }, { $place }.
next-flip = Next flip
next-none = No flips in this loop
next-counting-in = Count-in. The first flip:
next-spoken = Next flip: { $flip }, { $hand }, { $place }, { $when }
next-reset = back for the next time round
count-now = now
count-next = on the next beat
count-beats = in { $beats } beats
start = Start
start-spoken = Start the loop
stop = Stop
stop-spoken = Stop the loop
previous = Previous
previous-spoken = Previous flip
next = Next flip
next-button-spoken = Next flip
slower-spoken = Practise slower
faster-spoken = Practise faster
tempo-spoken = Practice tempo: { $tempo }
to-goal = to { $tempo }
to-goal-spoken = Practise at the wanted tempo
loop = Loop
loop-begin-earlier = begin a bar earlier
loop-begin-later = begin a bar later
loop-end-earlier = end a bar earlier
loop-end-later = end a bar later
loop-spoken = Loop: { $size }
voice-click = Click
settings-click = Click
click-usual = usual
click-high = high and soft
click-high-hint = The microphone tells a high click from your harp more easily, so more of your notes on the beat are timed well. But at 9.5 kHz many people, above all older ones, can’t hear it: try whether you can, and don’t turn it up to find out. The beat to be seen goes with it; { $key } hides it or shows it again.
voice-cue = Cue tone
voice-notes = Notes
voice-guide = Cue line
voice-spoken = { $voice } volume
hand-heard = { $hand } heard
hand-silent = { $hand } silent
hand-spoken = Hear the { $hand }

## Practice on a ladder

ladder = Ladder
ladder-spoken = Practise this flip on a tempo ladder
ladder-leave = Leave the ladder
ladder-leave-spoken = Leave the ladder and loop at a tempo of your own
practice-rung = rung { $rung } of { $rungs }, on to { $goal }
practice-spoken = Rung { $rung } of { $rungs }, { $tempo }; { $clean } of { $needed } clean passes in a row
practice-in-a-row = clean in a row
practice-begin = Play the loop. Tell each flip with the right pedal; the left one says that a pass went wrong.
practice-steady = Clean.
practice-not-yet = Not yet.
practice-unheard = Not counted.
practice-nothing-told = Neither tapped nor said: the pass counts for nothing.
practice-up = A rung up.
practice-down = A rung down.
practice-reached = The goal is held.
practice-stops = Three times back from this rung. Make it easier:
practice-pause = You have played for 50 minutes. Rest your hands, your back and your ears for { $minutes } minutes.
practice-said = You said so yourself.
offer-smaller = Less music: { $size }
offer-larger = More music: { $size }
offer-layer = { $layer }
offer-go-on = Go on: { $layer }
layer = Play
layer-flip-alone = the flip alone, in rhythm
layer-flipping-hand = the flipping hand
layer-other-hand = the other hand by feel
layer-both = both hands
layer-spoken = Play: { $layer }
speech = spoken count
speech-spoken = Speak the count and the flips
cues = Cues
cues-everything = everything
cues-tone = tone and click
cues-click = click
cues-every-other = click in every other bar
cues-count-in = only the count-in
cues-spoken = Cues: { $cues }
cues-fade = fade by themselves
cues-fade-spoken = Let the cues fade as passes come clean
pedal-right-tap = right pedal: the flip, now
pedal-left-wrong = left pedal: went wrong (twice: stop)
pedal-right-start = right pedal: start
pedal-left-next = left pedal: next flip
mark-clean = clean
mark-missed = not clean
mark-unheard = not counted
lesson-place = { $title }: { $chunk } of { $chunks }

## What is to be mended

mend-flip-missed = The { $lever } lever stayed { $was }: move it { $to } before that string is plucked again.
mend-flip-half = The { $lever } lever went only part of its way: move it through its whole travel.
mend-flip-half-cents = The { $lever } lever went only part of its way ({ $cents } of 100 cents): move it through its whole travel.
mend-flip-late = The { $lever } lever moved after its string was plucked: let the hand leave earlier.
mend-tap-late = The flip of { $lever } came { $ms } ms after its beat: count it aloud.
mend-tap-early = The flip of { $lever } came { $ms } ms before its beat: count it aloud.
mend-lever-wrong = The lever of string { $string } stood wrong: check the levers before you start.
mend-waited = The music waited { $ms } ms ({ $share } % of a beat) for the flip of { $lever }: count through it.
mend-hurried = The music hurried by { $ms } ms ({ $share } % of a beat) past the flip of { $lever }: give it its time.
mend-notes-missed = { $missed } of { $expected } notes did not come: take it slower, or one hand alone.
mend-notes-extra = Notes too many: { $extra }. Look where the fingers land.
mend-uneven = The notes scatter by { $ms } ms about the click: listen for it on every beat.
mend-flip-unheard = The flip of { $lever } could not be heard; nothing is counted against you.
mend-nothing-heard = Nothing was heard; nothing is counted against you.

## Diary

diary-empty-title = Nothing practised yet
diary-empty = What you drill will stand here, flip by flip and day by day.
diary-go = Drill a flip
diary-exported = Everything stands in { $path } now.
diary-week = This week
diary-week-says = Minutes of drilling each day; filled: the share of clean passes.
diary-week-spoken = The last seven days: { $minutes } minutes, { $passes } passes, { $clean } of them clean
diary-due = Due today
diary-due-none = Nothing is due. Come back tomorrow.
diary-due-says = Flips come back after 1, 2, 4, 8, 16 and 30 days, as long as they were kept.
diary-flips = Flips
diary-flips-says = ● ready: held at the goal and kept on another day. ◐ shaky. ○ not begun.
diary-tempo = Highest tempo held
diary-tempo-says = The fastest tempo held clean on each day, in quarter notes a minute: ● both hands, ◇ in parts.
diary-steadiness = Spread and hesitation
diary-steadiness-says = ● how far notes scatter, in ms; ◇ how long the flip holds up the music, in hundredths of a beat.
diary-share = Clean passes
diary-share-says = Of a hundred passes on each day so many were clean.
diary-export = Export everything
diary-delete = Delete everything
diary-delete-really = Delete it all, for good
diary-keep = Keep it
diary-size = { $size } MB in { $path }. Nothing of it leaves this machine by itself.
diary-since = { $flip }, { $piece }: since { $days } days
diary-since-today = { $flip }, { $piece }: today
diary-students = Students
diary-students-says = From the results they sent: fastest tempo held, in quarter notes a minute, and clean passes.
diary-student = { $student }: { $held }, { $clean } of { $judged } clean
diary-name = Your name
diary-results = Results for my teacher
standing-ready = ready
standing-shaky = shaky
standing-not-begun = not begun

## Help

sheet-back = Back
sheet-back-spoken = Close this page
help-keys = Keys and pedals
help-reading = How to read the strip
help-cautions = Mind your ears and hands
help-key-start = start or stop the loop
help-key-next = next flip
help-key-previous = previous flip
help-key-tempo = practise faster, slower
help-key-goal = practise at the wanted tempo
help-key-ladder = ladder; clean, went wrong; the flip, now
help-key-size = more or fewer bars; the flip before, after
help-key-ends = loop longer before, after; notes or not
help-key-wanted = raise, lower the wanted tempo
help-key-regulating = check the levers, tune the harp
help-key-harp = next harp, tuning, pace
help-key-listening = listen; measure by taps; show the beat
help-key-voices = click, cue tone, notes: softer, louder
help-key-hands = left, right hand heard or silent
help-key-files = open, save, the demo piece
help-key-move = move the flip earlier, later
help-key-edit = other hand, fix, set beforehand, leave out
help-key-places = Piece, Harp, Drill, Diary
help-key-undo = undo, redo
help-key-escape = close this page, a message, or stop
help-reading-1 = Time runs to the left; what stands on the upright line sounds now.
help-reading-2 = Each string is a line. Where its lever goes up the line rises a step, where it goes down it falls.
help-reading-3 = Rings are plucked by the right hand, diamonds by the left; the tail is how long the note is written.
help-reading-4 = A mark such as L F♯↑ says: left hand, the lever that makes F♯, up. Pointed at the left it is the left hand’s, at the right the right hand’s. A mark with ! has too little time at the wanted tempo.
help-reading-5 = On the notes of the loop a round light is the right hand, a pointed one the left. After a pass that was heard: a ring about a note that came, a cross on one that did not, a wedge about a wrong lever, dots about one that could not be heard. Drag over the score to choose bars.
help-caution-1 = Keep it soft: a click through headphones need not be louder than your harp. Loudness adds up over hours.
help-caution-2 = Stop when something hurts, tingles or goes numb, and rest for ten minutes in every hour.
help-caution-3 = Reach for the lever with the whole arm, shoulder low; begin slowly, raise the tempo in small steps.
help-caution-4 = When you retune a string, keep your face away from it: a string tuned too high can snap.
help-version = Leverlane { $version }, MIT OR Apache-2.0. Type: Libertinus Serif, SIL Open Font License 1.1.

## Changing a flip

edit-flip = This flip:
edit-earlier = Earlier
edit-later = Later
edit-give = To the { $hand }
edit-lock = Fix it here
edit-unlock = Leave it to the plan
edit-preset = Set beforehand
edit-forbid = Leave it out
edit-drag-cost = { $place }: { $state ->
    [rushed] too tight
   *[other] costs { $cost }
 }
edit-drag-here = { $place }: as it is

## Questions

question-save = Save “{ $title }” first?
question-save-why = What you decided about it is in no file yet.
question-save-yes = Save
question-save-no = Don’t save
question-cancel = Cancel
question-recover = Something was left unsaved
question-recover-why = When Leverlane last ended, these had not been saved.
question-recover-yes = Take up “{ $title }” again
question-recover-later = Ask me next time
question-recover-no = Throw away
question-recover-safe = What is taken up stays safe until you save it.

## Settings

settings = Settings
settings-language = Language
settings-notes = Names of notes
settings-octaves = Octaves
octaves-scientific = middle C is C4
octaves-harpists = as harpists count, middle C is 4C
settings-colours = Colours
colours-system = as the desktop
colours-light = light
colours-dark = dark
settings-side = Picture of the harp
side-bass-left = bass at the left
side-bass-right = bass at the right
settings-distance = Where you read from
distance-near = the desk
distance-far = the harp, a metre or more away
settings-movement = Movement
movement-gliding = the strip glides
movement-stepping = the strip stands, only the line steps
settings-midi = Pedal that speaks MIDI
midi-none = none
midi-look = Look for devices
midi-what = In the Drill the sustain pedal is the right pedal, the soft pedal the left one, and any key or pad taps the flip. A page-turner pedal needs nothing here.
midi-joined = It is listened to: in the Drill the sustain pedal is the right pedal, the soft pedal the left one, and any key or pad taps the flip.
warnings = Read otherwise than it stands
warnings-whole = whole piece
warnings-copy = Copy all
unmet-nothing-to-flip = The lever mark { $mark } changes nothing: it is read as a reminder.
unmet-on-its-note = The lever mark { $mark } stands on the very note that needs the flip; the flip is planned before it instead.
unmet-no-such-string = The lever mark { $mark } asks for what no string of this harp can sound: take another tuning, or leave it.
tunes = { $count } tunes in { $name }
tunes-choose = Choose the one to play; the file stays as it is.

## Who plays what

hands = Who plays what
hands-parts = The harp plays
hands-part = Part { $number }
hands-part-spoken = The harp plays: { $part }
hands-cue-line = Cue line
hands-cue-line-what = A part that stays above the harp in small notes and is heard as a guide; it is silent while the microphone listens beside a loudspeaker.
hands-cue-line-none = none
hands-cue-line-spoken = Cue line: { $part }
hands-whole = Hands
hands-whole-spoken = Hands: { $way }
hands-usual = as usual
hands-by-staff = upper staff right, the others left
hands-by-voice = highest voice right, the others left
hands-by-part = upper parts right, lower parts left
hands-split = from { $pitch } up right
hands-all-left = all left
hands-all-right = all right
hands-split-lower = Part the hands a string lower
hands-split-raise = Part the hands a string higher
hands-bars = Other hands in some bars
hands-range = Bars { $first } to { $last }: { $way }
hands-from = from bar
hands-to = to bar
hands-bars-spoken = Hands in these bars: { $way }
hands-bars-add = Add these bars
hands-bars-remove = Remove
hands-bars-remove-spoken = Remove: { $range }
hands-no-such-bars = The piece has bars { $first } to { $last }; give two of them, the earlier first.

## From paper

more-paper = Write it down from paper
welcome-paper = Write it down from paper
paper = From paper
paper-untitled = From paper
paper-way-flips = Only the flips
paper-way-notes = The notes of both hands
paper-title = Title
paper-tempo = beats a minute
paper-key = sharps (flats below 0)
paper-bars = bars
paper-flips = A flip a line, as you say it: bar 12 beat 4: C5 up
paper-right = Right hand, in ABC: c d e f | ^f2 e2 |
paper-left = Left hand, in ABC: C,2 G,2 | C4 |
paper-read-flips = { $bars } bars with { $flips } flips.
paper-read-notes = { $bars } bars with { $notes } notes.
paper-make = Plan and drill it
paper-nothing = Type something, and it is read as you type.
paper-drawn-spoken = What is typed, drawn: { $bars } bars, { $notes } notes
paper-fault = Line { $line }: { $reason }

## Keys

key-space = Space

## The harp

sentence-levers = with levers on
sentence-levers-spoken = Levers: { $levers }
levers-on-every-string = every string
levers-on-letters = { $letters } only
levers-by-hand = chosen strings
lever-move-spoken = Lever of { $string }: set it { $state } before the start
string-spoken = String { $number }: { $pitch }, { $lever }
string-lever = lever { $state }
string-no-lever = no lever
string-choose = Is this your harp? Choose a string to change it, or click its lever.
string-heading = String { $number }: { $name }
string-open = sounds open
string-open-spoken = Open string tuned to { $pitch }
string-has = and has
string-has-lever = a lever
string-has-none = no lever
string-before = Before the start
string-before-spoken = Lever before the start: { $state }
string-as-planned = as planned
string-caution = Tune a string only to what it is strung for, with your face away from it: one tuned too high can snap.

## Listening

listen = Listen
listen-on = Listening
listen-spoken = Listen through the microphone
listen-nothing-kept = Nothing heard is recorded or kept.
microphone-usual = usual microphone
microphone-look = Look again
microphone-spoken = Microphone: { $microphone }
headphones = headphones
headphones-spoken = I hear the drill through headphones
heard = Heard:
heard-spoken = Strings heard: { $strings }
level-spoken = Microphone level: { $level } dB
level-clipping = The microphone is overdriven: turn its level down, or move it away from the harp.
level-noisy = The room is loud between the notes: move the microphone nearer to the harp, or away from what hums.
level-silence = The microphone delivers only silence: see whether it is muted, or kept from Leverlane in the system’s privacy settings.
hand-yours = { $hand } yours
pulse = beat to see
notes-engraved = notes
notes-strings = strings
notes-hidden = by feel
notes-spoken = The music as: { $notes }
notes-by-feel = By feel: the music is hidden. { $key } shows it again.
afar-clean-spoken = { $clean } of { $needed } clean in a row
pulse-spoken = Show the beat as a moving mark
ear-opening = The microphone is being opened …
ear-gone = The microphone is gone: connect it again or choose another. Practice goes on by pedal until it is picked up.
ear-changed = The microphone has changed its settings and is opened anew. Practice goes on by pedal until then.
ear-stopped = The microphone has stopped delivering sound and is opened anew. Practice goes on by pedal until then.
ear-none = No microphone could be opened ({ $reason }): connect one or choose another, or go on by pedal.
ear-refused = The system refused the microphone ({ $reason }): allow Leverlane to use it in the system’s privacy settings, then switch listening on again.
ear-busy = Another program holds the microphone ({ $reason }): close that program, or choose another microphone.
ear-not-found = There is no microphone called “{ $name }” just now: connect it, or choose another.
ear-rate = The microphone runs at { $found } samples a second, at which nothing can be heard: choose another.
ear-no-sound = There is no sound device, so nothing tells when you should play: connect one, start the loop, then switch listening on again.
ear-no-thread = The system has nothing left to listen with: close other programs, then switch listening on again.
latency-unknown = How long sound takes from the loudspeaker to the microphone is not known for these devices yet.
latency-unknown-headphones = How long sound takes is not known for these devices yet: hold the headphones to the microphone and measure, or tap along with a click.
latency-measure = Measure it (8 seconds)
latency-again = Measure the latency again
latency-running = Be quiet for a moment: { $played } of 7 sweeps played …
latency-not-heard = The microphone heard { $clear } of { $played } sweeps: turn the loudspeaker up a little, hold the headphones to the microphone, or tap along with a click.
latency-unsteady = The sound’s way differs by { $ms } ms from one sweep to the next, as wireless devices make it: use a cable for listening.
latency-no-clocks = The devices have not told enough about their clocks: measure again.
latency-tap = Tap along instead
taps = Tap along with the click
taps-why = Only where the microphone can’t hear the click, as with headphones. You hear { $listened } clicks and then tap { $tapped } more: your knuckle on the soundboard, or one string, as steadily as you can. It takes some 14 seconds.
taps-doubt = People tap some 10 to 30 ms before the click; 20 ms are allowed for it, so the result is good to some 20 ms. That places your notes; whether you are early or late on the whole it can’t tell. Where the microphone hears the sweeps, they are surer.
taps-ask = Ready to tap?
taps-ready = Get ready …
taps-listen = Listen
taps-now = Tap with every click
taps-ringing = Wait for the result …
taps-begin = Start the clicks
taps-count-spoken = { $clicks } of { $all } clicks played, { $taps } taps heard
taps-heard = Taps heard: { $taps }
taps-needs-ear = Open the microphone first.
taps-surer = These devices were measured by sweeps: { $ms } ms. Taps can’t make that surer.
taps-known = By your taps: about { $ms } ms. It is kept for these two devices; with others, tap again.
taps-done = By your taps: about { $ms } ms, give or take 20.
taps-too-few = { $found } taps were heard, at least 8 are needed: tap firmly with every click, near the microphone.
taps-uneven = The taps strayed by { $ms } ms from the click; less than 50 is needed. Listen for a while, then tap along.
taps-click-heard = Something was heard with { $heard } of the { $listened } clicks before your taps. Wait for them; or, if the microphone hears the click, measure with sweeps instead.
clock-no-place = What is heard can’t be placed yet: measure these devices, or let the click be heard by the microphone.
clock-output = The sound halted for { $ms } ms: that pass can’t be judged.
clock-input = The microphone lost { $ms } ms of sound: that pass can’t be judged.
clock-way = The sound’s way to the microphone has changed by { $ms } ms: that pass can’t be judged.
clock-wanders = The sound’s way to the microphone wanders by { $ms } ms, as wireless devices make it: use a cable for listening.
clock-rate = A sound device runs { $parts } parts in a million away from its rate: choose another.
listened-begin = Play the loop: what is heard of each pass is told here.
practice-begin-heard = Play the loop: the microphone listens to the notes and to the flip. The pedals work as well.
practice-broken = A part of the pass was not heard: it counts for nothing.
practice-not-heard = Nothing was heard of the pass: it counts for nothing.
result-notes = { $hit } of { $expected } notes
result-wrong-lever = { $count } with the wrong lever
result-not-heard = { $count } not told apart
result-extra = { $count } too many
result-flip-clean = flip clean
result-flip-late = flip late
result-flip-half = flip half-way
result-flip-half-cents = flip half-way ({ $cents } of 100 cents)
result-flip-missed = flip missed
result-flip-unheard = flip not heard
result-early = { $ms } ms early on the whole
result-late = { $ms } ms late on the whole
result-spread = spread { $ms } ms
result-waited = waited { $ms } ms at the flip
result-hurried = hurried { $ms } ms at the flip
latency-done = Measured: { $ms } ms from the loudspeaker to the microphone.
look-lever = Look at the lever
look-strings = Eyes back on the strings

## Keys

action-start = Start or stop the loop; from the Piece, go to the Drill
action-right-pedal = Right pedal: next flip; on the ladder start, tap the flip, take the first offer
action-left-pedal = Left pedal: previous flip; on the ladder the next flip, or “went wrong”
action-next = Next flip
action-previous = Previous flip
action-faster = Practise faster
action-slower = Practise slower
action-to-goal = Practise at the wanted tempo
action-size = More or fewer bars around the flip
action-join-earlier = The bars of the flip before as well
action-join-later = The bars of the flip after as well
action-begin-earlier = Begin the loop a bar earlier
action-begin-later = Begin the loop a bar later
action-end-earlier = End the loop a bar earlier
action-end-later = End the loop a bar later
action-notes = The music as notes, as strings, or hidden to play by feel
action-ladder = Ladder on or off
action-clean = Say: that pass was clean
action-wrong = Say: that pass went wrong
action-tap = The flip is made now
action-speech = Count and flips spoken, or not
action-listen = Microphone open or closed
action-pulse = Beat to be seen, or not
action-tap-along = Measure the latency by taps
action-click-softer = Click softer
action-click-louder = Click louder
action-cue-softer = Cue tone softer
action-cue-louder = Cue tone louder
action-guide-softer = Cue line softer
action-guide-louder = Cue line louder
action-notes-softer = Notes softer
action-notes-louder = Notes louder
action-left-hand = Left hand heard or silent
action-right-hand = Right hand heard or silent
action-move-earlier = Move the flip earlier
action-move-later = Move the flip later
action-other-hand = Give the flip to the other hand
action-lock = Fix the flip, or leave it to the planner
action-preset = Set the flip’s levers before the start
action-forbid = Leave the flip out
action-goal-up = Raise the wanted tempo
action-goal-down = Lower the wanted tempo
action-next-harp = Next harp
action-next-tuning = Next tuning
action-next-pace = Next pace of hands
action-go-piece = To the Piece
action-go-harp = To the Harp
action-go-drill = To the Drill
action-go-diary = To the Diary
action-undo = Undo
action-redo = Redo
action-open = Open a file
action-demo = Open the demo piece
action-save = Save
action-save-as = Save under another name
action-paper = Write down from paper
action-settings = Settings
action-lever-check = Lever check
action-tuner = Tuner
action-help = Help
action-escape = Close what is in front, or stop
keys = Keys and pedals
keys-what = Choose what a key shall do: press “Change”, then the key or the pedal. Pressed once more it is taken away again. Page-turner pedals send Page Up and Page Down, arrows, Space or Enter.
keys-change = Change
keys-change-spoken = Change the key: { $action }
keys-wanted = Press the key … Esc leaves it as it is
keys-usual = All as they came
keys-none = no key
settings-keys = Keys and pedals
settings-keys-show = Show and change
key-enter = Enter
key-page-down = Page Down
key-page-up = Page Up
key-delete = Del
key-escape = Esc
key-ctrl = Ctrl
key-alt = Alt
key-shift = Shift

## How a ladder is set up

ladder-set-up = Set up the ladder
action-ladder-set-up = Set up the ladder: tempos, steps, limits
ladder-start = From
ladder-goal = to
ladder-step = a rung up by
ladder-step-beats = beats a minute
ladder-step-per-cent = per cent
ladder-clean = after so many clean passes in a row
ladder-scheme = The way up
ladder-climb = rung by rung
ladder-alternate = the slow tempo and the goal in turns
ladder-sources = Two to five beats, or about five per cent, and three clean passes are common practice. A goal up to 5 % over the tempo you want makes that tempo easy. Alternating is the other common way.
limits = What counts as clean
limits-own = by your own limits
limits-level = by the limits for { $level } hands
limits-usual = Limits of the level
limit-spread = Unevenness at most
limit-hesitation = Waiting or hurrying at the flip, of a beat, at most
limit-wrong-notes = Notes missing or too many, at most
limit-tap = A tap off its beat, of a beat, at most
limits-sources = Set by us, above what can be told apart: musicians tap within 15 to 25 ms (from memory), onsets are compared within 50 ms (mir_eval), one displaced tone is just noticed at 6 ms or 2.5 % of the gap (Friberg & Sundberg 1995). Your teacher’s word goes before ours.

# The lever check and the tuner.
check-open = Check the levers
check = Lever check
check-ask-open =
    Pluck { $string }, lever down{ $times ->
        [1] {""}
       *[other] {" "}({ $times } times)
    }
check-ask-raised =
    Now its lever up: pluck { $string } again{ $times ->
        [1] {""}
       *[other] {" "}({ $times } times)
    }
check-over = Every lever has been checked.
check-how = All levers down at the start. Let every string fall silent before the next; a click on a string asks for it.
check-still-down = That was { $string } with its lever still down.
check-other = That was no { $string }: it sounded at { $hertz } Hz. Damp the other strings, and pluck it again.
check-bands = Each lever should raise its string by 100 cents. Within 3 is good, 3 to 7 tolerable, over 10 needs regulation (common practice of the trade). The figure over a string is how far from 100 it is.
check-raises = { $cents } cents, { $band }
check-raises-roughly = roughly { $cents } cents, { $band }
check-line = { $string }: { $raise }
check-before = ; last time { $before } ({ $by })
check-buzz-open = ; may buzz when open
check-buzz = ; may buzz when raised
check-keep = Keep with the harp
check-kept =
    { $count ->
        [1] What one lever raises is kept with the harp.
       *[other] What { $count } levers raise is kept with the harp.
    } A piece’s own harp is saved with the piece; save the harp to have it for others.
check-copy = Copy the list
check-save = Save the harp …
check-report = Lever check of { $harp }, for whoever regulates it. Wanted: 100 cents from down to up.
check-report-rest = The others:
check-string-before = The string before
check-pass-over = Pass it over
check-each = Each
check-times =
    { $times ->
        [1] once
       *[other] { $times } times, surer
    }
check-again = Begin anew
band-good = good
band-tolerable = tolerable
band-doubtful = doubtful
band-regulate = needs regulation
tuner-open = Tune
tuner = Tuner
tuner-ask = Pluck a string
tuner-how = All levers down. The string is known by its pitch; one at a time, and let it ring for a second.
tuner-string = { $string }: { $far }
tuner-tighten = { $cents } cents low
tuner-leave = in tune
tuner-slacken = { $cents } cents high
tuner-scale = The needle for { $string }: { $far }
tuner-between = That lies between { $one } and { $other }, so neither is named: see which string it is before you turn its pin.
tuner-no-string = No string of this harp sounds like that.
tuner-pitch = A4 is
tuner-hertz = { $hertz } Hz
tuner-pitch-lower = Concert pitch lower
tuner-pitch-higher = Concert pitch higher
tuner-caution = Tune slowly, with your face away from the string, and never above the pitch it is strung for: one tuned too high can snap.
